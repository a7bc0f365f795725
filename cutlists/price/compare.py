"""Estimate against actual of one boat, by kind of task and kind of cost, and what of it is complete."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from cutlists.price.actuals import Actual, ByTask, hours_by_task
from cutlists.price.learn import Finished
from cutlists.price.money import HUNDRED, NOTHING
from cutlists.price.records import KINDS, Line, Quote


@dataclass(frozen=True)
class Compared:
    """One row: what it is of, estimated, actual, and what is still without an actual.

    Attributes:
        kind: of task or of line.
        unit: `h`, or the currency's code.
        estimated: by the quote.
        actual: as recorded so far; None where nothing is.
        lacking: names of tasks without hours.
    """

    kind: str
    unit: str
    estimated: Decimal
    actual: Decimal | None
    lacking: tuple[str, ...] = ()

    @property
    def off(self) -> Decimal | None:
        """By how much the actual is off, in percent of the estimate; None where that cannot be told."""
        if self.actual is None or not self.estimated:
            return None
        return HUNDRED * (self.actual - self.estimated) / self.estimated

    @property
    def is_whole(self) -> bool:
        """Whether nothing is lacking."""
        return self.actual is not None and not self.lacking


def compare_hours(quote: Quote, actuals: list[Actual], ticked: ByTask) -> list[Compared]:
    """Hours by kind of task; hours of a whole kind stand for all its tasks."""
    tasks: dict[str, list[Line]] = {}
    for line in quote.lines:
        if line.kind == "labour" and line.group:
            tasks.setdefault(line.group, []).append(line)
    took = hours_by_task(actuals, ticked)
    kinds = [*tasks, *(kind for kind, _ in took if kind not in tasks)]
    found = []
    for kind in dict.fromkeys(kinds):
        own = {name: hours for (of, name), hours in took.items() if of == kind}
        lines = tasks.get(kind, [])
        lacking = () if "" in own else tuple(line.key for line in lines if line.key not in own)
        estimated = sum((line.quantity for line in lines), NOTHING)
        actual = sum(own.values(), NOTHING) if own else None
        found.append(Compared(kind, "h", estimated, actual, lacking))
    return found


def compare_costs(quote: Quote, actuals: Sequence[Actual]) -> list[Compared]:
    """Costs by kind and, below it, by group, where something is recorded or estimated."""
    paid: dict[tuple[str, str], Decimal] = {}
    for one in actuals:
        if one.what == "cost":
            paid[one.kind, one.name] = paid.get((one.kind, one.name), NOTHING) + one.amount
    found = []
    for kind in KINDS:
        own = [line for line in quote.lines if line.kind == kind]
        spent = [amount for (of, _), amount in paid.items() if of == kind]
        if (own or spent) and kind != "labour":
            estimated = sum((line.amount or NOTHING for line in own), NOTHING)
            actual = sum(spent, NOTHING) if spent else None
            found.append(Compared(kind, quote.currency.code, estimated, actual))
    return found


def finished_of(quote: Quote, hours: Sequence[Compared]) -> Finished:
    """What is learnt from a boat: hours of those kinds of task of which nothing is lacking."""
    return Finished(
        quote.boat,
        quote.amounts,
        {row.kind: float(row.estimated) for row in hours},
        {row.kind: float(row.actual) for row in hours if row.is_whole and row.actual is not None},
    )


def compared_rows(rows: Sequence[Compared]) -> list[tuple[str, ...]]:
    """Kind, estimated, actual, difference in percent, what lacks; then the sum of what has an actual."""
    told = [_row(row) for row in rows]
    known = [row for row in rows if row.actual is not None]
    if len(known) > 1:
        estimated = sum((row.estimated for row in known), NOTHING)
        actual = sum((row.actual or NOTHING for row in known), NOTHING)
        told.append(_row(Compared("of those with an actual", rows[0].unit, estimated, actual)))
    return told


def _row(row: Compared) -> tuple[str, ...]:
    lacking = f"{len(row.lacking)} without hours: {', '.join(row.lacking[:3])}" if row.lacking else ""
    return (
        row.kind,
        f"{row.estimated:,.2f} {row.unit}",
        "" if row.actual is None else f"{row.actual:,.2f} {row.unit}",
        "" if row.off is None else f"{row.off:+.0f} %",
        lacking if row.actual is not None else "nothing recorded",
    )
