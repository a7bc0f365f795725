"""Stretches that several runs share, how thick they are together, and how full passages become."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from model.geometry import Array
from model.ways.passages import Passage
from model.ways.run import Run, length_of

STEP = 20.0
"""Runs are compared at points this far apart, mm."""

BESIDE = 15.0
"""Runs whose middle lines lie this near to each other, mm, and go the same way, are one bundle there."""

ALIKE = 0.9
"""Cosine of the angle within which they go the same way."""

SHORTEST = 60.0
"""A stretch shorter than this, mm, is no bundle: runs that cross."""

PACKED = 1.225
"""Circle about four or more runs, over the root of the sum of their squares. Equal circles in a circle take
no more than this by the packings of Graham, Lubachevsky, Nurmela and Ostergard (Discrete Math. 181, 1998)."""

SHORT = 609.6
"""Passages up to this length, mm, may be filled further (NEC chapter 9, note 4: nipples up to 24 in)."""

FILLED = {1: 0.53, 2: 0.31}
"""Most of a long passage's opening that so many runs fill: NEC chapter 9, table 1, meant for conduit."""
FILLED_MORE, FILLED_SHORT = 0.40, 0.60
"""The same for three runs and more, and for short passages."""


@dataclass(frozen=True, eq=False)
class Bundle:
    """A stretch that the same runs share.

    Attributes:
        runs: their names, sorted.
        path: its middle line `(n, 3)`, mm.
        diameter: of all together, mm.
    """

    runs: tuple[str, ...]
    path: Array
    diameter: float

    @property
    def length(self) -> float:
        """Of the stretch, mm."""
        return length_of(self.path)


@dataclass(frozen=True, eq=False)
class Filled:
    """How full a passage is: the runs in it, their share of its opening, and the most that is allowed.

    `thick` is the diameter of all runs together, mm.
    """

    passage: Passage
    runs: tuple[str, ...]
    share: float
    most: float
    thick: float

    @property
    def is_too_full(self) -> bool:
        """Whether more is in it than should be, or than goes in at all."""
        return self.share > self.most + 1e-9 or self.thick > self.passage.least + 1e-6


def around(diameters: Sequence[float]) -> float:
    """Diameter of the circle about round runs that lie close, mm.

    Of two it is their sum; of three that touch each other, by Descartes' circle theorem; of more by `PACKED`,
    but never less than of the three thickest.
    """
    own = sorted(diameters, reverse=True)
    if len(own) < 3:
        return sum(own)
    three = _about_three(*own[:3])
    if len(own) == 3:
        return three
    return max(three, PACKED * math.sqrt(sum(d * d for d in own)))


def _about_three(a: float, b: float, c: float) -> float:
    """The circle about three that touch each other; that of the two thickest where the third fits beside."""
    ka, kb, kc = 2.0 / a, 2.0 / b, 2.0 / c
    curvature = ka + kb + kc - 2.0 * math.sqrt(ka * kb + kb * kc + kc * ka)
    outer = -2.0 / curvature if curvature < 0.0 else math.inf
    return max(a + b, outer) if math.isfinite(outer) else a + b


def bundles(runs: Sequence[Run]) -> tuple[Bundle, ...]:
    """Every stretch that two runs or more share, the thickest first."""
    steps = [walked(run.path) for run in runs]
    if len(runs) < 2:
        return ()
    points = np.concatenate([own[0] for own in steps])
    ways = np.concatenate([own[1] for own in steps])
    whose = np.repeat(np.arange(len(runs)), [len(own[0]) for own in steps])
    sets: list[set[int]] = [{int(w)} for w in whose]
    pairs = cKDTree(points).query_pairs(BESIDE, output_type="ndarray")
    alike = np.abs((ways[pairs[:, 0]] * ways[pairs[:, 1]]).sum(axis=1)) > ALIKE
    for i, j in pairs[alike & (whose[pairs[:, 0]] != whose[pairs[:, 1]])].tolist():
        sets[i].add(int(whose[j]))
        sets[j].add(int(whose[i]))
    found = _stretches(runs, points, whose, sets)
    return tuple(sorted(found, key=lambda b: (-b.diameter, -b.length, b.runs)))


def _stretches(
    runs: Sequence[Run],
    points: Array,
    whose: np.ndarray[tuple[int], np.dtype[np.int64]],
    sets: list[set[int]],
) -> list[Bundle]:
    """Points of one run that follow on each other with the same company; told by the first of the company."""
    found = []
    start = 0
    for k in range(1, len(points) + 1):
        if k < len(points) and whose[k] == whose[start] and sets[k] == sets[start]:
            continue
        company = sorted(sets[start])
        path = points[start:k]
        if len(company) > 1 and company[0] == whose[start] and length_of(path) >= SHORTEST:
            names = tuple(sorted(runs[i].name for i in company))
            found.append(Bundle(names, path, around([runs[i].diameter for i in company])))
        start = k
    return found


def walked(path: Array) -> tuple[Array, Array]:
    """Points along a path `(n, 3)` and the way it goes there."""
    step = np.diff(path, axis=0)
    size = np.sqrt((step**2).sum(axis=1))
    far = np.concatenate([[0.0], np.cumsum(size)])
    at = np.linspace(0.0, far[-1], max(2, int(far[-1] / STEP) + 1))
    points = np.column_stack([np.interp(at, far, path[:, k]) for k in range(3)])
    which = np.clip(np.searchsorted(far, at, side="right") - 1, 0, len(size) - 1)
    return points, step[which] / np.maximum(size[which], 1e-9)[:, None]


def fillings(runs: Sequence[Run], passages: Sequence[Passage]) -> tuple[Filled, ...]:
    """How full each passage is that runs go through."""
    found = []
    for passage in passages:
        own = [run for run in runs if passage.name in run.passages]
        if own:
            area = sum(math.pi / 4.0 * run.diameter**2 for run in own)
            thick = around([run.diameter for run in own])
            names = tuple(run.name for run in own)
            found.append(Filled(passage, names, area / passage.area, most_filled(passage, len(own)), thick))
    return tuple(found)


def most_filled(passage: Passage, count: int) -> float:
    """The most of a passage's opening that so many runs may fill; one alone need only go into a short one."""
    if length_of(passage.points) <= SHORT:
        return 1.0 if count == 1 else FILLED_SHORT
    return FILLED.get(count, FILLED_MORE)
