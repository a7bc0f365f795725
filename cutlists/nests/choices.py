"""Which numbers of sheets to try: cheapest first, and only such as may hold everything."""

from __future__ import annotations

import heapq
import itertools
from collections.abc import Iterator, Sequence

import numpy as np
import numpy.typing as npt

from cutlists.nests.bounds import Needs
from cutlists.nests.forms import Form
from cutlists.nests.ground import Plot
from parts.outline import Array

Counts = tuple[int, ...]
"""How many of each kind of sheet, in the order of the plots; offcuts are always all of those on hand."""
MOST_LOOKED_AT = 20_000


class Choices:
    """Numbers of sheets for one material.

    Args:
        forms: the pieces.
        plots: kinds of sheet to buy and offcuts on hand.
        fits: `(forms, plots)`: whether a form fits a plot by itself.
        needs: what any choice must meet.
    """

    def __init__(
        self, forms: Sequence[Form], plots: Sequence[Plot], fits: npt.NDArray[np.bool_], needs: Needs
    ) -> None:
        self._needs = needs
        self._room = np.array([plot.area for plot in plots])
        self._cost = np.array([plot.stock.cost for plot in plots])
        self._start = tuple(plot.stock.quantity or 0 for plot in plots)
        self._bought = [k for k, plot in enumerate(plots) if not plot.stock.is_offcut]
        areas = np.array([form.polygon.area for form in forms])
        self._sets = np.unique(fits, axis=0)
        self._held = np.array([areas[~(fits & ~allowed).any(axis=1)].sum() for allowed in self._sets])
        self._area = float(areas.sum())

    def cost(self, counts: Counts) -> float:
        """What they cost."""
        return float(np.dot(self._cost, counts))

    def within(self, share: float, least: float = 0.0) -> Iterator[Counts]:
        """Numbers of sheets by rising cost, from `least` on, that are to be covered by up to `share`."""
        for counts in itertools.islice(self._rising(), MOST_LOOKED_AT):
            if self.cost(counts) >= least * (1 - 1e-9) and self._may_hold(counts, share):
                yield counts

    def _may_hold(self, counts: Counts, share: float) -> bool:
        if not self._needs.number_met(counts):
            return False
        room: Array = self._room * counts
        held = (self._sets * room).sum(axis=1)
        return bool((self._held <= share * held + 1.0).all()) and self._area <= share * room.sum() + 1.0

    def _rising(self) -> Iterator[Counts]:
        """Every choice once, cheapest first, of like cost the one of fewer sheets."""
        heap: list[tuple[float, int, Counts, int]] = [(0.0, 0, self._start, 0)]
        while heap:
            _, number, counts, first = heapq.heappop(heap)
            yield counts
            for place in range(first, len(self._bought)):
                k = self._bought[place]
                more = (*counts[:k], counts[k] + 1, *counts[k + 1 :])
                heapq.heappush(heap, (round(self.cost(more), 9), number + 1, more, place))
