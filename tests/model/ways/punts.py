"""A plain punt with a decked stern and a decked bow, for runs."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from model.boat import Boat, build_boat
from parts.yamlfile import read_text
from tests.model.punt_hull import punt_hull

PUNT = (
    punt_hull()
    + """\
defaults: {section: rect-1x2x0.125, sheet: 5052-0.090, beam_span: 450, post_span: 1800}
decks:
  aft:
    height: 400
    aft: 60
    forward: 1000
    frame: {posts: false}
    risers: {forward: {down_to: hull}}
  bow:
    height: 400
    aft: 2000
    forward: 2940
    frame: {posts: false}
    risers: {aft: {down_to: hull}}
fixtures:
  fuses: {part: fuse-box-6, on: hull, at: [300, 300]}
  pump: {part: bilge-500, on: hull, at: [150, -200]}
MORE
"""
)


@cache
def punt(more: str = "") -> Boat:
    """The boat with further keys."""
    return build_boat(read_text(PUNT.replace("MORE", more), "punt.yaml"), Path("."))
