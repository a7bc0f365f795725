"""Members for the tests of stick plans, and how short a row of them can be by trying every order and turn."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise, permutations
from pathlib import Path

import numpy as np

from cutlists.sticks.plan import plan_sticks
from cutlists.sticks.records import StickPlan
from cutlists.sticks.settings import Buyable, OnRack, StickSettings, Tube
from model.geometry import Plane
from model.member import Member
from parts.section import Section
from tests.model.member_samples import ANGLE, FLAT, HAT, ROUND, SHARP, SQUARE, TUBE

DATA = Path(__file__).parent / "data"
FAMILIES: tuple[Section, ...] = (TUBE, SHARP, SQUARE, ROUND, ANGLE, FLAT, HAT)
ANGLES = (0.0, 22.5, 45.0, -45.0, -22.5)


def piece(
    name: str,
    length: float,
    left: tuple[float, float] = (0.0, 0.0),
    right: tuple[float, float] = (0.0, 0.0),
    section: Section = TUBE,
) -> Member:
    """A member `length` long on its axis with end planes x = m . (y, z), slopes by their angles, degrees."""
    ends = []
    for at, angles, way in ((0.0, left, -1.0), (length, right, 1.0)):
        normal = np.array([1.0, *np.tan(np.radians(angles))])
        ends.append(Plane.through(np.array([at, 0.0, 0.0]), way * normal / np.linalg.norm(normal)))
    return Member(name, section, np.zeros(3), np.array([length, 0.0, 0.0]), 0.0, *ends)


def chance_piece(rng: np.random.Generator, name: str, section: Section, low: float, high: float) -> Member:
    """A piece with ends out of a few angles, so that many can share a cut; some of them compound."""

    def end() -> tuple[float, float]:
        first, second = rng.choice(ANGLES), rng.choice(ANGLES)
        way = rng.integers(5)
        return ((first, 0.0), (0.0, first), (0.0, 0.0), (first, 0.0), (first, second))[way]

    while True:
        made = piece(name, float(np.round(rng.uniform(low, high), 1)), end(), end(), section)
        if not made.is_cut_away:
            return made


def own_marks(members: Sequence[Member]) -> dict[str, str]:
    """A mark for each member by itself."""
    return {member.name: f"F{k + 1}" for k, member in enumerate(members)}


def tube(
    lengths: Sequence[float | tuple[float, float]],
    kerf: float = 3.0,
    trim: float = 0.0,
    offcuts: Sequence[OnRack] = (),
    keep: float = 0.0,
) -> Tube:
    """Lengths, with prices where they are pairs."""
    bought = tuple(Buyable(*one) if isinstance(one, tuple) else Buyable(one) for one in lengths)
    return Tube(bought, tuple(offcuts), kerf, trim, keep)


def plan_of(members: Sequence[Member], bought: Tube, seconds: float = 4.0) -> StickPlan:
    """The plan of members, each of its own mark."""
    return plan_sticks(members, own_marks(members), StickSettings(usual=bought, seconds=seconds))


@dataclass(frozen=True)
class Lain:
    """A member laid in a stick: planes x = at - slope . (y, z) of its left and its right end."""

    section: Section
    at: tuple[float, float]
    slopes: tuple[np.ndarray, np.ndarray]

    @property
    def left(self) -> float:
        """The left long point."""
        return self.at[0] - float(self.section.outer.support(self.slopes[0][None])[0])

    @property
    def right(self) -> float:
        """The right long point."""
        return self.at[1] + float(self.section.outer.support(-self.slopes[1][None])[0])


def lain(member: Member) -> list[Lain]:
    """All the ways to lay a member; only of sections that are no round tube, whose turns are few."""
    found = []
    for turn in member.section.turns():
        ends = [(turn @ end.normal, end.offset) for end in member.local_ends]
        planes = [(offset / normal[0], normal[1:] / normal[0]) for normal, offset in ends]
        (a, m), (b, n) = planes if turn[0, 0] > 0.0 else planes[::-1]
        found.append(Lain(member.section, (a, b), (m, n)))
    return found


def shortest(members: Sequence[Member], kerf: float) -> float:
    """How short a length holds all the members, mm: every order, every turn.

    Neighbours whose facing planes are parallel are a kerf apart square to them; all others are a kerf apart
    at their long points.
    """
    ways = [lain(member) for member in members]
    if len(members) == 1:
        return ways[0][0].right - ways[0][0].left
    both_ways = any(turn[0, 0] < 0.0 for turn in members[0].section.turns())
    best = np.inf
    for order in permutations(range(len(members))):
        if order[0] > order[-1] and both_ways:
            continue  # the whole row turned end for end
        reach = dict.fromkeys(range(len(ways[order[0]])), 0.0)
        for i, j in pairwise(order):
            reach = {
                b: min(at + _step(ways[i][a], other, kerf) for a, at in reach.items())
                for b, other in enumerate(ways[j])
            }
        last = ways[order[-1]]
        best = min(best, *(at + last[way].right - last[way].left for way, at in reach.items()))
    return float(best)


def _step(one: Lain, other: Lain, kerf: float) -> float:
    """From the left long point of a piece to that of the next."""
    apart = one.right - one.left + kerf
    right, left = one.slopes[1], other.slopes[0]
    if np.abs(right - left).max() > 1e-9 or np.abs(right).max() < 1e-9:
        return apart
    gap = kerf * float(np.sqrt(1.0 + right @ right))
    return min(apart, (one.at[1] - one.left) + gap - (other.at[0] - other.left))


def instance(name: str) -> tuple[list[float], float, float, int]:
    """Pieces, stick, kerf and known optimum of one of the small instances that may be shipped."""
    base = json.loads((DATA / f"{name}.kerf3.json").read_text())
    return base["pieces_mm"], base["stick_mm"], base["kerf_mm"], base["optimum"]


def partitions(
    members: Sequence[Member], bought: Sequence[tuple[float, float]], kerf: float
) -> tuple[float, int, float]:
    """Least cost, then fewest sticks, then longest drop of all plans, by going through all of them.

    Args:
        members: few.
        bought: lengths and prices.
        kerf: mm.
    """
    full = (1 << len(members)) - 1
    ways: dict[int, list[tuple[float, float]]] = {}
    for chosen in range(1, full + 1):
        held = [member for k, member in enumerate(members) if chosen >> k & 1]
        need = shortest(held, kerf)
        ways[chosen] = [(price, length - need - kerf) for length, price in bought if need <= length + 1e-6]

    @cache
    def best(left: int) -> tuple[tuple[float, int, float], ...]:
        """Plans of the pieces left over that none beats: cost, sticks, longest drop with its sign turned."""
        if not left:
            return ((0.0, 0, 0.0),)
        first, found = left & -left, set()
        rest = left ^ first
        part = rest
        while True:
            for price, drop in ways[part | first]:
                for cost, sticks, longest in best(rest ^ part):
                    found.add((round(cost + price, 6), sticks + 1, min(longest, -max(0.0, drop))))
            if not part:
                break
            part = (part - 1) & rest
        return (min(found),) if found else ()

    cost, sticks, longest = best(full)[0]
    return cost, sticks, -longest
