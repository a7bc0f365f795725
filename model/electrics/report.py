"""The wires of a boat worked out: circuits with conductor and fuse, every wire with its length, the day."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from model.electrics.budget import Budget
from model.electrics.network import Fed
from model.electrics.protection import Guard
from model.electrics.settings import Electrics
from model.electrics.size import Sized
from model.electrics.wires import Wire
from model.findings import Finding
from model.ways.run import NoWay, Run
from parts.lengths import format_length


@dataclass(frozen=True, eq=False)
class SizedCircuit:
    """A circuit with its conductor and protection.

    Attributes:
        fed: the circuit and what feeds it.
        volts: of its bank; 0 where it reaches none.
        length: of copper there and back, mm.
        allowed: volts it may lose itself; `before` those lost in its feeders with everything on.
        bundle: most conductors that lie together with one of its own, itself among them.
        factor: what is left of Table 5 as it is laid.
        guard: its fuse.
        size: its conductor; None where it reaches no battery.
    """

    fed: Fed
    volts: float
    length: float
    allowed: float
    before: float
    bundle: int
    factor: float
    guard: Guard
    size: Sized | None

    @property
    def name(self) -> str:
        """Of the circuit."""
        return self.fed.circuit.name

    @property
    def gauge(self) -> str:
        """Of its wires; empty where none was found."""
        return (self.size.gauge or "") if self.size else ""

    @property
    def lost(self) -> float:
        """Share of the voltage that is lost from the battery to its end, everything on."""
        return (self.before + self.size.lost) / self.volts if self.size and self.volts else 0.0


@dataclass(frozen=True, eq=False)
class CutWire:
    """A wire as it is cut.

    Attributes:
        wire: from what to what.
        gauge, colour: of it; the gauge empty where none was found.
        path: length of its run, mm.
        cut: length it is cut to, mm.
        run: name of the run that it lies in; empty where both ends are in one place.
        laid: whether that was found; otherwise the length is a guess.
    """

    wire: Wire
    gauge: str
    colour: str
    path: float
    cut: float
    run: str
    laid: bool


@dataclass(frozen=True)
class FuseRow:
    """A fuse, breaker or place in a fuse box: where, which place, rating, circuit, its wire, what it feeds.

    `carries` is the ampacity of that wire.
    """

    at: str
    position: int
    rating: float | None
    circuit: str
    gauge: str
    carries: float
    feeds: str


@dataclass(frozen=True, eq=False)
class ElectricsReport:
    """All that was worked out.

    Attributes:
        units: of lengths for people.
        electrics: what the file asks; None where it tells of no wires.
        circuits: in the order of the file.
        wires: every wire, circuit by circuit, the links of banks last.
        fuses: box by box.
        runs: found, by the places they join; several wires may share one.
        no_ways: runs that were not found.
        budget: current and battery hours; None where no use is told.
        findings: what is wrong, worst first.
    """

    units: str
    electrics: Electrics | None = None
    circuits: tuple[SizedCircuit, ...] = ()
    wires: tuple[CutWire, ...] = ()
    fuses: tuple[FuseRow, ...] = ()
    runs: tuple[Run, ...] = ()
    no_ways: tuple[NoWay, ...] = ()
    budget: Budget | None = None
    findings: tuple[Finding, ...] = ()

    def circuit(self, name: str) -> SizedCircuit | None:
        """The circuit of a name."""
        return next((c for c in self.circuits if c.name == name), None)

    def wires_of(self, run: Run) -> Iterator[CutWire]:
        """The wires that lie in a run."""
        return (wire for wire in self.wires if wire.run == run.name)

    def summary(self) -> str | tuple[str, ...]:
        """What was worked out; nothing where the boat has no wires."""
        if self.electrics is None:
            return ()
        whole = sum(w.cut for w in self.wires)
        length = format_length(whole, "ft", 1) if self.units in ("in", "ft") else f"{whole / 1000.0:.1f} m"
        told = (
            f"{len(self.circuits)} circuits of {len(self.wires)} wires, "
            f"{length} cut; "
            "conductors and fuses by 33 CFR 183.425 and .455, drop of voltage from the battery"
        )
        if self.budget is None or not self.budget.uses:
            return (told,)
        hours = sum(use.hours for use in self.budget.uses)
        days = [f"{day.bank.name} {100 * day.left:.0f} % left" for day in self.budget.banks]
        return (
            told,
            f"a day of {hours:g} h, as an estimate: {', '.join(days) or 'no battery of known charge'}",
        )
