"""A box-shaped punt with a well, a pump on a seacock and a bilge pump, for hoses. Millimetres."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from model.boat import Boat, build_boat
from parts.yamlfile import read_text
from tests.model.punt_hull import punt_hull

LONG, WIDE, THICK = 3000.0, 1200.0, 2.5

PUNT = (
    punt_hull(600.1)
    + """\
defaults: {section: rect-1x2x0.125, sheet: 5052-0.090, beam_span: 450, post_span: 1800}
decks:
  aft:
    height: 480
    aft: 250
    forward: 1100
    frame: {posts: false}
    openings:
      well: {centre: [700, 0], length: 500, width: 400, lid: {flange: 15}, hinge: forward}
lockers:
  well: {kind: well, under: aft.well, floor: 150, overflow: 350}
fixtures:
  pump: {part: BAILER, on: hull, at: [120, 0]}
  seacock: {part: ball-valve-3/4, on: hull, at: [200, -300]}
  feed: {part: PUMP, on: hull, at: [330, -420], turn: 180, raise_by: RAISED}
weights: {hull: {mass: 420 kg, centre: [1500, 0, 150]}, loads: {gear: {mass: 250 kg, at: [1600, 0, 300]}}}
afloat: {cases: {empty: {}, laden: {loads: [gear]}}}
catalogue:
  pumps:
    weak: {diameter: 63, height: 99, mass: 0.3 kg, curve: [[0, 1900 L], [150, 400 L]]}
water:
  at_rest: {trim: 0}
  drains:
    plug: {of: hull, at: [20, 0], to: overboard}
    well: {of: well, at: [520, 100], to: overboard, diameter: 30}
hoses:
  ASKED
  fittings:
    fill: {of: well, at: [700, -200, 390], part: well-fill-3/4}
    over: {of: well, at: [450, -100, OVER], bore: BORE}
    over_out: {skin: transom, at: [-100, 300]}
    drain_out: {skin: transom, at: [100, 90], valve: true}
    bilge_out: {skin: port, at: [60, BILGE], part: through-hull-3/4VALVE}
  runs:
    suction: {from: seacock, to: feed, kind: pumped, inside: 19.05}
    fill: {from: feed, to: fill, kind: pumped, inside: 19.05}
    over: {from: over, to: over_out, kind: overflow, inside: WIDTH, points: [[300, -100, 335]]}
    drain: {from: drain.well, to: drain_out, kind: drain, inside: 28.575, elbows: 1, points: [DRAIN]}
    bilge: {from: fixture.pump, to: bilge_out, kind: bilge, inside: 19.05, elbows: 1LOOP}
"""
)

USUAL = {
    "ASKED": "turnover: 30",
    "PUMP": "livewell-pump-500",
    "BAILER": "bilge-500",
    "RAISED": "0",
    "OVER": "369",
    "BORE": "38",
    "WIDTH": "38.1",
    "BILGE": "450",
    "VALVE": "",
    "DRAIN": "[520, 100, 110]",
    "LOOP": "",
}


def punt_text(**changed: str) -> str:
    """The boat file with some of `USUAL` changed."""
    text = PUNT
    for word, value in {**USUAL, **changed}.items():
        text = text.replace(word, value)
    return text


@cache
def punt(**changed: str) -> Boat:
    """The boat of that file."""
    return build_boat(read_text(punt_text(**changed), "punt.yaml"), Path("."))
