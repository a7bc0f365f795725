"""What is worth keeping of a sheet once its pieces are cut."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

TRUE_TO = 0.25
"""Half of what an offcut falls short of the metal beside a piece, mm, so that arcs need few corners."""


def leftovers(
    sheet: shapely.Polygon, pieces: Sequence[shapely.Polygon], gap: float, least: float
) -> list[shapely.Polygon]:
    """The offcuts of a sheet, the largest first.

    What is left is freed of every strip narrower than `least`, so that each offcut is that wide everywhere;
    lid openings count like the rest. Outlines are inside the metal that is there.

    Args:
        sheet: outline and holes, mm.
        pieces: what is cut from it, holes left out.
        gap: metal that the cutter takes round a piece, mm.
        least: the narrowest worth keeping, mm.
    """
    grown = shapely.buffer(np.array(pieces, dtype=object), gap + 2 * TRUE_TO)
    free = sheet.difference(shapely.union_all(shapely.simplify(grown, TRUE_TO)))
    found = []
    for core in shapely.get_parts(free.buffer(-least / 2)):
        wide: BaseGeometry = core.buffer(least / 2, join_style="mitre", mitre_limit=2.0).intersection(free)
        parts = shapely.get_parts(wide.simplify(TRUE_TO))
        found += [part for part in parts if part.geom_type == "Polygon" and part.area >= least * least]
    return sorted(found, key=lambda part: -part.area)
