"""Where level and upright lines across sections of one side meet its skin."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from model.geometry import Array
from model.skin import Cubics

NEAR = 1e-6
"""Millimetres by which a point may lie outside an end or an edge and still count as on it."""


@dataclass(frozen=True, eq=False, slots=True)
class Contact:
    """Where one line in each of k sections meets the skin.

    Attributes:
        value: what was asked there, mm, `(k,)`; nan where it misses.
        strip: between which corners of the section, `(k,)`; 0 where it misses.
        share: how far up the strip, `(k,)`, 0..1; 0 where the strip runs along the line.
    """

    value: Array
    strip: npt.NDArray[np.int64]
    share: Array


def outermost(curves: Cubics, x: Array, z: Array) -> Contact:
    """The greatest half-breadth at heights z of the sections at x, `(k,)` each."""
    return _greatest(curves, x, z, 1, 1.0)


def lowest(curves: Cubics, x: Array, y: Array) -> Contact:
    """The least height at half-breadths y of the sections at x, `(k,)` each."""
    found = _greatest(curves, x, y, 0, -1.0)
    return Contact(-found.value, found.strip, found.share)


def _greatest(curves: Cubics, x: Array, level: Array, axis: int, sign: float) -> Contact:
    """The greatest of the other coordinate, or of its negative, where a section passes a level of one."""
    off = curves.coordinate(x, axis) - level[:, None]
    low, high = off <= NEAR, off >= -NEAR
    strip = ((low[:, :-1] | low[:, 1:]) & (high[:, :-1] | high[:, 1:])).ravel().nonzero()[0]
    row = strip // (off.shape[1] - 1)
    corner = strip + row  # of all in order; each row has one more corner than strips
    strip -= row * (off.shape[1] - 1)
    a, b, met_x = off.ravel()[corner], off.ravel()[corner + 1], x[row]
    start, end = (sign * curves.points(met_x, strip + i, 1 - axis) for i in (0, 1))
    rise = b - a
    along = np.abs(rise) <= NEAR
    share = np.minimum(np.maximum(-a / np.where(along, np.inf, rise), 0.0), 1.0)
    reach = np.where(along, np.maximum(start, end), start + share * (end - start))
    best = np.full(len(off), -np.inf)
    np.maximum.at(best, row, reach)
    pick = (reach == best[row]).nonzero()[0][::-1]  # of equals the lowest strip is put down last
    row = row[pick]
    value, where, shares = np.full(len(off), np.nan), np.zeros(len(off), dtype=np.int64), np.zeros(len(off))
    value[row], where[row], shares[row] = reach[pick], strip[pick], share[pick]
    return Contact(value, where, shares)
