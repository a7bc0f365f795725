"""Boats to lay mat on: a box whose areas can be told by hand, and the demo boat; gaps between pieces."""

from __future__ import annotations

from functools import cache
from itertools import combinations
from pathlib import Path

import numpy as np
import shapely

from model.boat import Boat, build_boat, load_boat
from model.mat.piece import MatPiece
from model.mat.settings import MatSettings
from parts.yamlfile import read_text

CONFIGS = Path(__file__).parents[2] / "configs"

# Upright sides 500 mm off the centreline; decks keep 5 mm off them.
BOX = """
boat: box
units: mm
hull:
  stations:
    - {at: 0, keel: [0, 0], chine: [500, 0], gunwale: [500, 600]}
    - {at: 1000, keel: [0, 0], chine: [500, 0], gunwale: [500, 600]}
    - {at: 2000, keel: [0, 0], chine: [500, 0], gunwale: [500, 600]}
    - {at: 3000, keel: [0, 0], chine: [500, 0], gunwale: [500, 600]}
  lines: [keel, chine, gunwale]
defaults: {hull_gap: 5}
decks:
  sole: {height: 100, aft: 200, forward: 1500}
  front:
    height: 300
    aft: 1500
    forward: 2700
    risers: {aft: {down_to: sole}}
    openings:
      flush: {centre: [1800, 150], length: 300, width: 200, lid: {clearance: 3}}
      lapped: {centre: [2300, -150], length: 400, width: 300, lid: {clearance: 3, flange: 20}}
      bare: {centre: [2300, 250], length: 200, width: 150}
seat_boxes:
  seat: {on: sole, centre: [700, 0], length: 400, width: 300, height: 200, lid: {clearance: 3}, border: 50}
"""

BOX_MAT = MatSettings(
    thickness=6.0, reveal=10.0, lid_gap=8.0, edge_gap=5.0, overhang=4.0, radius=0.0, least_width=20.0,
    pitch=50.0, groove_width=3.0,
)  # fmt: skip


@cache
def box_boat() -> Boat:
    """The box."""
    return build_boat(read_text(BOX, "box.yaml"), CONFIGS)


@cache
def sloping_boat() -> Boat:
    """The box with a front deck that rises forward by 7 degrees from a step that stands before it."""
    text = BOX.replace("  front:\n    height: 300", "  front:\n    slope: 7\n    height: 300").replace(
        "decks:\n",
        "decks:\n  step: {height: 180, aft: 1200, forward: 1490, port: 300, starboard: -300, "
        "risers: {aft: {down_to: sole}}}\n",
    )
    return build_boat(read_text(text, "slope.yaml"), CONFIGS)


@cache
def lake_boat() -> Boat:
    """The demo boat."""
    return load_boat(CONFIGS / "lake16.yaml")


def gaps(pieces: tuple[MatPiece, ...], reach: float = 20.0) -> dict[tuple[str, str], float]:
    """Least distance between the solids of each two pieces nearer than about `reach`, mm.

    Each piece's edge, sampled every 4 mm at the bottom, the middle and the top of the mat, is held against
    the other solid: the distance to a prism is that in its plane (shapely) and that along its height.
    """
    boxes = {piece.name: piece.prism.box for piece in pieces}
    found = {}
    for a, b in combinations(pieces, 2):
        low, high = (
            np.maximum(boxes[a.name][0], boxes[b.name][0]),
            np.minimum(boxes[a.name][1], boxes[b.name][1]),
        )
        if (high - low > -reach).all():
            found[a.name, b.name] = min(_from_edge(a, b), _from_edge(b, a))
    return found


def _from_edge(a: MatPiece, b: MatPiece) -> float:
    edge = shapely.get_coordinates(shapely.segmentize(a.polygon.boundary, 4.0))
    levels = [np.column_stack([edge, np.full(len(edge), z)]) for z in np.linspace(0.0, a.thickness, 3)]
    own = b.frame.to_frame(a.frame.to_boat(np.vstack(levels)))
    rise = np.maximum(0.0, np.maximum(-own[:, 2], own[:, 2] - b.thickness))
    near = rise < 30.0
    if not near.any():
        return float("inf")
    flat = shapely.distance(b.polygon, shapely.points(own[near, :2]))
    return float(np.hypot(flat, rise[near]).min())
