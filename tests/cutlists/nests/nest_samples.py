"""Pieces and stock the nest tests share."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cutlists.nests.records import QUARTERS, NestPiece, Placement, Stock
from cutlists.nests.settings import NestSettings
from parts.outline import Array, Loop

QUICK = NestSettings(spacing=5.0, margin=10.0, seconds=120.0, effort=0.15)
"""A short search that the clock does not stop, so that it comes out the same every time."""


def piece(
    name: str,
    outline: Loop | Sequence[tuple[float, float]],
    *holes: Loop,
    turns: tuple[int, ...] = QUARTERS,
    may_flip: bool = False,
    lines: tuple[Array, ...] = (),
) -> NestPiece:
    loop = outline if isinstance(outline, Loop) else Loop.polygon(outline)
    return NestPiece(name, name.partition(".")[0], "plate", loop.ccw(), holes, turns, may_flip, lines)


def box(name: str, long: float, high: float, turns: tuple[int, ...] = QUARTERS) -> NestPiece:
    return piece(name, Loop.rectangle(long, high), turns=turns)


def frame(name: str, side: float, opening: float) -> NestPiece:
    """A square with a square opening in the middle."""
    return piece(name, Loop.rectangle(side, side), Loop.rectangle(opening, opening))


def deck_like(rng: np.random.Generator, count: int) -> list[NestPiece]:
    """Pieces of the kinds a boat has: bowed decks with openings, rounded lids, slanted walls, discs."""
    found = []
    for k in range(count):
        long, high = rng.uniform(150, 700), rng.uniform(100, 400)
        kind = k % 4
        if kind == 0:
            x = np.linspace(0, long, 40)
            y = high * (1 - 0.6 * (x / long) ** 2)
            ring = np.concatenate([np.stack([x, -y / 2], 1), np.stack([x, y / 2], 1)[::-1]])
            hole = Loop.rectangle(0.4 * long, 0.3 * high, 8.0, (0.35 * long, 0.0))
            found.append(piece(f"D{k}.1", Loop.polygon(ring), hole, may_flip=bool(k % 8)))
        elif kind == 1:
            found.append(piece(f"L{k}.1", Loop.rectangle(long, high, 30.0)))
        elif kind == 2:
            slant = rng.uniform(0.2, 0.8) * long
            ring = [(0.0, 0.0), (long, 0.0), (slant, high), (0.0, high)]
            found.append(piece(f"W{k}.1", ring, turns=(0, 180), may_flip=True))
        else:
            found.append(piece(f"R{k}.1", Loop.circle(high)))
    return found


def offcut(label: str, corners: Sequence[tuple[float, float]], *holes: Loop, quantity: int = 1) -> Stock:
    return Stock(label, Loop.polygon(corners).ccw(), holes, 0.0, quantity)


def at(one: NestPiece, x: float, y: float, turn: int = 0, flipped: bool = False) -> Placement:
    return Placement(one, turn, flipped, x, y)
