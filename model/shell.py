"""A hull's skin with its ends: what integrals and cuts need of it, and where planes cross its lines."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from model.geometry import Array, Plane
from model.skin import Cubics

SAMPLES = 12
"""Samples of a line between breaks when its crossings with a plane are looked for."""


@dataclass(frozen=True, eq=False, slots=True)
class Shell:
    """The skin from gunwale to gunwale, closed at its ends.

    Attributes:
        chain: all curves from the starboard gunwale under the keel to the port gunwale.
        rows: which of them are named lines.
        span: least and greatest x, mm.
        ends: the planes that close it, normals pointing out.
    """

    chain: Cubics
    rows: Sequence[int]
    span: tuple[float, float]
    ends: Sequence[Plane]


def crossings(shell: Shell, plane: Plane) -> Array:
    """The x where the named lines pass through a plane, `(k,) float`, found from samples by Newton steps."""
    breaks = shell.chain.breaks
    lines = Cubics(breaks, shell.chain.coefficients[:, :, list(shell.rows)])
    x = np.concatenate([np.linspace(a, b, SAMPLES, endpoint=False) for a, b in pairwise(breaks)])
    x = np.append(x, breaks[-1])
    height = lines.at(x) @ plane.normal[1:] + (plane.normal[0] * x - plane.offset)[:, None]
    i, row = np.nonzero((height[:-1] > 0.0) != (height[1:] > 0.0))
    if not len(i):
        return np.zeros(0)
    low, high, above = x[i], x[i + 1], height[i, row] > 0.0
    every = Cubics(breaks, lines.coefficients[:, :, row])
    found = (low + high) / 2.0
    for _ in range(60):
        at, slope = every.each(found)
        short = at @ plane.normal[1:] + plane.normal[0] * found - plane.offset
        same = (short > 0.0) == above
        low, high = np.where(same, found, low), np.where(same, high, found)
        rise = slope @ plane.normal[1:] + plane.normal[0]
        newton = found - short / np.where(rise == 0.0, np.inf, rise)
        moved = np.where((newton > low) & (newton < high), newton, (low + high) / 2.0)
        if np.abs(moved - found).max() < 1e-10:
            break
        found = moved
    return np.asarray(found, dtype=np.float64)


def end_corners(shell: Shell, plane: Plane) -> Array:
    """The x where a plane meets the ends on the centreline: corners of what it cuts out."""
    found = []
    for end in shell.ends:
        across = plane.normal[0] * end.normal[2] - plane.normal[2] * end.normal[0]
        if abs(across) > 1e-9:
            x = (plane.offset * end.normal[2] - end.offset * plane.normal[2]) / across
            if shell.span[0] < x < shell.span[1]:
                found.append(x)
    return np.array(found)
