"""Running dimensions: every place along an edge measured from one datum, never from its neighbour.

A tape is hooked once and each place marked off it, so that no error is carried from one to the next
(ISO 129-1, superimposed running dimensioning).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import isotonic_regression

from cutlists.drawing.drawing import DIMENSION, FAINT, Drawing
from model.geometry import Array

SIZE = 2.5
"""Height of the figures, mm of paper."""
PITCH = 1.3
"""Least distance between two lines of figures as a share of their size."""
JOG = 5.0
"""Length over which a line leads from its place to its figure, mm."""
SAME = 0.4
"""Places nearer than this in the boat are one, mm."""


@dataclass(frozen=True, slots=True)
class Place:
    """A place to be measured: mm from the datum, the words of its figure, where its line starts on paper."""

    value: float
    words: str
    start: float


def spread(wanted: Array, pitch: float, low: float, high: float) -> Array:
    """Where figures stand so that none is nearer than `pitch` to the next, each as near its place as can be.

    The least squares of the moves under the gaps asked for: an isotonic regression of the places less a
    multiple of the pitch (Barlow and others, Statistical Inference under Order Restrictions, 1972).

    Args:
        wanted: `(n,)`, in rising order.
        pitch: least distance.
        low: where the first may stand.
        high: where the last may stand; given up where there is no room.
    """
    count = len(wanted)
    if not count:
        return wanted
    steps = pitch * np.arange(count)
    settled = np.asarray(isotonic_regression(wanted - steps).x, dtype=np.float64)
    bounded: Array = np.clip(settled, low, max(high - steps[-1], low)) + steps
    return bounded


def merged(places: Sequence[Place], same: float = SAME) -> list[Place]:
    """The places in rising order, one for each value; the line starts where that of the first did."""
    found: list[Place] = []
    for place in sorted(places, key=lambda p: p.value):
        if not found or place.value - found[-1].value > same:
            found.append(place)
    return found


def run_below(drawing: Drawing, places: Sequence[Place], at: Array, foot: float, datum: float) -> None:
    """Running dimensions along x, below the drawing; figures read upward.

    Args:
        drawing: drawn on.
        places: in rising order of paper x; `start` is the paper y their lines come down from.
        at: paper x of each, `(n,)`.
        foot: paper y of the line that carries the ticks.
        datum: paper x of the datum.
    """
    stands = spread(np.asarray(at), SIZE * PITCH, 2.0, drawing.width - 2.0)
    for place, x, figure in zip(places, at.tolist(), stands.tolist(), strict=True):
        drawing.lines([[(x, place.start + 1.0), (x, foot - 0.6)]], FAINT)
        drawing.lines([[(x, foot - 0.6), (x, foot + 0.8), (figure, foot + JOG)]], DIMENSION)
        drawing.text(figure + SIZE * 0.36, foot + JOG + 0.8, place.words, SIZE, "end", turn=-90.0)
    drawing.lines([[(min([datum, *at]), foot), (max([datum, *at]), foot)]], DIMENSION)
    drawing.dot((datum, foot), 0.8)


def run_beside(drawing: Drawing, places: Sequence[Place], at: Array, foot: float, datum: float) -> None:
    """Running dimensions along y, to the right of the drawing; figures read level.

    Args:
        drawing: drawn on.
        places: in the order of `at`; `start` is the paper x their lines come from.
        at: paper y of each, `(n,)`.
        foot: paper x of the line that carries the ticks.
        datum: paper y of the datum.
    """
    order = np.argsort(at)
    stands = spread(np.asarray(at)[order], SIZE * PITCH, 2.0, drawing.height - 2.0)
    for index, figure in zip(order.tolist(), stands.tolist(), strict=True):
        place, y = places[index], float(at[index])
        drawing.lines([[(place.start + 1.0, y), (foot - 0.6, y)]], FAINT)
        drawing.lines([[(foot - 0.6, y), (foot + 0.8, y), (foot + JOG, figure)]], DIMENSION)
        drawing.text(foot + JOG + 0.8, figure + SIZE * 0.36, place.words, SIZE)
    drawing.lines([[(foot, min([datum, *at])), (foot, max([datum, *at]))]], DIMENSION)
    drawing.dot((foot, datum), 0.8)


def between(drawing: Drawing, ends: tuple[Array, Array], words: str, size: float = SIZE) -> None:
    """A single dimension along the line between two points of paper, its words beside the middle."""
    p, q = (np.asarray(end, dtype=np.float64) for end in ends)
    way = q - p
    length = float(np.hypot(*way))
    way = way / length
    across = np.array([-way[1], way[0]])
    drawing.lines([[p, q]], DIMENSION)
    for end in (p, q):
        drawing.lines([[end - 1.1 * (way + across) / 2**0.5, end + 1.1 * (way + across) / 2**0.5]], DIMENSION)
    turn = float(np.degrees(np.arctan2(way[1], way[0])))
    turn = turn - 180.0 if turn > 90.0 else turn + 180.0 if turn <= -90.0 else turn
    up = np.array([np.sin(np.radians(turn)), -np.cos(np.radians(turn))])
    x, y = ((p + q) / 2 + 1.0 * up).tolist()
    drawing.text(x, y, words, size, "middle", turn=turn)
