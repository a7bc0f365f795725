"""The `electrics:` entry of a boat file to numbers; every fault is noted at its line."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np

from model.boatfile.electrics_schema import (
    BankEntry,
    CircuitEntry,
    DeviceEntry,
    ElectricsEntry,
    LoadEntry,
    WireRunEntry,
)
from model.boatfile.numbers import Key, Text
from model.capacity.drive import draw_at
from model.electrics.circuits_read import check_circuit
from model.electrics.conductors import GAUGES, gauge_of
from model.electrics.settings import Bank, Circuit, Device, Electrics, GivenRun, Load, Spot, Use
from model.geometry import Array
from model.hydrostatics.plan import Drive
from model.layout.context import Context
from model.layout.records import FixturePlan, Layout
from parts.faults import did_you_mean
from parts.fittings import Battery

TOP = "electrics"
RESERVE = {"lead": 0.5, "lithium": 0.2}
"""Charge kept back where the file says nothing (common practice; as the drive's)."""


def read_electrics(entry: ElectricsEntry, ctx: Context, layout: Layout, drive: Drive | None) -> Electrics:
    """What the file says of wires; what cannot be read is left out, its fault noted in the context."""
    reader = _Reader(entry, ctx, layout, drive)
    reader.check_names()
    numbers = ctx.numbers
    banks = {name: bank for name, own in entry.batteries.items() if (bank := reader.bank(name, own))}
    circuits = [c for name, own in entry.circuits.items() if (c := reader.circuit(name, own))]
    return Electrics(
        insulation=entry.insulation,
        copper=entry.copper,
        positive=entry.colours.get("positive", "red"),
        negative=entry.colours.get("negative", "black"),
        feeder_drop=float(entry.feeder_drop) / 100.0,
        fuse_margin=float(entry.fuse_margin),
        always_derated=entry.bundling == "always",
        slack=float(entry.slack),
        ends=numbers.not_negative(entry.ends, TOP, "ends"),
        drip_loop=numbers.not_negative(entry.drip_loop, TOP, "drip_loop"),
        cut_to=numbers.positive(entry.cut_to, TOP, "cut_to"),
        banks=banks,
        devices={name: reader.device(name, own) for name, own in entry.devices.items()},
        loads={name: load for name, own in entry.loads.items() if (load := reader.load(name, own))},
        circuits=tuple(circuits),
        runs=tuple(reader.run(i, own) for i, own in enumerate(entry.runs)),
        uses=tuple(Use(n, float(u.hours), _floats(u.charge)) for n, u in entry.uses.items()),
        drive_on=() if drive is None else drive.batteries,
        place=numbers.document.place((TOP,)),
    )


def _floats(entries: Mapping[str, float]) -> dict[str, float]:
    return {name: float(value) for name, value in entries.items()}


class _Reader:
    """Reads what stands under `electrics:` against what there is in the boat."""

    def __init__(self, entry: ElectricsEntry, ctx: Context, layout: Layout, drive: Drive | None) -> None:
        self.entry, self.ctx, self.numbers, self.hull, self.drive = entry, ctx, ctx.numbers, ctx.hull, drive
        self.fixtures: dict[str, FixturePlan] = {p.name.partition(".")[2]: p for p in layout.fixtures}
        # what a fault keeps out of the layout is not told of again as unknown
        self.sound = not len(ctx.numbers.faults)

    def check_names(self) -> None:
        """Notes names that stand twice, and uses and banks that are not there."""
        seen: dict[str, str] = {}
        for group in ("batteries", "devices", "loads"):
            for name in getattr(self.entry, group):
                if name in seen:
                    wrong = f"'{name}' is a name among the {seen[name]} already"
                    self.numbers.fault((TOP, group, name), wrong, "give this one another name")
                seen[name] = group
        for use, own in self.entry.uses.items():
            for bank in own.charge:
                self.known(bank, self.entry.batteries, "battery", TOP, "uses", use, "charge", bank)

    def known(self, name: str, known: Iterable[str], what: str, *path: Key) -> bool:
        """Whether a name is among those known; a fault is noted where it is not."""
        names = list(known)
        if name in names:
            return True
        self.numbers.fault(path, f"there is no {what} called '{name}'", did_you_mean(name, names))
        return False

    def spot(self, told: str | list[Text], *path: Key) -> Spot:
        """Where something is; nowhere, with the fault noted, if that cannot be read."""
        if isinstance(told, str):
            return Spot(self.fixture(told, self.fixtures, "fixture", *path), None)
        point = self.numbers.point(told, *path)
        if np.isfinite(point).all():
            self._in_hull(point, *path)
        return Spot(None, point)

    def fixture(self, name: str, known: Iterable[str], what: str, *path: Key) -> str | None:
        """The whole name of a fixture; None, with the fault noted, where none or several are called so."""
        names = list(known)
        both = [other for other in names if other.startswith(f"{name}.")]
        if name in names:
            return f"fixture.{name}"
        if self.sound and both:
            wrong = f"there are {len(both)} of '{name}'"
            self.numbers.fault(path, wrong, f"write {' or '.join(both)}")
        elif self.sound:
            self.known(name, names, what, *path)
        return None

    def _in_hull(self, point: Array, *path: Key) -> None:
        bottom = float(self.hull.bottom(point[:1], point[1:2])[0])
        if not bottom <= point[2] + 1.0:
            where = "outside the hull" if np.isnan(bottom) else "below the bottom"
            right = "x from the transom, y to port, z from the baseline"
            self.numbers.fault(path, f"the point lies {where}", right)

    def bank(self, name: str, entry: BankEntry) -> Bank | None:
        """Batteries that work as one."""
        path = (TOP, "batteries", name)
        batteries = {own: plan for own, plan in self.fixtures.items() if isinstance(plan.part, Battery)}
        parts, spots = [], []
        for i, own in enumerate(entry.of):
            found = self.fixture(own, batteries, "battery", *path, "of", i)
            if found is not None:
                spots.append(Spot(found, None))
                parts.append(batteries[own].part)
            if own in entry.of[:i]:
                self.numbers.fault((*path, "of", i), f"'{own}' stands twice", "leave one of them out")
        volts = tuple(part.volts for part in parts if isinstance(part, Battery))
        if len(volts) != len(entry.of):
            return None
        hours = [entry.amp_hours or part.amp_hours for part in parts if isinstance(part, Battery)]
        least = None if None in hours else min(float(h) for h in hours if h is not None)
        beside = len(parts) if entry.joined == "parallel" else 1
        return Bank(
            name,
            tuple(spots),
            entry.joined,
            volts,
            None if least is None else beside * least,
            entry.kind,
            RESERVE[entry.kind] if entry.reserve is None else float(entry.reserve),
            self.numbers.document.place(path),
        )

    def device(self, name: str, entry: DeviceEntry) -> Device:
        """A fuse, box, switch or bus."""
        path = (TOP, "devices", name)
        if entry.rating is not None and entry.kind != "fuse":
            wrong = f"a {entry.kind.replace('_', ' ')} has no rating here"
            self.numbers.fault((*path, "rating"), wrong, "give circuits their `fuse`, or make it a fuse")
        rating = None if entry.rating is None else float(entry.rating)
        place = self.numbers.document.place(path)
        spot = self.spot(entry.at, *path, "at")
        carries = None if entry.carries is None else float(entry.carries)
        return Device(name, entry.kind, spot, rating, entry.positions, place, carries)

    def load(self, name: str, entry: LoadEntry) -> Load | None:
        """What uses current."""
        path = (TOP, "loads", name)
        spot = self.spot(entry.at, *path, "at")
        for use in entry.shares:
            self.known(use, self.entry.uses, "use", *path, "shares", use)
        volts = None if entry.volts is None else float(entry.volts)
        amps = mean = None if entry.amps is None else float(entry.amps)
        if entry.drive and self.drive is None:
            if self.sound:
                right = "tell of the motor under `afloat: drive:`"
                self.numbers.fault((*path, "drive"), "the boat has no electric drive", right)
            return None
        if entry.drive and self.drive is not None:
            volts = volts or self.drive.volts
            amps = amps or self.drive.draw
            mean = draw_at(self.drive, float(entry.thrust))
        if amps is None or mean is None:
            self.numbers.fault(path, "its current is not told", "give `amps`")
            return None
        place = self.numbers.document.place(path)
        return Load(name, spot, amps, mean, volts, entry.drive, _floats(entry.shares), place)

    def circuit(self, name: str, entry: CircuitEntry) -> Circuit | None:
        """A way of current, its names checked."""
        path = (TOP, "circuits", name)
        gauge = None
        if entry.gauge is not None:
            gauge = gauge_of(entry.gauge)
            if gauge is None:
                wrong = f"{entry.gauge!r} is no size of wire"
                self.numbers.fault((*path, "gauge"), wrong, f"give one of {', '.join(GAUGES)}")
        if not check_circuit(name, entry, self.entry, self.numbers):
            return None
        return Circuit(
            name,
            entry.start,
            tuple(entry.through),
            entry.to,
            self._back(entry),
            entry.kind,
            None if entry.amps is None else float(entry.amps),
            None if entry.fuse is None else float(entry.fuse),
            gauge,
            entry.colour,
            entry.sheathed,
            entry.engine_space,
            self.numbers.document.place(path),
        )

    def _back(self, entry: CircuitEntry) -> str:
        """Where current comes back to: as told, the only bus, or nothing, which is the battery itself.

        A load that is taken from a battery without a box between gives its current back there.
        """
        if entry.back is not None:
            return entry.back
        if entry.start in self.entry.batteries and entry.to in self.entry.loads:
            return ""
        buses = [name for name, own in self.entry.devices.items() if own.kind == "bus" and name != entry.to]
        return buses[0] if len(buses) == 1 else ""

    def _passages(self) -> list[str]:
        """Names of the passages of the file, each with its hand where there are two."""
        found = []
        for name, own in self.ctx.entry.passages.items():
            found += [f"{name}.port", f"{name}.starboard"] if own.both_sides else [name]
        return found

    def run(self, i: int, entry: WireRunEntry) -> GivenRun:
        """A run as given."""
        path = (TOP, "runs", i)
        names = [*self.entry.batteries, *self.entry.devices, *self.entry.loads]
        for k, name in enumerate(entry.between):
            self.known(name, names, "battery, device or load", *path, "between", k)
        if entry.between[0] == entry.between[1]:
            self.numbers.fault((*path, "between"), "the run begins where it ends", "name two things")
        if (entry.points is None) == (not entry.via):
            self.numbers.fault(path, "a run is given by `points` or `via`", "give one of the two")
        points = None
        if entry.points is not None:
            points = np.array([self.numbers.point(p, *path, "points", k) for k, p in enumerate(entry.points)])
            points = points.reshape(-1, 3)
        via = tuple(
            told if isinstance(told, str) else self.numbers.point(told, *path, "via", k)
            for k, told in enumerate(entry.via)
        )
        for k, told in enumerate(entry.via):
            if isinstance(told, str):
                self.known(told, self._passages(), "passage", *path, "via", k)
        place = self.numbers.document.place(path)
        return GivenRun(frozenset(entry.between), points, via, place)
