"""The `afloat:` entry of a boat file to numbers; every fault is noted at its line."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise

import numpy as np
from shapely import Polygon

from model.boatfile.afloat_schema import (
    AfloatEntry,
    CaseEntry,
    DriveEntry,
    LimitsEntry,
    MoveEntry,
    PlateEntry,
)
from model.boatfile.numbers import Key, Text
from model.geometry import Array
from model.hydrostatics.plan import AfloatPlan, Case, Drive, Foam, Limits, Outboard, Plate
from model.layout.context import Context
from model.layout.records import Layout
from model.mass.plan import WeightPlan
from model.mass.read import Reader
from parts.amounts import parse_force
from parts.faults import did_you_mean
from parts.fittings import Tank

TOP: tuple[Key, ...] = ("afloat",)
RESERVE = {"lead": 0.5, "lithium": 0.2}
"""Charge kept back where the file says nothing (common practice; lead wears fast below half)."""


def read_afloat(entry: AfloatEntry, ctx: Context, layout: Layout, weights: WeightPlan) -> AfloatPlan:
    """What the file asks of the boat afloat; what cannot be read is left out, its fault noted."""
    reader = _Reader(ctx, layout, weights)
    cases = [reader.case(name, own) for name, own in entry.cases.items()]
    outboard = entry.outboard
    return AfloatPlan(
        entry.water,
        reader.limits(entry.limits),
        tuple(cases),
        reader.points(entry.floods, "floods"),
        reader.points(entry.drains, "drains"),
        reader.area(entry.passengers),
        None if entry.plate is None else reader.plate(entry.plate),
        None
        if outboard is None
        else Outboard(
            float(outboard.power),
            outboard.remote,
            ctx.numbers.positive(outboard.transom, *TOP, "outboard", "transom"),
            outboard.hard_chine,
            outboard.short_leg,
        ),
        None
        if entry.foam is None
        else Foam(float(entry.foam.density), entry.foam.fills, reader.decks(entry.foam.leave)),
        None if entry.drive is None else reader.drive(entry.drive),
        ctx.numbers.document.place(TOP),
    )


class _Reader:
    """Reads what stands under `afloat:` against what there is in the boat."""

    def __init__(self, ctx: Context, layout: Layout, weights: WeightPlan) -> None:
        self.ctx, self.numbers, self.weights = ctx, ctx.numbers, weights
        self.spots = Reader(ctx, layout)
        self.layout = layout
        self.fixtures = {plan.name.partition(".")[2]: plan for plan in layout.fixtures}
        entry = ctx.entry.weights
        # what the file tells of, even where a fault of its own keeps it from being read
        self.loads = list(entry.loads) if entry else []
        self.things = [*self.loads, *(entry.aboard if entry else ()), *self.fixtures]

    def case(self, name: str, entry: CaseEntry) -> Case:
        """A load case; names that nothing has are faults."""
        path = (*TOP, "cases", name)
        for i, load in enumerate(entry.loads):
            self._known(load, self.loads, "load", (*path, "loads", i))
        for i, thing in enumerate(entry.without):
            self._known(thing, self.things, "thing aboard", (*path, "without", i))
        moved = {}
        for thing, move in entry.move.items():
            self._known(thing, self.things, "thing aboard", (*path, "move", thing))
            spot = self._moved(thing, move, (*path, "move", thing))
            if spot is not None:
                moved[thing] = spot
        for holder in entry.fill:
            self._known(holder, self.holders(), "well or tank", (*path, "fill", holder))
        place = self.numbers.document.place(path)
        return Case(name, tuple(entry.loads), moved, tuple(entry.without), dict(entry.fill), place)

    def holders(self) -> list[str]:
        """Names of what can be filled: lockers with a level floor, and tanks."""
        lockers = [
            plan.name.partition(".")[2] for plan in self.layout.lockers.values() if plan.floor is not None
        ]
        return lockers + [name for name, plan in self.fixtures.items() if isinstance(plan.part, Tank)]

    def _moved(self, name: str, entry: MoveEntry, path: tuple[Key, ...]) -> Array | None:
        if len(entry.at) == 2 and entry.on is None:
            x, y = self.numbers.point(entry.at, *path, "at").tolist()
            return np.array([x, y, math.nan])
        own = self.weights.load(name)
        usual = own.above if own is not None else 0.0
        return self.spots.spot(entry.at, entry.on, entry.above, path, usual)

    def _known(self, name: str, known: Iterable[str], what: str, path: tuple[Key, ...]) -> None:
        names = list(known)
        if name not in names and not any(one.startswith(f"{name}.") for one in names):
            self.numbers.fault(path, f"there is no {what} called '{name}'", did_you_mean(name, names))

    def limits(self, entry: LimitsEntry) -> Limits:
        """The limits of the file."""
        path = (*TOP, "limits")
        return Limits(
            self.numbers.not_negative(entry.freeboard, *path, "freeboard"),
            self.numbers.angle(entry.heel, *path, "heel"),
            self.numbers.angle(entry.trim, *path, "trim"),
        )

    def points(self, entries: Mapping[str, Sequence[Text]], key: str) -> dict[str, Array]:
        """Points by name."""
        return {name: self.numbers.point(point, *TOP, key, name) for name, point in entries.items()}

    def area(self, entry: Sequence[Sequence[Text]] | None) -> Array | None:
        """Corners of an area in plan, `(n, 2) float`."""
        if entry is None:
            return None
        found = np.array([self.numbers.point(p, *TOP, "passengers", i) for i, p in enumerate(entry)])
        if np.isfinite(found).all() and not Polygon(found).is_valid:
            self.numbers.fault((*TOP, "passengers"), "its sides cross", "walk round it corner by corner")
        return found

    def plate(self, entry: PlateEntry) -> Plate:
        """The capacity plate."""
        path = (*TOP, "plate")
        masses = [
            None if text is None else self.spots.mass(text, *path, key)
            for key, text in (("persons_mass", entry.persons_mass), ("mass", entry.mass))
        ]
        power = None if entry.power is None else float(entry.power)
        return Plate(entry.persons, masses[0], masses[1], power)

    def decks(self, names: Sequence[str]) -> tuple[str, ...]:
        """Names of decks that there are."""
        known = [name.partition(".")[2] for name in self.layout.decks]
        for i, name in enumerate(names):
            self._known(name, known, "deck", (*TOP, "foam", "leave", i))
        return tuple(names)

    def drive(self, entry: DriveEntry) -> Drive | None:
        """The electric motor."""
        path = (*TOP, "drive")
        batteries = [name for name, plan in self.fixtures.items() if plan.kind == "battery"]
        for i, name in enumerate(entry.batteries):
            self._known(name, batteries, "battery", (*path, "batteries", i))
        try:
            thrust = parse_force(entry.thrust)
        except ValueError as error:
            wrong, _, right = str(error).partition("; ")
            self.numbers.fault((*path, "thrust"), wrong, right)
            return None
        draws = tuple(sorted((float(share) / 100.0, float(amps)) for share, amps in entry.draws))
        if draws and (draws[-1][0] > 1.0 or any(a[0] >= b[0] for a, b in pairwise(draws))):
            self.numbers.fault((*path, "draws"), "the percentages do not rise to 100", "give each one once")
        return Drive(
            thrust,
            float(entry.volts),
            float(entry.draw),
            draws,
            tuple(entry.batteries),
            entry.kind,
            RESERVE[entry.kind] if entry.reserve is None else entry.reserve,
            self.numbers.document.place(path),
        )
