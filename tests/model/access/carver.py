"""When a rectangle lies in another, by the published criterion."""

from __future__ import annotations

import math


def passes_rectangle(a: float, b: float, width: float, height: float) -> bool:
    """Whether a rectangle a x b lies in a rectangle width x height, turned as it may be.

    With a <= b and width <= height it does if a <= width and b <= height, or if b > height, a <= width and
    width >= (2 a b height + (b^2 - a^2) sqrt(a^2 + b^2 - height^2)) / (a^2 + b^2) (Carver, Amer. Math.
    Monthly 64, 1957, problem E 1225).
    """
    a, b = sorted((a, b))
    width, height = sorted((width, height))
    if a > width:
        return False
    if b <= height:
        return True
    square = a * a + b * b
    if square <= height * height:
        return True
    return width >= (2.0 * a * b * height + (b * b - a * a) * math.sqrt(square - height * height)) / square
