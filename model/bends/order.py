"""In what order the bends of a piece are made, so that what is bent already stays clear of the punch.

Each bend is looked at across, as thin straight lines: the punch stands upright on the line that halves the
bend when it is done, half its thickness to each side, and sheet bent earlier may not reach it. That is the
plain straight punch; a necked one passes where this says no.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache

import numpy as np
import shapely

from model.bends.made import Fold

_FAR = 1e5
_PARALLEL = math.cos(math.radians(3.0))


@dataclass(frozen=True)
class Across:
    """Bends cut across: straight lengths with a bend between each two.

    Attributes:
        lengths: from one mould line to the next, mm, `(n + 1,)`.
        turns: of the bends, rad, `(n,)`; above 0 towards the face.
        of: which fold each bend is of, and its number there.
    """

    lengths: tuple[float, ...]
    turns: tuple[float, ...]
    of: tuple[tuple[int, int], ...]

    def room(self, bend: int, done: frozenset[int]) -> float:
        """How far off the middle of the punch the metal that is bent already stands, mm.

        Args:
            bend: the one that is being made.
            done: those that are made already.
        """
        toward = math.copysign(1.0, self.turns[bend])
        least = _FAR
        for step in (1, -1):
            lengths = self.lengths[bend + 1 :] if step > 0 else self.lengths[bend::-1]
            bends = range(bend + 1, len(self.turns)) if step > 0 else range(bend - 1, -1, -1)
            # the wing rises from level by half the bend; towards the punch is up
            heading, x, y, turned = abs(self.turns[bend]) / 2.0, 0.0, 0.0, False
            for k, length in zip((None, *bends), lengths, strict=True):
                if k is not None and k in done:
                    heading, turned = heading + toward * self.turns[k], True
                x, y = x + length * math.cos(heading), y + length * math.sin(heading)
                if turned and y > 0.0:
                    least = min(least, x)
        return least

    def best(self) -> tuple[tuple[int, ...], float]:
        """The order of bends that leaves the punch most room, and that room, mm."""
        return _best(self)


@lru_cache(maxsize=256)
def _best(across: Across) -> tuple[tuple[int, ...], float]:
    """Outer bends are tried first, so that of orders as good the one that starts at the edges is taken."""
    count = len(across.turns)
    tried = sorted(range(count), key=lambda k: (min(k, count - 1 - k), k))

    @cache
    def after(done: frozenset[int]) -> tuple[tuple[int, ...], float]:
        if len(done) == count:
            return (), _FAR
        found: tuple[tuple[int, ...], float] = ((), -math.inf)
        for bend in tried:
            if bend not in done:
                rest, least = after(done | {bend})
                least = min(least, across.room(bend, done))
                if least > found[1] + 1e-9:
                    found = ((bend, *rest), least)
        return found

    return after(frozenset())


def sections_across(core: shapely.Polygon, folds: Sequence[Fold]) -> list[Across]:
    """The piece cut across at each fold that has returns, or that stands across from another."""
    found: list[Across] = []
    taken: set[int] = set()
    for i, fold in enumerate(folds):
        if i in taken:
            continue
        depth, j = _opposite(core, folds, i)
        if j is None and not fold.flange.returns:
            continue
        taken |= {i} if j is None else {i, j}
        near = _chain(fold, i)
        far = [] if j is None else _chain(folds[j], j)
        lengths = [n for n, _, _ in reversed(far)] + [depth] + [n for n, _, _ in near]
        turns = [turn for _, turn, _ in (*reversed(far), *near)]
        of = [name for _, _, name in (*reversed(far), *near)]
        found.append(Across(tuple(round(n, 6) for n in lengths), tuple(turns), tuple(of)))
    return found


def bend_steps(core: shapely.Polygon, folds: Sequence[Fold]) -> tuple[tuple[int, ...], ...]:
    """When each bend of each fold is made, from 1 for each section across; empty where none has a return."""
    if not any(fold.flange.returns for fold in folds):
        return ()
    steps = [[1] * len(fold.flange.turns) for fold in folds]
    for across in sections_across(core, folds):
        for number, bend in enumerate(across.best()[0], 1):
            fold, turn = across.of[bend]
            steps[fold][turn] = number
    return tuple(tuple(own) for own in steps)


def _chain(fold: Fold, number: int) -> list[tuple[float, float, tuple[int, int]]]:
    """Height, turn towards the face, and name of each bend of a fold, from the sheet outward."""
    own = fold.flange
    return [
        (turn.height, turn.angle * (1.0 if own.turns_up(k) else -1.0), (number, k))
        for k, turn in enumerate(own.turns)
    ]


def _opposite(core: shapely.Polygon, folds: Sequence[Fold], i: int) -> tuple[float, int | None]:
    """How deep the sheet is behind a fold, mm, and which other fold stands at its far edge."""
    own = folds[i].flange
    middle = (folds[i].low + folds[i].high) / 2.0
    line = shapely.LineString([own.at(middle, -own.setback - 0.1), own.at(middle, -_FAR)])
    hit = shapely.get_parts(shapely.intersection(line, core))
    depth = max((float(part.length) for part in hit[:1]), default=0.0) + own.setback
    for j, other in enumerate(folds):
        if j == i or float(own.out @ other.flange.out) > -_PARALLEL:
            continue
        ends = np.array([other.flange.at(s, 0.0) for s in (other.low, other.high)])
        along, out = (ends - own.start) @ own.along, (ends - own.start) @ own.out
        if along.min() < folds[i].high and along.max() > folds[i].low:
            gap = float(-out.mean())
            if abs(gap - depth) < other.flange.setback + own.setback + 5.0:
                return gap, j
    return depth, None
