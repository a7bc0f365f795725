"""The most valuable set of pieces that fits a length, for many lengths at once.

Lengths are real numbers. Sets are built up piece by piece; of two sets the one that is longer and worth no
more is dropped, and so is any set that, filled up with the best of what is still to come (cut to fit), cannot
be worth what is asked for. What is left stays small without a table over lengths. (The list of undominated
sets is after Nemhauser and Ullmann, Management Science 15(9), 1969; from memory.)
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from model.geometry import Array

EPS = 1e-6
"""Two lengths closer than this are one, mm."""

Ints = npt.NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class _Lots:
    """Pieces in lots of 1, 2, 4, ...: a few lots make any number up to the demand; best value first."""

    kind: Ints
    number: Ints
    length: Array
    value: Array

    @classmethod
    def of(cls, lengths: Array, values: Array, most: Ints) -> _Lots:
        """Lots of the kinds that are worth something."""
        kinds: list[int] = []
        numbers: list[int] = []
        for place in np.flatnonzero((values > 1e-12) & (most > 0)).tolist():
            left, lot = int(most[place]), 1
            while left > 0:
                lot = min(lot, left)
                kinds.append(place)
                numbers.append(lot)
                left -= lot
                lot *= 2
        kind, number = np.array(kinds, dtype=np.int64), np.array(numbers, dtype=np.int64)
        length, value = lengths[kind] * number, values[kind] * number
        order = np.lexsort((-length, -value / np.maximum(length, EPS)))
        return cls(kind[order], number[order], length[order], value[order])


@dataclass(frozen=True, eq=False)
class Front:
    """Sets that were kept: rising `length`, rising `value`, and how to read out what is in each.

    `beyond` is the most that a set which was let go could be worth in each room, `(s,) float`.
    """

    length: Array
    value: Array
    beyond: Array
    _steps: tuple[tuple[int, int, Ints], ...]

    def best(self, room: float) -> int:
        """Place of the most valuable set no longer than `room`; -1 when there is none."""
        return int(np.searchsorted(self.length, room + EPS, side="right")) - 1

    def counts(self, place: int) -> dict[int, int]:
        """The number of each kind in a set."""
        found: dict[int, int] = {}
        state = place
        for kind, number, parents in reversed(self._steps):
            state = int(parents[state])
            if state < 0:
                found[kind] = found.get(kind, 0) + number
                state = -state - 1
        return found


def fill(lengths: Array, values: Array, most: Ints, rooms: Array, asked: Array, beam: int = 0) -> Front:
    """The undominated sets that can be worth more than is asked for.

    Args:
        lengths: of each kind, `(n,) float`, mm.
        values: worth of one piece of each kind, `(n,) float`; kinds worth nothing are left out.
        most: pieces of each kind at hand, `(n,) int`.
        rooms: lengths to be filled, `(s,) float`, mm.
        asked: sets for a room that are worth no more than this do not matter, `(s,) float`.
        beam: keep no more than so many sets at a time, the most hopeful; 0 keeps all.

    Returns:
        a front that, without a beam, holds for each room a best set if it is worth more than asked.
    """
    lots = _Lots.of(lengths, values, most)
    longest = float(rooms.max()) + EPS
    length, value = np.zeros(1), np.zeros(1)
    run_length = np.concatenate([[0.0], np.cumsum(lots.length)])
    run_value = np.concatenate([[0.0], np.cumsum(lots.value)])
    beyond = asked.copy()
    steps: list[tuple[int, int, Ints]] = []
    for place in range(len(lots.kind)):
        fits = int(np.searchsorted(length, longest - lots.length[place], side="right"))
        all_length = np.concatenate([length, length[:fits] + lots.length[place]])
        all_value = np.concatenate([value, value[:fits] + lots.value[place]])
        parents = np.concatenate([np.arange(len(length)), -np.arange(fits) - 1])
        order = np.argsort(all_length, kind="stable")
        all_length, all_value, parents = all_length[order], all_value[order], parents[order]
        highest = np.maximum.accumulate(all_value)
        chosen = np.empty(len(order), dtype=bool)
        chosen[0] = True
        np.greater(all_value[1:], highest[:-1] + 1e-12, out=chosen[1:])
        length, value, parents = all_length[chosen], all_value[chosen], parents[chosen]
        left = rooms[:, None] + EPS - length
        hope = value + np.interp(left + run_length[place + 1], run_length, run_value) - run_value[place + 1]
        hope[left < 0.0] = -np.inf
        margin = (hope - asked[:, None]).max(axis=0)
        chosen = margin > 1e-12
        if beam and int(chosen.sum()) > beam:
            most_hopeful = np.argpartition(margin, -beam)[-beam:]
            kept = np.zeros(len(margin), dtype=bool)
            kept[most_hopeful] = True
            beyond = np.maximum(beyond, hope[:, chosen & ~kept].max(axis=1, initial=-np.inf))
            chosen &= kept
        length, value, parents = length[chosen], value[chosen], parents[chosen]
        steps.append((int(lots.kind[place]), int(lots.number[place]), parents))
        if not len(length):
            break
    if not steps:
        length = value = length[:0]
    return Front(length, value, beyond, tuple(steps))


def every_set(lengths: Array, values: Array, most: Ints, room: float, asked: float, cap: int) -> Ints | None:
    """All sets that fit a length and are worth at least what is asked, dominated or not.

    Args:
        lengths: of each kind, `(n,) float`, mm, more than 0.
        values: worth of one piece of each kind, `(n,) float`, not negative.
        most: pieces of each kind at hand, `(n,) int`.
        room: the length, mm.
        asked: least worth of a set.
        cap: give up beyond so many sets, or ten times as many on the way.

    Returns:
        how many of each kind, `(sets, n) int`; None when there are too many.
    """
    ranked = np.argsort(-values / lengths, kind="stable")
    kinds = [int(kind) for kind in ranked for _ in range(int(most[kind]))]
    run_length = np.concatenate([[0.0], np.cumsum(lengths[kinds])])
    run_value = np.concatenate([[0.0], np.cumsum(values[kinds])])
    length, value = np.zeros(1), np.zeros(1)
    took = np.zeros(1, dtype=bool)
    steps: list[tuple[int, Ints]] = []
    for place, kind in enumerate(kinds):
        # A second piece of a kind is taken only after the first, so that each set is met once.
        again = place > 0 and kinds[place - 1] == kind
        more = np.flatnonzero((length + lengths[kind] <= room + EPS) & (took | (not again)))
        took = np.concatenate([np.zeros(len(length), dtype=bool), np.ones(len(more), dtype=bool)])
        parents = np.concatenate([np.arange(len(length)), -more - 1])
        length = np.concatenate([length, length[more] + lengths[kind]])
        value = np.concatenate([value, value[more] + values[kind]])
        reach = np.interp(room + EPS - length + run_length[place + 1], run_length, run_value)
        kept = value + reach - run_value[place + 1] >= asked
        length, value, took, parents = length[kept], value[kept], took[kept], parents[kept]
        steps.append((kind, parents))
        if len(length) > 10 * cap:
            return None
    if len(length) > cap:
        return None
    return _read_out(steps, len(length), len(lengths))


def _read_out(steps: list[tuple[int, Ints]], sets: int, kinds: int) -> Ints:
    """What is in each set."""
    counts = np.zeros((sets, kinds), dtype=np.int64)
    state = np.arange(sets)
    for kind, parents in reversed(steps):
        parent = parents[state]
        taken = parent < 0
        counts[taken, kind] += 1
        state = np.where(taken, -parent - 1, parent)
    return counts
