"""A judge of mat nests that shares nothing with them: pieces turned and moved by shapely, then looked at."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import combinations

import numpy as np
import shapely
from shapely import LineString, affinity

from cutlists.mats.nest import MatNest, nest_mats
from model.mat.build import Matting, mat_of
from model.mat.settings import MatSettings, MatSheet
from tests.model.mat_boats import lake_boat

SHEETS = {
    "plain": MatSheet("plain 40 x 80", 2032.0, 1016.0),
    "grooved": MatSheet(
        "grooved 40 x 80", 2032.0, 1016.0, grooved=True, first=25.4, turns="half", price=150.0
    ),
}


@cache
def lake_nest(kind: str) -> tuple[Matting, MatNest]:
    """The demo boat's mat on one kind of sheet."""
    mat = mat_of(lake_boat(), replace(MatSettings(), sheets=(SHEETS[kind],)))
    return mat, nest_mats(mat)


def faults(nest: MatNest, matting: Matting) -> list[str]:
    """What is wrong with a nest, in words: pieces lost or doubled, edges, spacing, direction, phase."""
    s = matting.settings
    found = []
    names = [laid.piece.name for sheet in nest.sheets for laid in sheet.laid] + list(nest.left_over)
    if sorted(names) != sorted(piece.name for piece in matting.pieces):
        found.append("pieces are lost or cut twice")
    for number, one in enumerate(nest.sheets):
        room = shapely.box(s.margin, s.margin, one.sheet.length - s.margin, one.sheet.width - s.margin)
        shapes = {}
        for laid in one.laid:

            def put(shape, laid=laid):
                turned = affinity.rotate(shape, 90 * laid.quarters, origin=(0, 0))
                return affinity.translate(turned, laid.dx, laid.dy)

            name = laid.piece.name
            shapes[name] = put(laid.piece.polygon)
            if not room.buffer(1e-3).covers(shapes[name]):
                found.append(f"{name} leaves sheet {number}")
            if one.sheet.turns == "none" and laid.quarters:
                found.append(f"{name} is turned")
            for line in laid.piece.grooves():
                ends = shapely.get_coordinates(put(LineString(line)))
                found += _groove_faults(name, ends, one.sheet, s.pitch, nest)
        for a, b in combinations(shapes, 2):
            if shapes[a].distance(shapes[b]) < s.spacing - 1e-3 or shapes[a].intersection(shapes[b]).area > 0:
                found.append(f"{a} and {b} are too near each other")
    return found


def _groove_faults(name, ends, sheet, pitch, nest):
    slant = np.abs(ends[1] - ends[0])
    if (sheet.grooved or sheet.turns == "half") and slant[1] > 1e-6:
        return [f"{name} lies across the way of the sheet"]
    if sheet.turns == "quarter" and min(slant) > 1e-6:
        return [f"{name} lies askew"]
    if not sheet.grooved or name in nest.loose_phase:
        return []
    off = (ends[0, 1] - sheet.first + pitch / 2) % pitch - pitch / 2
    return [] if abs(off) < 0.5 else [f"a groove of {name} is {off:.2f} mm off the sheet's"]
