"""What protects the wires of a circuit: its own fuse, its place in a fuse box, or a fuse before it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import TypeAlias

from model.electrics.fuses import most_away, rating_for
from model.electrics.network import Fed, fed_from
from model.electrics.settings import Circuit, Electrics

Between = Callable[[str, str], float]
"""Conductor between two things of a circuit, mm."""

Ratings: TypeAlias = Mapping[str, float | None]


@dataclass(frozen=True)
class Guard:
    """The fuse or breaker of a circuit.

    Attributes:
        at: the device it is in; empty where there is none.
        own: whether it is the circuit's own, not one before it.
        rating: A; None where no standard one is so large, or there is none.
        away: conductor between the source of power and it, mm.
        most: allowed of that, mm.
        by: the text that allows it.
    """

    at: str
    own: bool
    rating: float | None
    away: float
    most: float
    by: str

    @property
    def too_far(self) -> bool:
        """Whether too much conductor lies before it."""
        return self.own and self.away > self.most + 0.5


NONE = Guard("", False, None, 0.0, 0.0, "")


def own_fuse(electrics: Electrics, circuit: Circuit) -> str:
    """The device in which a circuit has a fuse of its own; empty where it has none."""
    if electrics.kind(circuit.start) == "fuse_box":
        return circuit.start
    return next((name for name in circuit.through if electrics.kind(name) == "fuse"), "")


def guard_of(electrics: Electrics, fed: Fed, between: Between, ratings: Ratings) -> Guard:
    """What protects a circuit.

    Args:
        electrics: all of them.
        fed: the circuit with its feeders.
        between: conductor between two neighbours of a circuit, mm.
        ratings: of the circuits' own fuses, by `ratings_of`.
    """
    circuit = fed.circuit
    at = own_fuse(electrics, circuit)
    away, battery, before = _before(electrics, fed, between, ratings)
    if not at:
        return before
    rating = ratings[circuit.name]
    if at == circuit.start:
        return Guard(at, True, rating, 0.0, 0.0, "33 CFR 183.455, at the source")
    away += sum(between(a, b) for a, b in _pairs_until(circuit, at))
    most, by = most_away(battery, circuit.sheathed)
    return Guard(at, True, rating, away, most, by)


def _before(electrics: Electrics, fed: Fed, between: Between, ratings: Ratings) -> tuple[float, bool, Guard]:
    """Unprotected conductor before a circuit's start, whether from a battery, and the fuse before it."""
    away, guard = 0.0, NONE
    chain = (*fed.feeders, fed.circuit)
    battery = True
    for feeder, after in pairwise(chain):
        at, tap = own_fuse(electrics, feeder), after.start
        passed = feeder.stops[: feeder.stops.index(tap) + 1]
        if at and at in passed:
            rating = ratings[feeder.name]
            guard, away, battery = Guard(at, False, rating, 0.0, 0.0, "the fuse before it"), 0.0, False
        elif electrics.kind(tap) == "fuse_box":
            away, battery = 0.0, False
        else:
            away += sum(between(a, b) for a, b in _pairs_until(feeder, tap))
    return away, battery, guard


def ratings_of(electrics: Electrics, amps: Mapping[str, float]) -> dict[str, float | None]:
    """The rating of every circuit's own fuse by the circuit's name; None where no standard one will do.

    As the circuit or the fuse tells it; else by the current, and larger than any fuse that it feeds, so that
    the one nearest to a fault goes first (common practice).
    """
    found: dict[str, float | None] = {}

    def find(circuit: Circuit, seen: tuple[Circuit, ...]) -> float | None:
        if circuit.name in found:
            return found[circuit.name]
        at = own_fuse(electrics, circuit)
        after = [find(c, (*seen, circuit)) for c in fed_from(electrics, circuit) if c not in seen]
        largest = max((rating for rating in after if rating is not None), default=0.0)
        told = electrics.devices[at].rating if at and electrics.kind(at) == "fuse" else None
        rating = circuit.fuse or told or rating_for(amps[circuit.name], electrics.fuse_margin, largest)
        found[circuit.name] = rating
        return rating if at else largest or None

    for circuit in electrics.circuits:
        find(circuit, ())
    return found


def _pairs_until(circuit: Circuit, last: str) -> list[tuple[str, str]]:
    stops = circuit.stops[: circuit.stops.index(last) + 1]
    return list(pairwise(stops))
