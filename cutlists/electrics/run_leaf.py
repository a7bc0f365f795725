"""The runs as a table: numbered as in the drawing, with the wires in each and what they go through."""

from __future__ import annotations

from collections import Counter

from cutlists.afloat.leaf import Leaf
from cutlists.electrics.run_words import drawn_runs, sizes_told
from cutlists.electrics.words import length_told
from model.electrics.report import ElectricsReport
from model.ways.bundles import bundles
from parts.lengths import format_length


def run_leaf(report: ElectricsReport) -> Leaf:
    """A row for each run."""
    shared = Counter(name for bundle in bundles(report.runs) for name in bundle.runs)
    rows = []
    for number, run in enumerate(drawn_runs(report), 1):
        start, _, end = run.name.partition(".")[2].partition("-")
        rows.append(
            (
                str(number),
                start,
                end,
                length_told(run.length, report.units),
                sizes_told(report, run),
                format_length(run.diameter, report.units),
                str(len(run.clips)),
                "yes" if shared[run.name] else "",
                ", ".join(name.removeprefix("passage.") for name in run.passages),
            )
        )
    notes = (
        "Numbers as in the plan of the runs. Thick is over all wires of the run. Where a run shares "
        "its way with "
        "others they are bundled and share their clips.",
    )
    head = ("no", "from", "to", "length", "wires", "thick", "clips", "shared", "through")
    return Leaf("Runs", head, tuple(rows), notes)
