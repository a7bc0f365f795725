"""Refusals that the families share."""

from __future__ import annotations

import math


def positive(name: str, **sizes: float) -> None:
    """Pass if every size is a positive finite number, mm.

    Raises:
        ValueError: one is not.
    """
    for what, size in sizes.items():
        if not (size > 0 and math.isfinite(size)):
            raise ValueError(f"{name}: the {what} is {size:g} mm; it must be positive")


def thinner(name: str, wall: float, limit: float, of: str) -> None:
    """Pass if the wall is thinner than `limit` mm.

    Raises:
        ValueError: it is not; `of` says what the limit is.
    """
    if not wall < limit:
        raise ValueError(f"{name}: the wall is {wall:g} mm; it must be under {limit:g} mm, {of}")


def radius_fits(name: str, radius: float, limit: float, of: str) -> None:
    """Pass if the corner radius lies between 0 and `limit` mm.

    Raises:
        ValueError: it does not; `of` says what the limit is.
    """
    if not 0 <= radius <= limit * (1 + 1e-12):
        raise ValueError(f"{name}: the corner radius is {radius:g} mm; it must be 0 to {limit:g} mm, {of}")
