"""All tables of the wires, in the order in which they are told."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cutlists.afloat.leaf import Leaf
from cutlists.buy_list import BuyLine
from cutlists.electrics.budget_tables import bank_leaf, load_leaf
from cutlists.electrics.buy import buy_leaf
from cutlists.electrics.run_leaf import run_leaf
from cutlists.electrics.schedule import circuit_leaf, fuse_leaf, schedule_leaf
from model.electrics.report import ElectricsReport


def wire_leaves(report: ElectricsReport, lines: Sequence[BuyLine] = ()) -> Iterator[Leaf]:
    """Circuits, fuse map, schedule, runs, what to buy where its lines are given, the day."""
    if report.electrics is None:
        return
    yield circuit_leaf(report)
    yield fuse_leaf(report)
    yield schedule_leaf(report)
    if report.runs:
        yield run_leaf(report)
    if lines:
        yield buy_leaf(lines)
    if report.budget is not None:
        yield load_leaf(report)
        yield bank_leaf(report)
