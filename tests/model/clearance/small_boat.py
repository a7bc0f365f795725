"""A punt of plain shape for the tests: flat bottom, upright sides, two decks, a lid, a seat, a battery."""

from __future__ import annotations

from pathlib import Path

from model.boat import Boat, build_boat
from parts.yamlfile import read_text
from tests.model.punt_hull import punt_hull

TEXT = (
    punt_hull()
    + """\
RIBS

defaults:
  section: rect-1x2x0.125
  sheet: 5052-0.090
  beam_span: 400
  post_span: 700

decks:
  sole: {height: 150, aft: 900, forward: 2100}
  aft:
    height: 400
    aft: 60
    forward: 900
    openings:
      hatch: {centre: [AT, 250], lid: lid-18x12, hinge: HINGE}
MORE
"""
)


LID = "lid: lid-18x12, "


def punt(more: str = "", ribs: str = "", hinge: str = "port", at: str = "470", lid: str = LID) -> Boat:
    """The punt, with more of a boat file behind its decks."""
    text = TEXT.replace("MORE", more).replace("RIBS", ribs).replace("HINGE", hinge).replace("AT", at)
    text = text.replace(LID, lid)
    return build_boat(read_text(text, "punt.yaml"), Path("."))
