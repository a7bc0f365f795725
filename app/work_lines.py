"""What `athwart work` says: how the work stands, a table of what is left, and all about one task."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from app.columns import WIDTH, columns
from app.findings_out import finding_lines
from cutlists.store.work_log import Written, entries_of
from cutlists.work.cautions import CAUTIONS
from cutlists.work.records import KINDS
from cutlists.work.standing import Standing
from cutlists.work.tables import told_changes, told_orders, told_pauses

if TYPE_CHECKING:
    from model.boat import Boat

LISTED = 6


def standing_lines(standing: Standing, boat: Boat, show_all: bool) -> Iterator[str]:
    """How the work stands: the table, what may be begun, orders, waits, and cautions."""
    yield from _done(standing, show_all)
    yield from _table(standing)
    yield from finding_lines(standing.plan.findings, boat.units)
    yield from _summed(standing)
    for line in (*told_changes(standing), *told_orders(standing), *told_pauses(standing)):
        yield from _wrapped(line)
    for caution in CAUTIONS:
        yield from _wrapped(caution, "! ")


def _done(standing: Standing, show_all: bool) -> Iterator[str]:
    done = standing.plan.done
    if not done or not show_all:
        return
    rows = [
        [
            f"{standing.ticks[task.name].date:%a %d %b}",
            task.name,
            f"{task.hours:.2f}",
            f"{standing.spent[task.name]:.2f}" if task.name in standing.spent else "",
            "; ".join(standing.notes.get(task.name, ())) or task.title,
        ]
        for task in done
    ]
    yield from columns(("done", "task", "hours", "spent", "what"), rows, right=(2, 3))
    yield ""


def _table(standing: Standing) -> Iterator[str]:
    """What is left, in the order of the plan; hours spent where there are any."""
    plan, free = standing.plan, set(standing.can_begin)
    any_spent = any(task.name in standing.spent for task in plan.tasks)
    rows = []
    for task, slot in zip(plan.tasks, plan.slots, strict=True):
        signs = (">" if task.name in free else "") + ("*" if task.name in plan.critical else "")
        spent = f"{standing.spent[task.name]:.2f}" if task.name in standing.spent else ""
        begins, slack = f"{slot.begins:%a %d %b %H:%M}", f"{slot.slack:.1f}"
        hours = [f"{task.hours:.2f}", spent] if any_spent else [f"{task.hours:.2f}"]
        rows.append([signs, task.name, *hours, begins, slack, task.title])
    if rows:
        head = ("", "task", "hours", *(["spent"] if any_spent else []), "begins", "slack", "what")
        yield from columns(head, rows, right=(2, 3, 5) if any_spent else (2, 4))
        yield "> nothing keeps it from being begun; * along the longest chain; slack in hours"
        yield ""


def _summed(standing: Standing) -> Iterator[str]:
    plan = standing.plan
    if plan.done:
        spent = sum(standing.spent.values())
        told = f"{len(plan.done)} of {len(plan.all_tasks)} tasks done, {standing.hours_done:.1f} h as planned"
        yield f"{told}; {spent:.1f} h spent in all; {plan.hours:.1f} h left"
    yield from _wrapped(plan.summary()[0], "")
    kinds = ", ".join(f"{KINDS[kind]} {hours:.1f}" for kind, hours in plan.hours_by_kind.items())
    if kinds:
        yield from _wrapped(f"hours by kind: {kinds}", "")
    if plan.critical:
        day, by = plan.free_from.get(plan.critical[0], (plan.start, ""))
        first = [f"{by} on its way until {day:%d %b}"] if by else []
        chain = f"longest chain, {plan.chain:.0f} working hours: {' > '.join([*first, *plan.critical])}"
        yield from _wrapped(chain, "")
    if standing.can_begin:
        more = len(standing.can_begin) - LISTED
        told = ", ".join(standing.can_begin[:LISTED]) + (f" and {more} more" if more > 0 else "")
        yield from _wrapped(f"can be begun now: {told}", "")


def task_lines(standing: Standing, name: str) -> Iterator[str]:
    """All about one task."""
    plan = standing.plan
    task = plan.task(name)
    yield f"{task.name}: {task.title}"
    yield from _wrapped(f"{task.hours:.2f} h of {KINDS[task.kind]}: {task.basis or 'none'}")
    if task.wait:
        yield from _wrapped(f"what follows waits {task.wait:g} days")
    for before in task.after:
        why = task.because.get(before, "what lies between is ticked before its time")
        yield from _wrapped(f"after {before}: {why}")
    after = [other.name for other in plan.all_tasks if name in other.after]
    if after:
        yield from _wrapped(f"before {', '.join(after)}")
    if name in standing.ticks and name not in {slot.task for slot in plan.slots}:
        yield f"- ticked on {standing.ticks[name].date:%a %d %b %Y}"
    else:
        slot = plan.slot(name)
        yield from _wrapped(
            f"planned from {slot.begins:%a %d %b %Y %H:%M} to {slot.ends:%a %d %b %H:%M}; if nothing else is "
            f"to move, begun by {slot.latest:%a %d %b %H:%M}"
        )
    if name in plan.free_from:
        day, by = plan.free_from[name]
        yield from _wrapped(f"waits until {day:%a %d %b} for {by}")
    if name in standing.spent:
        yield f"- {standing.spent[name]:.2f} h spent"
    for note in standing.notes.get(name, ()):
        yield from _wrapped(note)
    if task.pieces:
        yield from _wrapped(f"{len(task.pieces)} pieces: {', '.join(task.pieces)}")
    yield ""


def log_lines(stock: Path | None, boat: str) -> Iterator[str]:
    """Every entry for a boat, the newest last."""
    rows = [
        [f"{entry.date:%a %d %b %Y}", entry.what, entry.task, _told(entry)]
        for entry in entries_of(stock, boat)
    ]
    if not rows:
        yield f"nothing is written of {boat} yet"
        return
    yield from columns(("date", "what", "task", ""), rows)


def _told(entry: Written) -> str:
    if entry.what == "hours":
        return f"{entry.hours:.2f} h"
    return f"{entry.planned:.2f} h planned" if entry.what == "tick" else entry.note


def _wrapped(text: str, first: str = "- ") -> list[str]:
    return textwrap.wrap(
        text,
        WIDTH,
        initial_indent=first,
        subsequent_indent="  ",
        break_long_words=False,
        break_on_hyphens=False,
    )
