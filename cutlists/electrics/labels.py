"""Labels for the wires: one for each end, to be wrapped round it."""

from __future__ import annotations

from cutlists.electrics.words import length_told, wire_told
from cutlists.packet.labels import Label
from model.electrics.report import ElectricsReport


def wire_labels(report: ElectricsReport) -> list[Label]:
    """Two labels a wire, in the order of the schedule: what it is called, size, length, from and to."""
    found = []
    for cut in report.wires:
        wire = cut.wire
        size = f"AWG {wire_told(cut)}, {length_told(cut.cut, report.units)}"
        for number, (here, there) in enumerate(((wire.start, wire.end), (wire.end, wire.start)), 1):
            words = (f"at {here.name}", f"leads to {there.name}")
            found.append(Label(wire.label, f"end {number}", size, words, f"wire {wire.label}"))
    return found
