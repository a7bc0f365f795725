"""The hours of the work plan as lines of a quote, a line for each task."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import TYPE_CHECKING

from cutlists.price.money import exact
from cutlists.price.records import Line
from cutlists.price.settings import QuoteSettings

if TYPE_CHECKING:
    from cutlists.work.records import Task, WorkPlan

FINE = Decimal("0.01")
"""Hours are shown, and charged, to this."""
NO_PLAN = Line(
    "labour", "", "work", "all work: its hours are not estimated", Decimal(0), "h", None, None, "no work plan"
)


def labour_lines(
    work: WorkPlan | None, settings: QuoteSettings, factors: Mapping[str, Decimal] | None = None
) -> Iterator[Line]:
    """A line for each task, in the order of the plan; one without an amount where there is no plan.

    Args:
        work: the plan.
        settings: with the rates.
        factors: by which the hours of a kind of task are more or less than the plan says; 1 unless given.
    """
    if work is None:
        yield NO_PLAN
        return
    for task in work.all_tasks:
        if task.hours > 0.0:
            yield _line(task, settings, (factors or {}).get(task.kind, Decimal(1)))


def _line(task: Task, settings: QuoteSettings, factor: Decimal) -> Line:
    hours = (exact(task.hours) * factor).quantize(FINE)
    rate = settings.rate(task.kind)
    learnt = "" if factor == 1 else f"; x {factor:.3f}, learnt"
    return Line(
        "labour",
        task.kind,
        task.name,
        task.title,
        hours,
        "h",
        rate,
        None if rate is None else settings.currency.rounded(rate * hours),
        (task.basis + learnt).removeprefix("; "),
    )


def hours_by_kind(lines: list[Line]) -> dict[str, Decimal]:
    """Hours of each kind of task, in the order they first come."""
    found: dict[str, Decimal] = {}
    for line in lines:
        if line.kind == "labour" and line.group:
            found[line.group] = found.get(line.group, Decimal(0)) + line.quantity
    return found
