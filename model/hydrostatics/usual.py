"""Load cases for a boat file that names none: empty, one forward, two on one side, wells and tanks full.

The one forward stands, as to cast; the two sit.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from model.hydrostatics.plan import Case
from model.mass.lump import Lump
from model.mass.plan import Item
from model.mass.read import SITTING, STANDING
from parts.faults import Place
from parts.fittings import Tank

if TYPE_CHECKING:
    from model.boat import Boat
    from model.layout.records import DeckPlan

PERSON = 84.0
"""A person, kg: 185 lb, the assumed average of 46 CFR 170.090 (from memory)."""
SEAT = 300.0
"""Height of a seat over the deck it stands on, mm (common practice)."""
INBOARD = 250.0
"""How far inside a deck's edge a person's centre stays, mm (common practice)."""
ROOM = 250_000.0
"""Least area of a deck on which somebody is taken to stand, mm2."""
WELLS = ("well",)
"""Kinds of lockers that are filled with water."""


def usual_cases(boat: Boat) -> tuple[tuple[Case, ...], tuple[Item, ...]]:
    """The usual cases and the people in them; a boat without decks has only the empty one."""
    cases = [Case("empty")]
    people: list[Item] = []
    decks = [d for d in boat.layout.decks.values() if d.name.startswith("deck.") and d.area.area > ROOM]
    if decks:
        foremost = max(decks, key=lambda deck: float(deck.plan_area().centroid.x))
        lowest = min(decks, key=lambda deck: deck.height_at(float(deck.plan_area().centroid.x)))
        bow = foremost.plan_area().centroid
        people.append(_person("person_forward", foremost, float(bow.x), float(bow.y), STANDING))
        cases.append(Case("one_forward", ("person_forward",)))
        middle, (low, high) = _across(lowest)
        side = high - INBOARD if abs(high) >= abs(low) else low + INBOARD
        for k, step in enumerate((-1.0, 1.0)):
            people.append(_person(f"person_{k + 1}", lowest, middle + 300.0 * step, side, SEAT + SITTING))
        cases.append(Case("two_on_one_side", ("person_1", "person_2")))
    wells = {p.name.partition(".")[2]: 1.0 for p in boat.layout.lockers.values() if p.kind in WELLS}
    tanks = {f.name.partition(".")[2]: 1.0 for f in boat.fixtures if isinstance(f.part, Tank)}
    if wells:
        cases.append(Case("wells_full", fills=wells))
    if tanks:
        cases.append(Case("tanks_full", fills=tanks))
    return tuple(cases), tuple(people)


def _across(deck: DeckPlan) -> tuple[float, tuple[float, float]]:
    """The middle station of a deck, and its least and greatest y there, mm."""
    area = deck.plan_area()
    x = float(area.centroid.x)
    points = np.asarray(area.exterior.coords)[:, :2]
    x0, x1 = points[:-1, 0], points[1:, 0]
    at = (x0 <= x) != (x1 <= x)
    y = points[:-1, 1] + (x - x0) / np.where(at, x1 - x0, 1.0) * (points[1:, 1] - points[:-1, 1])
    return x, (float(y[at].min()), float(y[at].max()))


def _person(name: str, deck: DeckPlan, x: float, y: float, above: float) -> Item:
    centre = np.array([x, y, deck.height_at(x) + above])
    return Item(Lump(name, "loads", PERSON, centre), "person", False, Place("usual", None, ""))
