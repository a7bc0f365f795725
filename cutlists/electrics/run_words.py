"""The runs of a drawing: which, and what its key says of each."""

from __future__ import annotations

from collections import Counter

from cutlists.electrics.words import length_told
from model.electrics.report import ElectricsReport
from model.ways.run import Run


def drawn_runs(report: ElectricsReport) -> list[Run]:
    """The runs from aft to forward, so that numbers rise along the boat."""
    return sorted(report.runs, key=lambda run: (float(run.path[:, 0].mean()), run.name))


def run_words(report: ElectricsReport) -> dict[str, str]:
    """What the key says of each run: from what to what, how long, which wires lie in it."""
    found = {}
    for run in report.runs:
        ends = run.name.partition(".")[2].replace("-", " to ")
        found[run.name] = f"{ends}, {length_told(run.length, report.units)}; {sizes_told(report, run)}"
    return found


def sizes_told(report: ElectricsReport, run: Run) -> str:
    """How many wires of which size lie in a run, such as `1 x 14, 5 x 16`."""
    wires = Counter(wire.gauge or "?" for wire in report.wires_of(run))
    return ", ".join(f"{count} x {gauge}" for gauge, count in wires.items())
