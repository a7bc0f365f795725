"""The wires as JSON: circuits, wires with paths, fuses, the day. Lengths in mm, points in the boat."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from model.electrics.report import CutWire, ElectricsReport, SizedCircuit

if TYPE_CHECKING:
    from model.boat import Boat

FORMAT, VERSION = "athwart-wires", 1


def wires_json(boat: Boat, report: ElectricsReport) -> str:
    """The report as JSON text."""
    data = {
        "format": FORMAT,
        "version": VERSION,
        "boat": {"name": boat.name, "title": boat.title},
        "circuits": [_circuit(c) for c in report.circuits],
        "wires": [_wire(w) for w in report.wires],
        "fuses": [
            {"at": f.at, "place": f.position, "amps": f.rating, "circuit": f.circuit, "feeds": f.feeds,
             "awg": f.gauge, "wire_carries": round(f.carries, 2)}
            for f in report.fuses
        ],
        "runs": [
            {"name": run.name, "diameter": round(run.diameter, 1), "through": list(run.through),
             "path": [[round(float(v), 1) for v in point] for point in run.path]}
            for run in report.runs
        ],
        "no_way": [{"name": lost.name, "why": lost.why, "cure": lost.cure} for lost in report.no_ways],
        "day": _day(report),
    }  # fmt: skip
    return json.dumps(data, indent=1) + "\n"


def _circuit(c: SizedCircuit) -> dict[str, Any]:
    guard = c.guard
    return {
        "name": c.name,
        "stops": list(c.fed.circuit.stops),
        "back": c.fed.circuit.back or c.fed.bank,
        "battery": c.fed.bank or None,
        "volts": c.volts,
        "amps": c.fed.amps,
        "kind": c.fed.circuit.kind,
        "copper": round(c.length, 1),
        "awg": c.gauge or None,
        "by": None if c.size is None else c.size.by,
        "drop": round(c.lost, 5),
        "carries": None if c.size is None else round(c.size.carries, 2),
        "bundle": c.bundle,
        "fuse": {"at": guard.at or None, "own": guard.own, "amps": guard.rating,
                 "from_source": round(guard.away, 1), "allowed": round(guard.most, 1), "by": guard.by},
    }  # fmt: skip


def _wire(cut: CutWire) -> dict[str, Any]:
    wire = cut.wire
    return {
        "label": wire.label,
        "circuit": wire.circuit,
        "pole": wire.pole,
        "from": wire.start.name,
        "to": wire.end.name,
        "awg": cut.gauge or None,
        "colour": cut.colour,
        "cut": round(cut.cut, 1),
        "path": round(cut.path, 1),
        "run": cut.run or None,
        "laid": cut.laid,
    }


def _day(report: ElectricsReport) -> dict[str, Any] | None:
    budget = report.budget
    if budget is None:
        return None
    return {
        "uses": {use.name: use.hours for use in budget.uses},
        "loads": {own.load: {use: round(amps, 4) for use, amps, _ in own.by_use} for own in budget.drawn},
        "batteries": {
            day.bank.name: {
                "volts": day.bank.volts,
                "amp_hours": day.bank.amp_hours,
                "drawn": round(day.amp_hours, 2),
                "left": {spent.use: round(spent.left, 4) for spent in day.spent},
                "lasts": day.lasts,
            }
            for day in budget.banks
        },
    }
