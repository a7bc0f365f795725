"""All tables of the wires, in the order in which they are told."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from cutlists.afloat.leaf import Leaf
from cutlists.electrics.budget_tables import bank_leaf, load_leaf
from cutlists.electrics.buy import buy_leaf, wire_buy_lines
from cutlists.electrics.run_leaf import run_leaf
from cutlists.electrics.schedule import circuit_leaf, fuse_leaf, schedule_leaf
from cutlists.electrics.spool_file import WireStock
from model.electrics.report import ElectricsReport


def wire_leaves(report: ElectricsReport, stock: WireStock, prices: Mapping[str, float]) -> Iterator[Leaf]:
    """Circuits, fuse map, schedule, runs, what to buy, the day."""
    if report.electrics is None:
        return
    yield circuit_leaf(report)
    yield fuse_leaf(report)
    yield schedule_leaf(report)
    if report.runs:
        yield run_leaf(report)
    yield buy_leaf(wire_buy_lines(report, stock, prices))
    if report.budget is not None:
        yield load_leaf(report)
        yield bank_leaf(report)
