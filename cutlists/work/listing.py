"""Plans of few hands: tasks taken one by one from a list, each as early as a hand is free for it.

A list and the rule give a plan that begins no task later than it could (an active schedule), and some list
gives the shortest plan there is (Sprecher, Kolisch and Drexl 1995). Several lists are tried, then changed at
random with a fixed seed, until the plan is as short as the bound of `least_length` or the tries are used up.
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from cutlists.work.network import Network, Times

TRIES = 120
"""Changed lists that are tried where no list so far is proven the shortest."""

STEPS = (4800, 2400, 960, 480, 240, 60, 1)
"""Minutes; tasks whose latest starts lie within one such step keep the order in which they are given."""


@dataclass(frozen=True, eq=False)
class Placing:
    """A plan: when each task begins, by which hand, working minutes by name, in the order of begin.

    Attributes:
        start: of each task.
        hand: of each task, from 0.
        length: of the plan.
        least: no plan is shorter.
    """

    start: Mapping[str, int]
    hand: Mapping[str, int]
    length: int
    least: int


def placed(network: Network, hands: int, times: Times, tries: int = TRIES) -> Placing:
    """The shortest plan found for so many hands, in the order in which the tasks are given where that does.

    Args:
        network: of the tasks.
        hands: how many work at once, each at one task.
        times: of the network.
        tries: changed lists at most.
    """
    least = least_length(network, hands, times)
    best = _Tried.of(network, hands, network.names)
    for names in _lists(network, times):
        if best.length > least:
            best = min(best, _Tried.of(network, hands, names), key=lambda one: one.length)
    draw = random.Random(len(network.names))
    for _ in range(tries):
        if best.length > least:
            changed = _Tried.of(network, hands, _changed(network, best.names, draw))
            best = changed if changed.length <= best.length else best
    if best.names != network.names:
        best = _plainer(network, hands, best)
    order = sorted(best.start, key=lambda name: (best.start[name], network.names.index(name)))
    return Placing({name: best.start[name] for name in order}, best.hand, best.length, least)


@dataclass(frozen=True, eq=False)
class _Tried:
    """A list and the plan it gives."""

    names: tuple[str, ...]
    start: dict[str, int]
    hand: dict[str, int]
    length: int

    @classmethod
    def of(cls, network: Network, hands: int, names: tuple[str, ...]) -> _Tried:
        """The plan of a list."""
        start, hand = taken_in_turn(network, hands, names)
        length = max((at + network.minutes[name] for name, at in start.items()), default=0)
        return cls(names, start, hand, length)


def taken_in_turn(
    network: Network, hands: int, names: Iterable[str]
) -> tuple[dict[str, int], dict[str, int]]:
    """Start and hand of each task, taken in the order of `names`, each as early as it can be.

    Args:
        network: of the tasks.
        hands: how many there are.
        names: every task once, each after what it needs.
    """
    start: dict[str, int] = {}
    ends: dict[str, int] = {}
    who: dict[str, int] = {}
    gaps: list[list[tuple[int, int]]] = [[(0, _FOREVER)] for _ in range(hands)]
    for name in names:
        free, length = network.free_at(name, ends), network.minutes[name]
        if not length:  # it keeps no hand from anything
            start[name] = ends[name] = free
            who[name] = 0
            continue
        at, hand, gap = min(
            (max(low, free), hand, k)
            for hand, own in enumerate(gaps)
            for k, (low, high) in enumerate(own)
            if max(low, free) + length <= high
        )
        low, high = gaps[hand][gap]
        gaps[hand][gap : gap + 1] = [part for part in ((low, at), (at + length, high)) if part[0] < part[1]]
        start[name], ends[name], who[name] = at, at + length, hand
    return start, who


_FOREVER = 1 << 40


def least_length(network: Network, hands: int, times: Times) -> int:
    """Working minutes that no plan of so many hands undercuts.

    Between any two moments the hands can do no more than there are minutes for: what cannot begin before the
    one and must have ended by the other, lest the plan be longer than asked, must fit between them. The least
    length at which all of it fits, for all pairs of moments, is a bound (for one hand that of Jackson's rule
    with tasks that may be broken off); earliest begins and latest ends are those of the network.
    """
    low, high = times.length, times.length + sum(network.minutes.values())
    while low < high:
        middle = (low + high) // 2
        if _fits(network, hands, times, middle):
            high = middle
        else:
            low = middle + 1
    return low


def _fits(network: Network, hands: int, times: Times, length: int) -> bool:
    """Whether the work between any two moments is no more than the hands can do there."""
    if not network.names:
        return True
    latest = network.latest_ends(length)
    from_ = np.array([times.start[name] for name in network.names])
    until = np.array([latest[name] for name in network.names])
    work = np.array([network.minutes[name] for name in network.names])
    order = np.argsort(until, kind="stable")
    from_, until, work = from_[order], until[order], work[order]
    begins = np.unique(from_)
    inside = np.where(from_[None, :] >= begins[:, None], work[None, :], 0)
    asked = np.cumsum(inside, axis=1)
    room = hands * (until[None, :] - begins[:, None])
    return bool(np.all((asked <= room) | (inside == 0)))


def _lists(network: Network, times: Times) -> Iterator[tuple[str, ...]]:
    """Lists to try: by latest start, in ever smaller steps of time, then by slack."""
    for step in STEPS:
        yield _in_turn(network, {name: late // step for name, late in times.latest.items()})
    yield _in_turn(network, {name: times.slack(name) for name in network.names})


def _in_turn(network: Network, first: Mapping[str, int]) -> tuple[str, ...]:
    """Every task after what it needs; of those that may come next the one that `first` gives the least."""
    place = {name: k for k, name in enumerate(network.names)}
    missing = {name: len(network.before[name]) for name in network.names}
    ready = [name for name in network.names if not missing[name]]
    found = []
    while ready:
        name = min(ready, key=lambda one: (first[one], place[one]))
        ready.remove(name)
        found.append(name)
        for one in network.after[name]:
            missing[one] -= 1
            if not missing[one]:
                ready.append(one)
    return tuple(found)


def _plainer(network: Network, hands: int, best: _Tried) -> _Tried:
    """A plan as short whose list is nearer to the order in which the tasks are given.

    Each task in that order is put right after the one before it, or as near to there as what it needs lets,
    wherever that makes the plan no longer.
    """
    for before, name in pairwise(network.names):
        place = {one: k for k, one in enumerate(best.names)}
        low, high = _room(network, place, name)
        wanted = place[before] + (place[before] < place[name])
        to = min(max(wanted, low), high)
        if to != place[name]:
            moved = _Tried.of(network, hands, _moved(best.names, name, to))
            best = moved if moved.length <= best.length else best
    return best


def _changed(network: Network, names: Sequence[str], draw: random.Random) -> tuple[str, ...]:
    """The list with one task moved to another place that its neighbours in the network allow."""
    name = draw.choice(names)
    return _moved(names, name, draw.randint(*_room(network, {one: k for k, one in enumerate(names)}, name)))


def _room(network: Network, place: Mapping[str, int], name: str) -> tuple[int, int]:
    """First and last place in a list, without the task itself, between what it needs and what needs it."""
    low = max((place[one] for one in network.before[name]), default=-1) + 1
    high = min((place[one] for one in network.after[name]), default=len(place)) - 1
    return low, high


def _moved(names: Sequence[str], name: str, to: int) -> tuple[str, ...]:
    rest = [one for one in names if one != name]
    return (*rest[:to], name, *rest[to:])
