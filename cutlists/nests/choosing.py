"""Which sheets to buy for one material: least cost first, then the largest rectangle left."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from cutlists.nests.bounds import Needs
from cutlists.nests.choices import Choices, Counts
from cutlists.nests.filling import RULES, OrderSearch, Packing, Work, by_size, fill, lay, strip_rest
from cutlists.nests.forms import Form
from cutlists.nests.ground import Ground, Plot
from cutlists.nests.squeezing import FAILING, make_room, press

_HALVE, _CHEAPEN = 0.5, 0.7
"""Shares of the effort after which costs are no longer halved, and cheaper sheets no longer tried."""
_QUICK, _ROUND = 6, 12
"""Orders tried on a choice of sheets: at first, and each time it is taken up again."""
_MOST_CHOICES = 200
_FULL = 1.0
"""Sheets are not tried that the pieces would cover more of than this."""
_BY_CLOCK = 0.97
"""Share of the time kept for pressing where the clock decides; the engine makes more of it."""
_LEAST_PRESS = 0.5
"""The last pressing is left out if less than this share of what it costs is left to spend."""
_PATIENCE = 2
"""Rounds without headway after which a choice of sheets is given up."""
_HEADWAY = 0.9
"""A round made headway if it left no more than this of the area that found no room before."""
_FEW = 3
"""With more pieces than this without room the engine is not asked."""


@dataclass(frozen=True, eq=False)
class Choice:
    """Sheets to buy with the search over ways to fill them."""

    counts: Counts
    cost: float
    search: OrderSearch

    @property
    def left_area(self) -> float:
        """Area of the pieces that found no room so far, mm2."""
        return np.inf if self.search.best is None else self.search.best.left_area


class Chooser:
    """The search for one material.

    Args:
        forms: the pieces; each fits some plot by itself.
        plots: kinds of sheet to buy and of offcut on hand.
        fits: `(forms, plots)`: whether a form fits a plot by itself.
        needs: what any choice of sheets must meet.
        seed: for the orders tried.
        work: counts the search and ends it.
    """

    def __init__(
        self,
        forms: Sequence[Form],
        plots: Sequence[Plot],
        fits: npt.NDArray[np.bool_],
        needs: Needs,
        seed: int,
        work: Work,
    ) -> None:
        self._forms, self._plots, self._fits = forms, plots, fits
        self._seed, self._work = seed, work
        self._bound = needs.bound
        self._choices = Choices(forms, plots, fits, needs)

    def run(self) -> Packing:
        """The best packing found within the effort.

        A form has no place in it only if the offcuts that it fits are taken and no sheet to buy holds it.
        """
        return self._larger_rest(self._cheaper(self._first()))

    # --- a first plan

    def _first(self) -> Choice:
        """A plan with room for everything: sheets well over the area, else a sheet for each piece."""
        for share in (0.8, 0.7, 0.55):
            for counts in itertools.islice(self._choices.within(share), 2):
                found = self._choice(counts)
                if self._holds_all(found, _QUICK):
                    return self._told(found)
        return self._told(self._one_by_one())

    def _one_by_one(self) -> Choice:
        """A sheet of its own for each piece; a plan always, though a dear one."""
        kinds = [k for k, plot in enumerate(self._plots) if not plot.stock.is_offcut]
        counts = [plot.stock.quantity or 0 for plot in self._plots]
        for k in range(len(self._forms)):
            fitting = [i for i in kinds if self._fits[k, i]]
            if fitting:
                counts[min(fitting, key=lambda i: self._plots[i].stock.cost)] += 1
        found = self._choice(tuple(counts))
        rows = self._fits.sum(axis=1)
        order = sorted(range(len(self._forms)), key=lambda k: (rows[k], -self._forms[k].outer_area))
        forms = [self._forms[k] for k in order]  # those with the least choice first
        found.search.best = fill(found.search.plots, forms, RULES[0], self._work)
        return found

    def _choice(self, counts: Counts) -> Choice:
        """Offcuts first, smallest first; then sheets, largest first."""
        listed = [plot for plot, n in zip(self._plots, counts, strict=True) for _ in range(n)]
        listed.sort(key=lambda plot: plot.area if plot.stock.is_offcut else 1e12 - plot.area)
        search = OrderSearch(listed, self._forms, self._seed, self._work)
        return Choice(counts, self._choices.cost(counts), search)

    # --- cheaper sheets

    def _cheaper(self, best: Choice) -> Choice:
        """Halve the range of costs between bound and plan while that goes, then go on with the hopeful."""
        if best.left_area:
            return best
        within = itertools.takewhile(
            lambda counts: self._choices.cost(counts) < best.cost - 1e-9,
            self._choices.within(_FULL, self._bound),
        )
        untried = [self._choice(counts) for counts in itertools.islice(within, _MOST_CHOICES)]
        tried: list[Choice] = []
        while untried and not self._work.is_over(_HALVE):
            choice = untried.pop(len(untried) // 2)
            if self._holds_all(choice, _QUICK):
                best = self._told(choice)
                untried = [other for other in untried if other.cost < best.cost - 1e-9]
            else:
                tried.append(choice)
                above = [other for other in untried if other.cost > choice.cost + 1e-9]
                untried = above or untried
        return self._harder(best, tried)

    def _harder(self, best: Choice, tried: list[Choice]) -> Choice:
        """Go on with the choices that nearly held everything, first by more orders.

        One that makes no headway is handed to the engine, and given up after a few rounds.
        """
        stale = dict.fromkeys(tried, 0)
        while not self._work.is_over(_CHEAPEN):
            hopeful = [c for c in tried if c.cost < best.cost - 1e-9 and stale[c] < _PATIENCE]
            if not hopeful:
                break
            choice = min(hopeful, key=lambda choice: choice.left_area)
            before = choice.left_area
            stale[choice] += 1
            if self._holds_all(choice, _ROUND):
                best = self._told(choice)
            elif choice.left_area < _HEADWAY * before:
                stale[choice] = 0
            elif self._squeezed(choice):
                best = self._told(choice)
        return best

    def _holds_all(self, choice: Choice, orders: int) -> bool:
        """Whether the pieces find room on the chosen sheets, trying a few more orders."""
        return any(not choice.search.step().left for _ in range(orders) if not self._work.is_out_of_time())

    def _squeezed(self, choice: Choice) -> bool:
        """Whether all find room once the engine has pressed the last few in, one by one."""
        while True:
            packing = choice.search.best
            assert packing is not None
            if not packing.left:
                return True
            if len(packing.left) > _FEW or self._work.is_over(_CHEAPEN):
                return False
            found = self._with_one_more(packing)
            if found is None:
                return False
            choice.search.best = found

    def _with_one_more(self, packing: Packing) -> Packing | None:
        """The packing with one more piece pressed by the engine into the emptiest sheet that takes it."""
        form = max(packing.left, key=lambda form: form.polygon.area)
        for k in sorted(range(len(packing.grounds)), key=lambda k: -packing.grounds[k].free):
            ground = packing.grounds[k]
            if not ground.plot.is_box:
                continue
            if self._work.is_over(_CHEAPEN):
                break
            found = make_room(ground, form, self._seed, self._work)
            if found is not None:
                return _topped_up(packing, k, found, [other for other in packing.left if other is not form])
        return None

    def _told(self, choice: Choice) -> Choice:
        """The choice without sheets that stayed empty, told as progress."""
        packing = choice.search.best
        assert packing is not None
        used = tuple(ground for ground in packing.grounds if ground.laid)
        bought = [ground.plot for ground in used if not ground.plot.stock.is_offcut]
        self._work.tell(f"{len(used)} sheet{'s' * (len(used) != 1)} hold{'s' * (len(used) == 1)} everything")
        if len(used) == len(packing.grounds):
            return choice
        choice.search.plots = [ground.plot for ground in used]
        choice.search.best = Packing(used, packing.left)
        counts = tuple(
            plot.stock.quantity or 0 if plot.stock.is_offcut else sum(other is plot for other in bought)
            for plot in self._plots
        )
        return Choice(counts, self._choices.cost(counts), choice.search)

    # --- what is left

    def _larger_rest(self, best: Choice) -> Packing:
        """Of plans at that cost the one that leaves the largest strip, pressed by the engine at the end."""
        keep = min(0.3, FAILING / self._work.effort) if self._work.repeatable else _BY_CLOCK
        while not self._work.is_over(1.0 - keep):
            best.search.step()
        packing = best.search.best
        assert packing is not None
        return self._pressed(packing) if self._work.may_spend(_LEAST_PRESS * FAILING) else packing

    def _pressed(self, packing: Packing) -> Packing:
        """The packing with one sheet laid anew by the engine, if that leaves more."""
        k = packing.emptiest
        if not packing.grounds[k].plot.is_box:
            return packing
        pressed = [packing.grounds[k], *press(packing.grounds[k], self._seed, self._work)]
        return Packing(_replaced(packing.grounds, k, max(pressed, key=strip_rest)), packing.left)


def _replaced(grounds: Sequence[Ground], k: int, new: Ground) -> tuple[Ground, ...]:
    return (*grounds[:k], new, *grounds[k + 1 :])


def _topped_up(packing: Packing, k: int, new: Ground, left: Sequence[Form]) -> Packing:
    """The packing with sheet k laid anew, and those that had no room tried again on every sheet."""
    grounds = _replaced(packing.grounds, k, new)
    still = [form for form in by_size(left)[0] if not lay(form, grounds, RULES[0])]
    return Packing(grounds, tuple(still))
