"""What presses down: people wherever they can stand, gear in lockers, fixtures, and the boat's own metal."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from scipy import sparse

from model.geometry import Array
from model.layout.records import DeckPlan, LockerPlan
from model.strength.network import Network
from model.strength.settings import GRAVITY, StrengthSettings
from model.strength.spread import DeckLines, grid_of, walked_on
from parts.fittings import Tank

if TYPE_CHECKING:
    from model.boat import Boat, Fixture

FINE = 50.0
"""Loads are spread over points so far apart, mm."""

PITCH = 100.0
"""A person is tried in places so far apart, mm."""

STANDS = 60.0
"""What stands no higher than this above a deck's sheet, mm, stands on it or on its lid."""

RESTS = 40.0
"""A locker's floor no higher than this above a deck rests on it, mm."""

FILLING = {"well": 1000.0, "box": 500.0}
"""kg/m3 of what is in a locker by its kind: water; ice and fish (common practice)."""


@dataclass(frozen=True, eq=False)
class Places:
    """Where a person may stand on one deck.

    Attributes:
        deck: its name.
        centres: middles of his square in the deck's plane, `(p, 2)`, mm.
        loads: share of his weight on each node, `(p, n)`; every row adds up to one.
    """

    deck: str
    centres: Array
    loads: sparse.csr_matrix


@dataclass(frozen=True, eq=False)
class Loads:
    """All that presses down, as downward forces on nodes, N.

    Attributes:
        own: of the frame and its sheet, fixtures and full tanks, `(n,)`.
        gear: in lockers, what stands on their floors with it, `(n,)`.
        places: deck by deck where a person may stand.
    """

    own: Array
    gear: Array
    places: tuple[Places, ...]


def all_loads(boat: Boat, net: Network, decks: dict[str, DeckLines], settings: StrengthSettings) -> Loads:
    """Everything a boat's frame is loaded with."""
    count = len(net.points)
    own, gear = _member_weight(net), np.zeros(count)
    places = []
    for name, lines in decks.items():
        plan = boat.layout.decks[name]
        own += _sheet_weight(plan, lines, count)
        spots = _places(boat, plan, lines, settings.foot, count)
        if spots is not None:
            places.append(spots)
    for fixture in boat.fixtures:
        deck = _deck_under(fixture.frame.origin, boat, decks)
        if deck is not None:
            at = deck.plan.frame.to_frame(fixture.frame.origin)[None, :2]
            own += _mass(fixture) * GRAVITY * _sum(deck.shares(at, count))
    for locker in boat.layout.lockers.values():
        kept = sum(_mass(f) for f in boat.fixtures if _is_in(f.frame.origin, locker))
        gear += _gear(locker, kept + gear_mass(locker, settings), decks, count)
    return Loads(own, gear, tuple(places))


def _sum(shares: sparse.csr_matrix) -> Array:
    found: Array = np.asarray(shares.sum(axis=0), dtype=np.float64).ravel()
    return found


def _mass(fixture: Fixture) -> float:
    """Mass of a fixture, a tank full, kg."""
    return fixture.part.full_mass if isinstance(fixture.part, Tank) else fixture.mass


def _is_in(point: Array, locker: LockerPlan) -> bool:
    """Whether what stands at a point stands on a locker's own floor."""
    x, y, z = point.tolist()
    inside = locker.floor is not None and locker.floor - 1.0 <= z < locker.top - STANDS
    return inside and bool(shapely.contains_xy(locker.area, x, y))


def _member_weight(net: Network) -> Array:
    """Half of every piece of a member on each of its nodes, N."""
    found = np.zeros(len(net.points))
    for member, line in zip(net.members, net.lines, strict=True):
        half = np.diff(line.at) * member.section.mass_per_m * 1e-3 * GRAVITY / 2
        np.add.at(found, line.nodes[:-1], half)
        np.add.at(found, line.nodes[1:], half)
    return found


def _sheet_weight(plan: DeckPlan, lines: DeckLines, count: int) -> Array:
    """The deck's sheet on its members, N; lids weigh as fixtures."""
    area = plan.area.difference(shapely.union_all([o.polygon for o in plan.openings]))
    points = grid_of(area, FINE)
    if not len(points):
        return np.zeros(count)
    weight = area.area * 1e-6 * plan.sheet.mass_per_m2 * GRAVITY
    return _sum(lines.shares(points, count)) * (weight / len(points))


def _places(boat: Boat, plan: DeckPlan, lines: DeckLines, foot: float, count: int) -> Places | None:
    area = walked_on(plan, boat.layout)
    points, centres = grid_of(area, FINE), grid_of(area, PITCH)
    if not len(points) or not len(centres):
        return None
    apart = np.abs(centres[:, None, :] - points)
    under: Array = ((apart[..., 0] <= foot / 2) & (apart[..., 1] <= foot / 2)).astype(np.float64)
    totals: Array = under @ np.ones(len(points))
    loaded = totals > 0
    spread = sparse.csr_matrix(under[loaded] / totals[loaded, None])
    return Places(plan.name, centres[loaded], (spread @ lines.shares(points, count)).tocsr())


def _deck_under(point: Array, boat: Boat, decks: dict[str, DeckLines]) -> DeckLines | None:
    """The deck that something at a point stands on; None where it stands on the hull or in a locker."""
    found: DeckLines | None = None
    best = STANDS
    for lines in decks.values():
        u, v, height = lines.plan.frame.to_frame(point).tolist()
        if -1.0 <= height < best and shapely.contains_xy(lines.plan.area, u, v):
            found, best = lines, height
    return found


def gear_mass(locker: LockerPlan, settings: StrengthSettings) -> float:
    """Mass of what is in a locker, kg; 0 where its floor is the hull."""
    for name in (locker.name, locker.base):
        if name in settings.gear:
            return settings.gear[name]
    if locker.floor is None:
        return 0.0
    inside = locker.area.buffer(-locker.insulation)
    litres = inside.area * max(locker.top - locker.floor - locker.insulation, 0.0) * 1e-6
    return litres * FILLING.get(locker.kind, settings.gear_density) * 1e-3


def _gear(locker: LockerPlan, mass: float, decks: dict[str, DeckLines], count: int) -> Array:
    """What is in a locker, kg, on the deck its floor rests on, or hung from the members round it, N."""
    if locker.floor is None:
        return np.zeros(count)
    weight = mass * GRAVITY
    for lines in decks.values():
        plan = lines.plan
        top = plan.height_at(float(locker.area.centroid.x))
        shared = locker.area.intersection(plan.plan_area())
        if -1.0 <= locker.floor - top <= RESTS and shared.area > 0.5 * locker.area.area:
            points = grid_of(shared, FINE)
            return _sum(lines.shares(_in_plane(plan, points), count)) * (weight / max(len(points), 1))
    hung = decks.get(locker.deck)
    if hung is None:
        return np.zeros(count)
    edge = locker.area.exterior
    points = np.array([edge.interpolate(s).coords[0] for s in np.arange(0.0, edge.length, FINE)])
    return _sum(hung.shares(_in_plane(hung.plan, points), count)) * (weight / len(points))


def _in_plane(plan: DeckPlan, points: Array) -> Array:
    """Points in plan in the deck's own plane."""
    return points / [float(plan.frame.x[0]), 1.0]
