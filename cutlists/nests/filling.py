"""Pieces laid one after the other into given sheets, and other orders tried when some find no room."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from cutlists.nests.forms import Form
from cutlists.nests.ground import Ground, Plot, Rule, Spot

RULES = (Rule(0, False), Rule(1, False), Rule(0, True), Rule(1, True))

_PRESSED = 0.82
"""Share of a strip that pieces take up when the engine has pressed them together."""
_ANEW = 0.95
"""How often one sheet is laid again instead of all."""


@dataclass
class Work:
    """How much searching is done and may be done, in nominal seconds, and when the clock ends it.

    The nominal seconds are counted from the work itself, so that two runs stop at the same place.
    """

    effort: float
    deadline: float
    repeatable: bool = True
    tell: Callable[[str], None] = lambda _: None
    done: float = 0.0
    cut_short: bool = False
    notes: list[str] = field(default_factory=list)
    started: float = field(default_factory=time.monotonic)

    def charge(self, seconds: float) -> None:
        """Count work done."""
        self.done += seconds

    def is_over(self, share: float = 1.0) -> bool:
        """Whether that share of the effort is spent, or of the time where that decides."""
        if self.repeatable:
            return self.is_out_of_time() or self.done >= share * self.effort
        return time.monotonic() >= self.started + share * (self.deadline - self.started)

    def may_spend(self, seconds: float) -> bool:
        """Whether there is time, and that many nominal seconds where they decide."""
        return not self.is_out_of_time() and (not self.repeatable or self.effort - self.done >= seconds)

    def is_out_of_time(self) -> bool:
        """Whether the clock has run out."""
        if self.repeatable and time.monotonic() > self.deadline:
            self.cut_short = True
        return time.monotonic() > self.deadline


@dataclass(frozen=True, eq=False)
class Packing:
    """Sheets with what is laid on them, and the forms that found no room."""

    grounds: tuple[Ground, ...]
    left: tuple[Form, ...]

    @property
    def left_area(self) -> float:
        """Area of the forms that found no room, mm2."""
        return sum(form.polygon.area for form in self.left)

    @property
    def rank(self) -> tuple[float, float]:
        """Less is better: area without room, then the most promising rest."""
        return self.left_area, -max((promise(ground) for ground in self.grounds if ground.laid), default=0.0)

    @property
    def emptiest(self) -> int:
        """The sheet whose rest is the most promising."""
        return max(range(len(self.grounds)), key=lambda k: promise(self.grounds[k]))


def promise(ground: Ground) -> float:
    """How large a rest a sheet may leave, mm2: the strip free now, and what would be free if well pressed."""
    return strip_rest(ground) + ground.plot.area - (ground.plot.area - ground.free) / _PRESSED


def strip_rest(ground: Ground) -> float:
    """Area of the largest strip free at the high end of the sheet, along or across, mm2."""
    length, width = ground.plot.size
    if not ground.laid:
        return length * width
    ends = np.array([laid.polygon.bounds for laid in ground.laid])[:, 2:].max(axis=0)
    return float(max((length - ends[0]) * width, (width - ends[1]) * length))


def fill(plots: Sequence[Plot], order: Sequence[Form], rule: Rule, work: Work) -> Packing:
    """Lay forms in the given order, each into an opening if it can, else on the first sheet with room."""
    grounds = [Ground(plot) for plot in plots]
    left = [form for form in order if not lay(form, grounds, rule)]
    work.charge(_cost(grounds))
    return Packing(tuple(grounds), tuple(left))


def _cost(grounds: Sequence[Ground]) -> float:
    """Nominal seconds that laying on the grounds took."""
    return sum(ground.spent for ground in grounds)


def lay(form: Form, grounds: Sequence[Ground], rule: Rule) -> bool:
    """Lay one form; whether it found room."""
    for openings_only in (True, False):
        for ground in grounds:
            spot: Spot | None = ground.find(form, rule, openings_only)
            if spot is not None:
                ground.put(form, spot)
                return True
    return False


def by_size(forms: Sequence[Form]) -> list[list[Form]]:
    """Forms from large to small, by two measures of large."""
    measures: tuple[Callable[[Form], float], ...] = (
        lambda form: form.outer_area,
        lambda form: max(form.poses[0].size),
    )
    return [sorted(forms, key=lambda form: (-measure(form), form.piece.name)) for measure in measures]


class OrderSearch:
    """A search over orders of forms and rules for one set of sheets, that can be gone on with."""

    def __init__(self, plots: Sequence[Plot], forms: Sequence[Form], seed: int, work: Work) -> None:
        self.plots = plots
        self.best: Packing | None = None
        self._forms, self._work = forms, work
        self._rng = np.random.default_rng(seed)
        self._starts = list(zip(by_size(forms), RULES[:2], strict=False))
        self._order: list[Form] = self._starts[0][0]
        self._rule = RULES[0]

    def step(self) -> Packing:
        """Try one more order; returns the best packing so far."""
        if self.best is not None and not self._starts and self._rng.random() < _ANEW:
            found = self._fuller(self.best) if not self.best.left else self._one_sheet_anew(self.best)
            if found.rank <= self.best.rank:
                self.best = found
            return self.best
        order, rule = self._starts.pop(0) if self._starts else self._changed()
        found = fill(self.plots, order, rule, self._work)
        if self.best is None or found.rank <= self.best.rank:
            self.best, self._order, self._rule = found, order, rule
        return self.best

    def _changed(self) -> tuple[list[Form], Rule]:
        """The best order with forms that found no room moved up, a few swapped, and at times another rule."""
        assert self.best is not None
        order, rng = list(self._order), self._rng
        for form in self.best.left:
            at = order.index(form)
            order.insert(int(rng.integers(0, at + 1)), order.pop(at))
        for _ in range(int(rng.integers(1, 4))):
            a = int(rng.integers(0, len(order)))
            b = min(len(order) - 1, max(0, a + int(rng.integers(-6, 7))))
            order[a], order[b] = order[b], order[a]
        rule = RULES[int(rng.integers(0, len(RULES)))] if rng.random() < 0.3 else self._rule
        return order, rule

    def _one_sheet_anew(self, packing: Packing) -> Packing:
        """One sheet cleared and laid again, with those that found no room."""
        k = int(self._rng.integers(0, len(packing.grounds)))
        return self._laid_again(packing, k, packing.left, {})

    def _fuller(self, packing: Packing) -> Packing:
        """One sheet laid again with up to three pieces of the emptiest on it, so that that is emptier yet."""
        rng, emptiest = self._rng, packing.emptiest
        k = int(rng.integers(0, len(packing.grounds)))
        if k == emptiest:
            return self._laid_again(packing, k, (), {})
        laid = packing.grounds[emptiest].laid
        moved = set(
            rng.choice(len(laid), size=min(len(laid), int(rng.integers(1, 4))), replace=False).tolist()
        )
        thinner = Ground(packing.grounds[emptiest].plot)
        for i, one in enumerate(laid):
            if i not in moved:
                thinner.put(one.form, one.spot)
        return self._laid_again(packing, k, [laid[i].form for i in sorted(moved)], {emptiest: thinner})

    def _laid_again(
        self, packing: Packing, k: int, more: Sequence[Form], changed: Mapping[int, Ground]
    ) -> Packing:
        """Sheet k cleared and laid with its own forms and more, in an order about that of size.

        What finds no room on it goes to the other sheets, of which some were `changed` before.
        """
        rng = self._rng
        forms = [*(laid.form for laid in packing.grounds[k].laid), *more]
        noise = np.exp(0.4 * rng.standard_normal(len(forms)))
        ranked = sorted(zip(noise, forms, strict=True), key=lambda pair: -pair[0] * pair[1].outer_area)
        grounds = [changed.get(i) or ground.copy() for i, ground in enumerate(packing.grounds)]
        grounds[k] = Ground(packing.grounds[k].plot)
        others = sorted((*grounds[:k], *grounds[k + 1 :]), key=lambda ground: ground.free)
        first = [grounds[k], *others]  # the fullest of the others first, to leave the emptiest alone
        rule = RULES[int(rng.integers(0, len(RULES)))]
        left = [form for _, form in ranked if not lay(form, first, rule)]
        self._work.charge(_cost(grounds))
        return Packing(tuple(grounds), tuple(left))
