"""The wire schedule and the fuse map: a row for each wire, a row for each fuse."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Sequence

from cutlists.afloat.leaf import Leaf
from cutlists.electrics.words import amps_told, length_told, why_told
from model.electrics.report import CutWire, ElectricsReport

SCHEDULE = (
    "label", "circuit", "from", "to", "pole", "AWG", "colour", "cut", "cut mm", "run mm", "amps", "drop %",
    "fuse A", "fuse at", "size by", "told",
)  # fmt: skip
FUSES = ("at", "place", "fuse A", "circuit", "feeds", "AWG", "wire carries A", "from source mm", "allowed mm",
         "by")  # fmt: skip


def schedule_csv(report: ElectricsReport) -> str:
    """A CSV (RFC 4180) of every wire, circuit by circuit."""
    return _csv(SCHEDULE, (_wire_row(report, wire) for wire in report.wires))


def fuse_csv(report: ElectricsReport) -> str:
    """A CSV of every fuse and breaker, box by box, with how far along the wire it is from its source."""
    return _csv(FUSES, _fuse_rows(report))


def _wire_row(report: ElectricsReport, cut: CutWire) -> Sequence[str | float]:
    wire, circuit = cut.wire, report.circuit(cut.wire.circuit)
    row: list[str | float] = [
        wire.label, wire.circuit, wire.start.name, wire.end.name, wire.pole, cut.gauge, cut.colour,
        length_told(cut.cut, report.units), round(cut.cut, 1), round(cut.path, 1),
    ]  # fmt: skip
    told = "" if cut.laid else "no way found, its length is a guess"
    if circuit is None:
        return [*row, "", "", "", "", "largest of its circuits", told]
    fuse = "" if circuit.guard.rating is None else circuit.guard.rating
    drop = round(100.0 * circuit.lost, 2)
    return [*row, circuit.fed.amps, drop, fuse, circuit.guard.at, why_told(circuit), told]


def _fuse_rows(report: ElectricsReport) -> Iterator[Sequence[str | float]]:
    for fuse in report.fuses:
        circuit = report.circuit(fuse.circuit)
        guard = None if circuit is None else circuit.guard
        far: list[str | float] = ["", "", ""]
        if guard is not None and guard.at == fuse.at:
            far = [round(guard.away, 1), round(guard.most, 1), guard.by]
        rating = "" if fuse.rating is None else fuse.rating
        yield [fuse.at, fuse.position, rating, fuse.circuit, fuse.feeds, fuse.gauge, fuse.carries, *far]


def _csv(head: Sequence[str], rows: Iterable[Sequence[str | float]]) -> str:
    text = io.StringIO()
    out = csv.writer(text)
    out.writerow(head)
    out.writerows(rows)
    return text.getvalue()


def schedule_leaf(report: ElectricsReport) -> Leaf:
    """The schedule for terminal and paper."""
    rows = []
    for cut in report.wires:
        circuit = report.circuit(cut.wire.circuit)
        fuse = amps_told(circuit.guard.rating) if circuit is not None else ""
        length = length_told(cut.cut, report.units) + ("" if cut.laid else " ?")
        rows.append((cut.wire.label, cut.wire.start.name, cut.wire.end.name, cut.gauge or "none", cut.colour,
                     length, fuse))  # fmt: skip
    notes = ("Lengths with slack, drip loops and ends to do again; ? where no way was found, a guess.",)
    return Leaf("Wires", ("label", "from", "to", "AWG", "colour", "cut", "fuse"), tuple(rows), notes)


def circuit_leaf(report: ElectricsReport) -> Leaf:
    """Circuits with what they carry and why their wire is as thick as it is."""
    electrics = report.electrics
    assert electrics is not None
    rows = []
    for c in report.circuits:
        carries = f"{c.size.carries:g}" if c.size else ""
        rows.append(
            (c.name, c.fed.bank or "none", f"{c.fed.amps:g}", length_told(c.length, report.units),
             c.fed.circuit.kind, f"{100 * c.lost:.1f} %", c.gauge or "none", carries, why_told(c))
        )  # fmt: skip
    notes = (
        "Drop from the battery to the end, everything on: CM = 10.75 I L / E (ABYC E-11, as quoted), "
        "L there and "
        f"back; 3 % for critical circuits, 10 % for others, of which {100 * electrics.feeder_drop:g} % in a "
        "feeder.",
        f"Carries: 33 CFR 183.425 Table 5, {electrics.insulation} C insulation, copper by "
        f"{'ASTM B258' if electrics.copper == 'awg' else 'the smaller automotive areas'}.",
        "Below 50 V the rule asks no less of wires in bundles; engine spaces take the factor of "
        "Table 5 note 1.",
    )
    head = ("circuit", "from", "A", "there and back", "kind", "drop", "AWG", "carries", "size by")
    return Leaf("Circuits", head, tuple(rows), notes)


def fuse_leaf(report: ElectricsReport) -> Leaf:
    """The fuse map."""
    rows = []
    for fuse in report.fuses:
        circuit = report.circuit(fuse.circuit)
        guard = None if circuit is None else circuit.guard
        far = ""
        if guard is not None and guard.at == fuse.at:
            far = length_told(guard.away, report.units) if guard.most else "at it"
        rows.append((fuse.at, str(fuse.position), amps_told(fuse.rating), fuse.circuit, fuse.feeds,
                     fuse.gauge or "none", far))  # fmt: skip
    notes = (
        "At most 150 % of what the wire carries, under 50 V (33 CFR 183.455); at the source, or "
        "within 7 in of it, "
        "40 in in a sheath, 72 in of a battery (183.460, from memory).",
    )
    head = ("at", "place", "fuse", "circuit", "feeds", "AWG", "from source")
    return Leaf("Fuse map", head, tuple(rows), notes)
