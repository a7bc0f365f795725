"""The smallest rectangle of sheet a flat outline is cut from."""

from __future__ import annotations

import numpy as np
import shapely

from parts.outline import Loop


def blank_size(outline: Loop) -> tuple[float, float]:
    """Width and length, mm, width the lesser, of the least rectangle round the outline at any angle.

    A least rectangle has a side along an edge of the hull (Freeman and Shapira 1975); arcs are walked in
    short steps to find the angle, then measured truly.
    """
    corners = shapely.get_coordinates(shapely.convex_hull(shapely.Polygon(outline.polyline())))
    ahead = np.diff(corners, axis=0)
    angle = np.unique(np.round(np.append(np.arctan2(ahead[:, 1], ahead[:, 0]) % (np.pi / 2), 0.0), 12))
    along = np.stack([np.cos(angle), np.sin(angle)], axis=1)
    across = np.stack([-np.sin(angle), np.cos(angle)], axis=1)
    width, length = (outline.support(way) + outline.support(-way) for way in (along, across))
    # Of rectangles alike to a hundredth of a percent take the first, so that drawn square wins.
    area = width * length
    best = int(np.flatnonzero(area <= area.min() * 1.0001)[0])
    size = sorted((float(width[best]), float(length[best])))
    return size[0], size[1]
