"""Wire to buy: which spools the cut lengths of one size and colour come from, at the least cost.

Sets of spools are tried in the order of their cost until all lengths fit into one; whether they fit is
searched, the fullest spool that still has room first. With few short pieces, as in a boat, that is soon over
and the set is the cheapest there is.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Sequence
from dataclasses import dataclass

FOOT = 304.8
NODES, MOST_SEARCHED = 20_000, 60
"""Steps of the search for one set of spools, and how many lengths at most are searched for."""

USUAL = (25.0 * FOOT, 100.0 * FOOT)
"""Lengths of spools where the shop names none (common practice)."""


@dataclass(frozen=True)
class Spool:
    """What can be bought: a length, mm, and its price.

    With `cut` any length can be had, and the price is that of each `length`.
    """

    length: float
    price: float | None = None
    cut: bool = False


@dataclass(frozen=True)
class SpoolPlan:
    """What one size and colour comes from: each spool with the lengths cut from it, the longest first."""

    spools: tuple[tuple[Spool, tuple[float, ...]], ...]

    @property
    def cost(self) -> float | None:
        """Of all; None where a price is not known."""
        prices = [_price(spool, lengths) for spool, lengths in self.spools]
        return None if None in prices else sum(p for p in prices if p is not None)

    @property
    def waste(self) -> float:
        """What is left on spools, mm."""
        whole = sum(s.length for s, _ in self.spools if not s.cut)
        used = sum(sum(lengths) for s, lengths in self.spools if not s.cut)
        return whole - used


def _price(spool: Spool, lengths: Sequence[float]) -> float | None:
    if spool.price is None:
        return None
    return spool.price * bought(spool, lengths)


def bought(spool: Spool, lengths: Sequence[float]) -> int:
    """How many are bought: one, or of what is cut off as many of its lengths as it takes."""
    return math.ceil(sum(lengths) / spool.length - 1e-9) if spool.cut else 1


def spool_plan(lengths: Sequence[float], spools: Sequence[Spool]) -> SpoolPlan:
    """The cheapest spools for some lengths, mm; by length where any price is not known.

    A length longer than every spool comes from one of its own size, which is to be asked for.
    """
    pieces = sorted(lengths, reverse=True)
    whole = [spool for spool in spools if not spool.cut]
    longest = max((spool.length for spool in whole), default=0.0)
    too_long = [piece for piece in pieces if piece > longest + 1e-6]
    rest = pieces[len(too_long) :]
    own = tuple((Spool(piece), (piece,)) for piece in too_long)
    found = SpoolPlan((*own, *_cheapest(rest, whole))) if whole or not pieces else None
    off = [SpoolPlan(((spool, tuple(pieces)),)) for spool in spools if spool.cut and pieces]
    plans = [plan for plan in (found, *off) if plan is not None]
    return min(plans, key=_rank)


def _rank(plan: SpoolPlan) -> tuple[float, float]:
    """By what is paid, where that is known; what is cut off before a spool else."""
    cost = plan.cost
    return (math.inf if cost is None else cost, plan.waste)


def _cheapest(pieces: Sequence[float], spools: Sequence[Spool]) -> list[tuple[Spool, tuple[float, ...]]]:
    """The cheapest set of spools that some lengths, the longest first, can be cut from."""
    if not pieces:
        return []
    priced = all(spool.price is not None for spool in spools)
    if len(pieces) > MOST_SEARCHED:
        return _many(pieces, spools)
    kinds = sorted(spools, key=lambda spool: -spool.length)
    needed = sum(pieces)
    heap: list[tuple[float, int, tuple[int, ...]]] = [(0.0, 0, ())]
    while True:
        _, _, chosen = heapq.heappop(heap)
        room = [kinds[k].length for k in chosen]
        laid = _laid(pieces, room) if sum(room) >= needed - 1e-6 else None
        if laid is not None:
            return [(kinds[k], tuple(own)) for k, own in zip(chosen, laid, strict=True) if own]
        for k in range(chosen[-1] if chosen else 0, len(kinds)):
            more = (*chosen, k)
            cost = sum((kinds[i].price or 0.0) if priced else kinds[i].length for i in more)
            heapq.heappush(heap, (cost, len(more), more))


def _many(pieces: Sequence[float], spools: Sequence[Spool]) -> list[tuple[Spool, tuple[float, ...]]]:
    """Many lengths, the longest first, on spools of the kind cheapest by the length; good, not best."""
    priced = all(spool.price is not None for spool in spools)
    able = [spool for spool in spools if spool.length >= pieces[0] - 1e-6]
    kind = min(able, key=lambda s: ((s.price or 0.0) / s.length if priced else 0.0, s.length))
    own: list[list[float]] = []
    left: list[float] = []
    for piece in pieces:
        room = [k for k in range(len(left)) if left[k] >= piece - 1e-6]
        if not room:
            own.append([])
            left.append(kind.length)
            room = [len(left) - 1]
        best = min(room, key=lambda k: left[k])
        left[best] -= piece
        own[best].append(piece)
    return [(kind, tuple(lengths)) for lengths in own]


def _laid(pieces: Sequence[float], room: Sequence[float]) -> list[list[float]] | None:
    """Each length on a spool so that all fit, or None where none was found within `NODES` steps."""
    found = _best_fit(pieces, room)
    if found is not None:
        return found
    left, own = list(room), [list[float]() for _ in room]
    steps = 0

    def lay(number: int) -> bool:
        nonlocal steps
        steps += 1
        if number == len(pieces):
            return True
        if steps > NODES:
            return False
        tried: set[float] = set()
        for k in sorted(range(len(left)), key=lambda k: left[k]):
            if left[k] < pieces[number] - 1e-6 or round(left[k], 3) in tried:
                continue
            tried.add(round(left[k], 3))
            left[k] -= pieces[number]
            own[k].append(pieces[number])
            if lay(number + 1):
                return True
            left[k] += pieces[number]
            own[k].pop()
        return False

    return own if lay(0) else None


def _best_fit(pieces: Sequence[float], room: Sequence[float]) -> list[list[float]] | None:
    """Each length, the longest first, on the fullest spool that has room for it."""
    left, own = list(room), [list[float]() for _ in room]
    for piece in pieces:
        able = [k for k in range(len(left)) if left[k] >= piece - 1e-6]
        if not able:
            return None
        best = min(able, key=lambda k: left[k])
        left[best] -= piece
        own[best].append(piece)
    return own
