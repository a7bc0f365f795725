"""Where level and upright lines across sections of one side meet its skin."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from model.geometry import Array

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


def outermost(sections: Array, z: Array) -> Contact:
    """The greatest half-breadth of sections `(k, n, 2)` at heights z `(k,)`."""
    return _greatest(sections[..., 1] - z[:, None], sections[..., 0])


def lowest(sections: Array, y: Array) -> Contact:
    """The least height of sections `(k, n, 2)` at half-breadths y `(k,)`."""
    found = _greatest(sections[..., 0] - y[:, None], -sections[..., 1])
    return Contact(-found.value, found.strip, found.share)


def _greatest(off: Array, asked: Array) -> Contact:
    """The greatest of `asked` `(k, n)` in each row where `off` `(k, n)` passes zero between two corners."""
    low, high = off <= NEAR, off >= -NEAR
    row, strip = np.nonzero((low[:, :-1] | low[:, 1:]) & (high[:, :-1] | high[:, 1:]))
    a, start, end = off[row, strip], asked[row, strip], asked[row, strip + 1]
    rise = off[row, strip + 1] - a
    along = np.abs(rise) <= NEAR
    share = np.minimum(np.maximum(-a / np.where(along, np.inf, rise), 0.0), 1.0)
    reach = np.where(along, np.maximum(start, end), start + share * (end - start))
    fresh = np.ones(len(row), dtype=np.bool_)
    fresh[1:] = row[1:] != row[:-1]
    if not fresh.all():
        order = np.lexsort((-reach, row))  # stable: of equals the lowest strip stands first
        pick = order[fresh]  # the rows stand as before, so each begins where it did
        row, strip, share, reach = row[pick], strip[pick], share[pick], reach[pick]
    value, where, shares = np.full(len(off), np.nan), np.zeros(len(off), dtype=np.int64), np.zeros(len(off))
    value[row], where[row], shares[row] = reach, strip, share
    return Contact(value, where, shares)
