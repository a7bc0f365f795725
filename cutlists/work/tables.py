"""The work as rows: for the packet and as CSV."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from datetime import date, datetime

from cutlists.work.records import Slot, Task
from cutlists.work.standing import Standing

COLUMNS = (
    "task", "kind", "what", "hours", "begins", "ends", "wait days", "ready", "begin by", "slack hours",
    "longest chain", "hand", "after", "pieces", "counted from", "done", "hours spent", "notes",
)  # fmt: skip

NOTHING = " "
"""In an empty cell, so that its row is no higher than others."""


def work_csv(standing: Standing) -> str:
    """Every task as CSV (RFC 4180), what is done first; moments as ISO 8601 without a zone."""
    text = io.StringIO()
    out = csv.writer(text)
    out.writerow(COLUMNS)
    plan = standing.plan
    for task in plan.done:
        out.writerow(_row(standing, task, None))
    for task, slot in zip(plan.tasks, plan.slots, strict=True):
        out.writerow(_row(standing, task, slot))
    return text.getvalue()


def _row(standing: Standing, task: Task, slot: Slot | None) -> list[str | float | int]:
    when: list[str | float | int] = ["", "", task.wait, "", "", "", "", ""]
    if slot is not None:
        when = [
            _iso(slot.begins), _iso(slot.ends), task.wait, _iso(slot.ready), _iso(slot.latest),
            round(slot.slack, 2), "yes" if task.name in standing.plan.critical else "", slot.hand + 1,
        ]  # fmt: skip
    tick = standing.ticks.get(task.name)
    return [
        task.name, task.kind, task.title, task.hours, *when, " ".join(task.after), len(task.pieces),
        task.basis, tick.date.isoformat() if tick is not None else "",
        round(standing.spent.get(task.name, 0.0), 2) or "", "; ".join(standing.notes.get(task.name, ())),
    ]  # fmt: skip


def _iso(moment: datetime) -> str:
    return moment.isoformat(sep=" ", timespec="minutes")


def checklist_rows(standing: Standing) -> Iterator[tuple[str, ...]]:
    """Rows of the checklist on paper: box, task, what is done, hours, when, after what."""
    plan = standing.plan
    number = {task.name: str(k) for k, task in enumerate(plan.all_tasks, 1)}
    for task in plan.done:
        day = standing.ticks[task.name].date
        name, hours = task.name, f"{task.hours:.2f}"
        yield f"[x] {number[name]}", name, task.title, hours, f"{day:%d %b}", NOTHING, NOTHING
    for task, slot in zip(plan.tasks, plan.slots, strict=True):
        after = ", ".join(sorted((number[one] for one in task.after), key=int))
        name = f"{task.name} *" if task.name in plan.critical else task.name
        when = f"{slot.begins:%a %d %b}"
        box, hours = f"[  ] {number[task.name]}", f"{task.hours:.2f}"
        yield box, name, task.title, hours, when, after or NOTHING, "........."


def orders_in_short(standing: Standing) -> str:
    """By when each order is to be sent, in one line; empty where there is none."""
    plan = standing.plan
    days: dict[date, list[str]] = {}
    for slot in sorted(plan.slots, key=lambda slot: slot.latest):
        if plan.task(slot.task).kind == "order":
            days.setdefault(slot.latest.date(), []).append(slot.task)
    told = "; ".join(f"by {day:%a %d %b} {', '.join(names)}" for day, names in days.items())
    return f"Send orders in time: {told}." if told else ""


def told_orders(standing: Standing) -> Iterator[str]:
    """What is to be ordered and by when, each in a line; the first that is due first."""
    plan = standing.plan
    orders = [(slot, task) for task, slot in zip(plan.tasks, plan.slots, strict=True) if task.kind == "order"]
    for slot, task in sorted(orders, key=lambda own: own[0].latest):
        days = f"{task.wait:g} days to come" if task.wait else "there at once"
        yield f"by {slot.latest:%a %d %b %Y}: {task.title} ({days})"


def told_pauses(standing: Standing) -> Iterator[str]:
    """When hands can do nothing, and for what they wait, each in a line."""
    for pause in standing.plan.pauses:
        if pause.hours >= 1.0:
            yield (
                f"{pause.hours:.0f} h of waiting from {pause.begins:%a %d %b} to {pause.ends:%a %d %b}: "
                f"{pause.task} waits for {pause.waits_for}"
            )


def told_changes(standing: Standing) -> Iterator[str]:
    """Ticks that no longer hold for the boat as it is now, each in a line."""
    for name, changed in standing.changed.items():
        words = []
        for count, told in (
            (changed.altered, "changed"),
            (changed.gone, "no longer there"),
            (changed.new, "new"),
        ):
            if count:
                more = f" and {len(count) - 2} more" if len(count) > 2 else ""
                words.append(f"{', '.join(count[:2])}{more} {told}")
        yield (
            f"{name} was ticked on {standing.ticks[name].date:%d %b %Y}, but since then: {'; '.join(words)}"
        )
    for tick in standing.gone:
        yield f"{tick.task} was ticked on {tick.date:%d %b %Y}; the boat has no such task any more"
