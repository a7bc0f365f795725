"""Laying a ruled strip flat: every quad between two rulings is unrolled in turn from the ruling before it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from model.geometry import Array

_Flat = npt.NDArray[np.complex128]  # points of the plane as x + i y, so that turns are products
_NO_LENGTH = 1e-9


@dataclass(frozen=True, eq=False, slots=True)
class Flattening:
    """A strip laid flat, seen on its face: edge a runs along x, edge b lies on its left.

    Attributes:
        a: edge a, `(n, 2) float`, mm.
        b: edge b, `(n, 2) float`, mm.
        twist: the greatest gap between a diagonal of a quad in the boat and the same diagonal where the
            quad is laid flat over its other one, mm; 0 where each quad is flat.
        edge_error: the greatest difference in length between an edge laid flat and in the boat, mm.
        ruling_error: the greatest such difference of a ruling, mm.
    """

    a: Array
    b: Array
    twist: float
    edge_error: float
    ruling_error: float

    @property
    def error(self) -> float:
        """The greatest of the three errors, mm."""
        return max(self.twist, self.edge_error, self.ruling_error)


def flatten(edge_a: Array, edge_b: Array) -> Flattening:
    """The strip between two edges laid flat.

    A quad that is not flat is laid down twice, folded along either diagonal, and the mean is taken, so
    that a strip twisted one way throughout does not drift to one side. Flat quads keep every length.
    The work starts at the longest ruling and goes both ways: a strip may run to a point at its ends.

    Args:
        edge_a: `(n, 3) float`, mm; point i is joined to point i of `edge_b` by a straight ruling.
        edge_b: `(n, 3) float`, mm.
    """
    rulings = _lengths(edge_b - edge_a)
    start = int(np.argmax(rulings))
    right_a, right_b, right_gap = _unrolled(edge_a[start:], edge_b[start:])
    left_a, left_b, left_gap = _unrolled(edge_a[start::-1], edge_b[start::-1])
    a = np.concatenate([-left_a[:0:-1].conj(), right_a])  # the left half is unrolled as its mirror image
    b = np.concatenate([-left_b[:0:-1].conj(), right_b])
    edge_error = max(
        abs(float(np.abs(np.diff(flat)).sum() - _lengths(np.diff(edge, axis=0)).sum()))
        for flat, edge in ((a, edge_a), (b, edge_b))
    )
    ruling_error = float(np.abs(np.abs(b - a) - rulings).max())
    a, b = _set_level(a, b)
    return Flattening(_plain(a), _plain(b), max(right_gap, left_gap), edge_error, ruling_error)


def _unrolled(edge_a: Array, edge_b: Array) -> tuple[_Flat, _Flat, float]:
    """The strip from its first ruling, laid on the imaginary axis, to the right; and its twist, mm."""
    r = _lengths(edge_b - edge_a)
    if len(r) == 1:
        return np.zeros(1, dtype=np.complex128), _upright(r), 0.0
    a, b, gap = _quads(edge_a, edge_b, r)
    across = np.where(r[1:] > _NO_LENGTH, b - a, 1j)
    turns = np.concatenate([[1.0 + 0j], np.cumprod(across / (1j * np.abs(across)))])
    flat_a = np.concatenate([[0j], np.cumsum(a * turns[:-1])])
    flat_b = np.concatenate([_upright(r[:1]), flat_a[:-1] + b * turns[:-1]])
    return flat_a, flat_b, float(gap.max())


def _quads(edge_a: Array, edge_b: Array, r: Array) -> tuple[_Flat, _Flat, Array]:
    """Next points on both edges from each ruling, itself from 0 to i r; and each quad's diagonal gap."""
    along_a, along_b = _lengths(np.diff(edge_a, axis=0)), _lengths(np.diff(edge_b, axis=0))
    rise, fall = _lengths(edge_b[1:] - edge_a[:-1]), _lengths(edge_a[1:] - edge_b[:-1])
    low, high = np.zeros(len(along_a), dtype=np.complex128), _upright(r[:-1])
    a1 = _placed(low, high, along_a, fall)  # folded along b_i to a_i+1
    b1 = _placed(a1, high, r[1:], along_b)
    b2 = _placed(low, high, rise, along_b)  # folded along a_i to b_i+1
    a2 = _placed(low, b2, along_a, r[1:])
    gap = np.maximum(np.abs(np.abs(b1 - low) - rise), np.abs(np.abs(a2 - high) - fall))
    return (a1 + a2) / 2, (b1 + b2) / 2, gap


def _placed(p: _Flat, q: _Flat, from_p: Array, from_q: Array) -> _Flat:
    """The points at the given distances from p and q, on the right of the way from p to q."""
    base = np.abs(q - p)
    safe = np.maximum(base, _NO_LENGTH)
    along = np.where(base > _NO_LENGTH, (from_p**2 - from_q**2 + base**2) / (2 * safe), 0.0)
    off = np.sqrt(np.maximum(from_p**2 - along**2, 0.0))
    direction = np.where(base > _NO_LENGTH, (q - p) / safe, 1j)
    found: _Flat = p + direction * (along - 1j * off)
    return found


def _upright(lengths: Array) -> _Flat:
    """Points on the imaginary axis."""
    found: _Flat = np.multiply(1j, lengths).astype(np.complex128)
    return found


def _set_level(a: _Flat, b: _Flat) -> tuple[_Flat, _Flat]:
    """Both edges turned until the strip runs along x on the whole, its box's low corner at 0."""
    run = (a[-1] - a[0]) + (b[-1] - b[0])
    if abs(run) > 1e-3 * np.abs(np.diff(a)).sum():
        turn = np.conj(run) / abs(run)
        a, b = a * turn, b * turn
    both = np.concatenate([a, b])
    corner = both.real.min() + 1j * both.imag.min()
    return a - corner, b - corner


def _plain(points: _Flat) -> Array:
    return np.stack([points.real, points.imag], axis=1)


def _lengths(vectors: Array) -> Array:
    found: Array = np.sqrt((vectors * vectors).sum(axis=1))
    return found
