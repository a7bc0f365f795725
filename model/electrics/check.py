"""Works out the wires of a boat: ways, lengths, bundles, conductors, fuses, the day; and what is wrong."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import TYPE_CHECKING
from weakref import WeakKeyDictionary

import numpy as np

from model.electrics.budget import budget_of
from model.electrics.conductors import GAUGES, Laid, outside_diameter
from model.electrics.fuses import rating_for
from model.electrics.network import Fed, fed_circuits
from model.electrics.protection import NONE, Guard, Ratings, guard_of, ratings_of
from model.electrics.report import CutWire, ElectricsReport, FuseRow, SizedCircuit
from model.electrics.settings import CRANKING, DROPS, Electrics, Spot
from model.electrics.size import Asked, Sized, sized
from model.electrics.wires import (
    Lay,
    Pair,
    Where,
    Wire,
    circuit_wires,
    cut_length,
    lay_pairs,
    link_wires,
    pairs_of,
)
from model.electrics.wrong import findings_of
from model.geometry import Array
from model.ways.bundles import around, bundles
from model.ways.run import NoWay, Run, length_of

if TYPE_CHECKING:
    from model.boat import Boat

ESTIMATE = 1.4
"""Where no way was found a wire is guessed to be so much longer than the straight line (from memory)."""


_KNOWN: WeakKeyDictionary[Boat, ElectricsReport] = WeakKeyDictionary()


def electrics_report(boat: Boat) -> ElectricsReport:
    """The wires of a boat along its ways; an empty report where the file tells of none. Worked out once."""
    if boat not in _KNOWN:
        _KNOWN[boat] = _report(boat)
    return _KNOWN[boat]


def _report(boat: Boat) -> ElectricsReport:
    if boat.electrics is None:
        return ElectricsReport(boat.units)
    from model.ways.route import ways_of
    from model.ways.terminals import where

    ways = ways_of(boat)

    def find(spot: Spot) -> Array:
        return where(boat, spot.fixture) if spot.fixture is not None else _point(spot)

    return work_out(boat.electrics, boat.units, find, ways.route)


def _point(spot: Spot) -> Array:
    assert spot.point is not None
    return spot.point


def work_out(electrics: Electrics, units: str, where: Where, lay: Lay) -> ElectricsReport:
    """The report of wires that lie as `lay` finds.

    Args:
        electrics: what the file asks.
        units: of lengths for people.
        where: the point `(3,)` of a place.
        lay: finds the ways.
    """
    work = _Work(electrics, where)
    work.lead(lay)
    circuits = work.circuits()
    wires = tuple(work.cut(circuits))
    banks = {fed.circuit.to: fed.bank for fed in work.fed if fed.bank and fed.circuit.to in electrics.loads}
    runs = tuple(run for run in work.runs.values() if isinstance(run, Run))
    no_ways = tuple(run for run in work.runs.values() if isinstance(run, NoWay))
    report = ElectricsReport(
        units,
        electrics,
        circuits,
        wires,
        tuple(_fuses(electrics, circuits)),
        runs,
        no_ways,
        budget_of(electrics, banks) if electrics.uses else None,
    )
    found = findings_of(report, lambda name: where(electrics.spot(name)))
    return replace(report, findings=tuple(found))


@dataclass
class _Work:
    """The wires, their runs and what each circuit came to so far."""

    electrics: Electrics
    where: Where
    fed: tuple[Fed, ...] = ()
    wires: dict[str, list[Wire]] = field(default_factory=dict)
    links: list[Wire] = field(default_factory=list)
    runs: dict[Pair, Run | NoWay] = field(default_factory=dict)
    beside: dict[Pair, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Draws the wires."""
        electrics = self.electrics
        self.fed = fed_circuits(electrics)
        self.wires = {fed.circuit.name: list(circuit_wires(electrics, fed)) for fed in self.fed}
        used = {fed.bank for fed in self.fed}
        self.links = [w for n, bank in electrics.banks.items() if n in used for w in link_wires(bank)]

    @property
    def every(self) -> list[Wire]:
        """All wires, the links of banks last."""
        return [wire for own in self.wires.values() for wire in own] + self.links

    def lead(self, lay: Lay) -> None:
        """Finds the ways of all wires, each as thick as the wires that lie in it.

        How thick is found by lengths guessed from the straight lines first.
        """
        thick = self._thickness()
        pairs = pairs_of(self.every)
        self.runs = lay_pairs(pairs, self.electrics.runs, thick, self.where, lay)
        self.beside = _company(self.runs, Counter(wire.pair for wire in self.every))
        thick = self._thickness()
        for pair, run in self.runs.items():
            if isinstance(run, Run):
                self.runs[pair] = replace(run, diameter=thick[pair])

    def _thickness(self) -> dict[Pair, float]:
        """Over all wires of each pair of places, mm."""
        own: dict[Pair, list[float]] = defaultdict(list)
        for cut in self.cut(self.circuits()):
            own[cut.wire.pair].append(outside_diameter(cut.gauge or GAUGES[-1]))
        return {pair: around(found) for pair, found in own.items()}

    def path(self, wire: Wire) -> float:
        """Length of a wire's run, mm; a guess where there is no way."""
        run = self.runs.get(wire.pair)
        if len(wire.pair) < 2:
            return 0.0
        if isinstance(run, Run):
            return run.length
        if run is not None and run.path is not None:
            return length_of(run.path)
        a, b = self.where(wire.start.spot), self.where(wire.end.spot)
        return ESTIMATE * float(np.sqrt(((b - a) ** 2).sum()))

    def between(self, circuit: str, one: str, other: str) -> float:
        """Conductor between two neighbours of a circuit, spare ends left out, mm."""
        own = next(w for w in self.wires[circuit] if (w.start.name, w.end.name) == (one, other))
        return self.path(own) * (1.0 + self.electrics.slack)

    def circuits(self) -> tuple[SizedCircuit, ...]:
        """Every circuit with its conductor, those that feed others first; in the order of the file."""
        ratings = ratings_of(self.electrics, {fed.circuit.name: fed.amps for fed in self.fed})
        found: dict[str, SizedCircuit] = {}
        for fed in sorted(self.fed, key=lambda fed: len(fed.feeders)):
            found[fed.circuit.name] = self._sized(fed, ratings, found)
        return tuple(found[fed.circuit.name] for fed in self.fed)

    def _sized(self, fed: Fed, ratings: Ratings, known: Mapping[str, SizedCircuit]) -> SizedCircuit:
        electrics, circuit = self.electrics, fed.circuit
        own = self.wires[circuit.name]
        links = [w for w in self.links if w.circuit == fed.bank] if not fed.feeders else []
        length = sum(cut_length(electrics, self.path(wire)) for wire in (*own, *links))
        bundle = max((self.beside.get(wire.pair, 1) for wire in own), default=1)
        if not fed.bank:
            return SizedCircuit(fed, 0.0, length, 0.0, 0.0, bundle, 1.0, NONE, None)
        volts = electrics.banks[fed.bank].volts
        guard = self._guard(fed, ratings)
        before = sum(_lost(known.get(feeder.name)) for feeder in fed.feeders)
        share = DROPS[circuit.kind] if circuit.to in electrics.loads else electrics.feeder_drop
        allowed = share * volts - (before if circuit.to in electrics.loads else 0.0)
        laid = Laid(electrics.insulation, circuit.engine_space, bundle, volts, electrics.always_derated)
        brief = circuit.kind == CRANKING
        asked = Asked(
            fed.amps, length, allowed, laid, electrics.copper, circuit.sheathed, guard.rating, brief
        )
        size = sized(asked, circuit.gauge)
        return SizedCircuit(fed, volts, length, allowed, before, bundle, laid.factor, guard, size)

    def _guard(self, fed: Fed, ratings: Ratings) -> Guard:
        owners = {pair: c.name for c in (*fed.feeders, fed.circuit) for pair in pairwise(c.stops)}
        return guard_of(self.electrics, fed, lambda a, b: self.between(owners[a, b], a, b), ratings)

    def cut(self, circuits: tuple[SizedCircuit, ...]) -> Iterator[CutWire]:
        """Every wire with its size and length."""
        electrics = self.electrics
        sizes = {c.name: c for c in circuits}
        for name, own in self.wires.items():
            circuit = sizes[name].fed.circuit
            for wire in own:
                colour = (
                    electrics.negative if wire.pole == "negative" else circuit.colour or electrics.positive
                )
                yield self._cut(wire, sizes[name].gauge, colour)
        for wire in self.links:
            at_bank = [c.gauge for c in circuits if c.fed.bank == wire.circuit and not c.fed.feeders]
            yield self._cut(wire, _thickest(at_bank), electrics.positive)

    def _cut(self, wire: Wire, gauge: str, colour: str) -> CutWire:
        path = self.path(wire)
        run = self.runs.get(wire.pair)
        laid = len(wire.pair) < 2 or isinstance(run, Run)
        cut = cut_length(self.electrics, path)
        return CutWire(wire, gauge, colour, path, cut, run.name if run else "", laid)


def _company(runs: Mapping[Pair, Run | NoWay], count: Mapping[Pair, int]) -> dict[Pair, int]:
    """The most conductors that lie together with those of a pair of places, themselves among them."""
    found = [run for run in runs.values() if isinstance(run, Run)]
    wires = {run.name: count[pair] for pair, run in runs.items() if isinstance(run, Run)}
    most = dict(wires)
    for bundle in bundles(found):
        together = sum(wires[name] for name in bundle.runs)
        for name in bundle.runs:
            most[name] = max(most[name], together)
    return {pair: most.get(run.name, count[pair]) for pair, run in runs.items()}


def _lost(circuit: SizedCircuit | None) -> float:
    """Volts lost in a feeder; one that no conductor does for counts as if it kept to what is allowed."""
    if circuit is None or circuit.size is None:
        return 0.0
    size: Sized = circuit.size
    return size.lost if size.gauge else circuit.allowed


def _thickest(gauges: list[str]) -> str:
    known = [gauge for gauge in gauges if gauge]
    return max(known, key=GAUGES.index) if known else ""


def _fuses(electrics: Electrics, circuits: tuple[SizedCircuit, ...]) -> Iterator[FuseRow]:
    """Fuses box by box and place by place, and those on their own; also one behind a fuse of a box."""
    for at, device in electrics.devices.items():
        if device.kind not in ("fuse_box", "fuse"):
            continue
        own = [(c, c.guard.rating) for c in circuits if c.guard.own and c.guard.at == at]
        second = [c for c in circuits if at in c.fed.circuit.through and c.guard.at != at]
        own += [(c, device.rating or rating_for(c.fed.amps, electrics.fuse_margin)) for c in second]
        for position, (c, rating) in enumerate(own, 1):
            carries = c.size.carries if c.size else 0.0
            yield FuseRow(at, position, rating, c.name, c.gauge, carries, c.fed.circuit.to)
