"""Whether a box can pass a flat opening at all.

A box passes an opening only if its centre does. At that moment the opening's plane cuts the box through its
centre, and all of this section lies inside the opening. Whatever way the box is held, such a section
(a <= b <= c are the box's sides)

- holds a circle of diameter a, since the box holds a ball of that size about its centre;
- holds a chord of length b through its middle: the plane cuts the b x c rectangle half way between the
  two largest faces in a chord through its centre, and no such chord is shorter than b;
- has an area of a b or more: of the unit cube no section through its centre is smaller than 1 (Vaaler,
  "A geometric inequality with applications to linear forms", Pacific J. Math. 83, 1979), and the box is the
  cube stretched, which makes a section with normal n by abc / |(a n1, b n2, c n3)| >= a b larger.

An opening that fails one of these lets the box through in no way.
"""

from __future__ import annotations

import numpy as np
import shapely
from shapely import Polygon

from model.geometry import Array

SPARE = 0.5
"""By this much, mm, an opening must fail before nothing is said to help: arcs are followed by chords."""


def cannot_pass(sides: Array, opening: Polygon) -> str | None:
    """Why a box can pass an opening in no way at all, in words; None where it may.

    Args:
        sides: of the box, mm.
        opening: in its own plane, mm.
    """
    a, b, _ = sorted(float(side) for side in sides)
    if opening.buffer(-(a - SPARE) / 2.0).is_empty:
        return f"its least side is {a:.0f} mm, and no circle of that size lies in the opening"
    if opening.area < a * b - SPARE * (a + b):
        return f"no section through its middle is smaller than {a:.0f} x {b:.0f} mm, more than the opening"
    if longest_chord(opening) < b - SPARE:
        return f"no section through its middle is shorter than {b:.0f} mm, more than the opening"
    return None


def longest_chord(opening: Polygon) -> float:
    """Greatest distance of two points of an opening, mm."""
    points = shapely.get_coordinates(opening.convex_hull)
    apart = points[:, None] - points[None]
    return float(np.sqrt((apart**2).sum(axis=2)).max())


def widest_circle(opening: Polygon) -> float:
    """Diameter of the greatest circle in an opening, mm."""
    line = shapely.maximum_inscribed_circle(opening, tolerance=0.5)
    return 2.0 * float(line.length)
