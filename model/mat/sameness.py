"""When two pieces of mat are the same piece for the shop: same outline, and grooves that fall the same."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

import numpy as np

from model.geometry import Array
from model.mat.piece import MatPiece
from model.panel_sameness import signature as flat_signature
from model.panel_sameness import tidied
from parts.outline import Loop

STEP = 0.1
"""Coordinates and the phase of the grooves are told apart in steps of this many mm."""
_OFF_GRID = 11 / 32
"""Moves the bounds between steps off the numbers that drawings are made of."""


@dataclass(frozen=True, eq=False)
class _Flat:
    """What the signature of a flat piece is made of."""

    cut_outline: Loop
    cut_holes: tuple[Loop, ...]
    sheet: _Named
    bend_lines: tuple[()] = ()


@dataclass(frozen=True)
class _Named:
    name: str


def mat_signature(piece: MatPiece) -> str:
    """The same text for two pieces that can be glued in each other's place.

    The face of mat is not its back, so that mirror images differ. A grooved piece may be turned end for end,
    a plain one any way; the distance of the grooves from its middle counts.
    """
    stuff = f"mat-{piece.thickness:g}"
    if piece.lines is None:
        flat = _Flat(piece.outline, piece.holes, _Named(stuff))
        return flat_signature(flat, both_faces=False)  # type: ignore[arg-type]
    loops = [tidied(loop.ccw()) for loop in (piece.outline, *piece.holes)]
    middle = loops[0].centroid
    off = piece.lines.off(float(middle[1]))
    half = piece.lines.spacing / 2
    rows = min(_rows(loops, middle, off, half, sign) for sign in (1.0, -1.0))
    digest = hashlib.sha1(rows, usedforsecurity=False).hexdigest()
    return f"{stuff}:{piece.lines.spacing:.1f}:{digest[:16]}"


def _rows(loops: list[Loop], middle: Array, off: float, half: float, sign: float) -> bytes:
    """Phase, outline and holes in steps, as drawn (sign 1) or turned end for end (sign -1)."""
    turned = sign * off
    # half a pitch off the nearest line is the same on either side of it
    phase = half if abs(turned + half) < STEP / 2 else turned
    outside, *holes = (_loop(loop, middle, sign) for loop in loops)
    return b"|".join([_steps(np.array([phase])), outside, *sorted(holes)])


def _loop(loop: Loop, middle: Array, sign: float) -> bytes:
    """Corners and the middles of the edges after them, from the least corner on; a circle by its middle."""
    if len(loop.points) == 2 and (loop.bulges > 0.999).all():
        centre, radius = loop.centroid, float(np.hypot(*np.diff(loop.points, axis=0)[0])) / 2
        return _steps(np.array([*(sign * (centre - middle)), radius]))
    pairs = sign * np.concatenate([loop.points - middle, loop.apexes - middle], axis=1)
    order = np.lexsort(np.round(pairs / STEP).T[::-1])
    return _steps(np.roll(pairs, -int(order[0]), axis=0))


def _steps(values: Array) -> bytes:
    return np.floor(values / STEP + _OFF_GRID).astype(">i8").tobytes()
