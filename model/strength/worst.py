"""The worst of many loads on every element, kept as batches of loads go by."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from model.geometry import Array
from model.strength.network import Ids


@dataclass(frozen=True, eq=False)
class Worst:
    """The worst of one case on a member: which element and end, what it feels, who stands where."""

    use: float
    case: str
    element: int
    end: int
    resultants: Array
    people: tuple[int, ...] = ()


class WorstSoFar:
    """For both ends of `count` elements: the greatest use yet, in which place, and what was felt then."""

    def __init__(self, count: int) -> None:
        """Nothing yet."""
        self.use = np.zeros((count, 2))
        self.at = np.zeros((count, 2), dtype=np.int64)
        self.felt = np.zeros((count, 2, 6))

    def take(self, use: Array, felt: Array, first: int) -> None:
        """Takes a batch: uses `(e, 2, p)` and forces `(e, 2, 6, p)` of places from `first` on."""
        p = use.argmax(axis=2)
        new = np.take_along_axis(use, p[..., None], axis=2)[..., 0]
        better = new > self.use
        self.use = np.where(better, new, self.use)
        self.at = np.where(better, p + first, self.at)
        now = np.take_along_axis(felt, p[:, :, None, None], axis=3)[..., 0]
        self.felt = np.where(better[..., None], now, self.felt)

    def worst(self, mine: Ids, case: str) -> Worst:
        """The worst over some elements."""
        e, end = greatest(self.use[mine])
        n = int(mine[e])
        return Worst(float(self.use[n, end]), case, n, end, self.felt[n, end], (int(self.at[n, end]),))


def greatest(field: Array) -> tuple[int, int]:
    """The place of the greatest value of an `(e, 2)` field."""
    e, end = np.unravel_index(int(field.argmax()), field.shape)
    return int(e), int(end)
