"""How the work on a boat stands: what is ticked or changed since, hours spent, and the plan of the rest."""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING, Any

import numpy as np

from cutlists.store.work_log import Written, entries_of
from cutlists.work.plan import first_day, planned, tasks_of
from cutlists.work.records import Task, WorkPlan

if TYPE_CHECKING:
    from cutlists.shop_file import Shop
    from model.boat import Boat

SHAPED = frozenset({"cut", "sheet", "bend", "order"})
"""Kinds of tasks to which a piece is its shape, wherever in the boat it goes."""


@dataclass(frozen=True)
class Changed:
    """How the pieces of a ticked task differ from what they were then."""

    altered: tuple[str, ...] = ()
    gone: tuple[str, ...] = ()
    new: tuple[str, ...] = ()

    def __bool__(self) -> bool:
        """Whether any differ."""
        return bool(self.altered or self.gone or self.new)


@dataclass(frozen=True, eq=False)
class Standing:
    """The work on a boat as it stands.

    Attributes:
        plan: of what is not ticked.
        ticks: of what is, by task.
        spent: hours by task, of tasks that are gone too.
        notes: by task, the oldest first.
        changed: of ticked tasks, what of their pieces is no longer as it was.
        gone: ticks of tasks that the boat has no more.
    """

    plan: WorkPlan
    ticks: Mapping[str, Written] = field(default_factory=dict)
    spent: Mapping[str, float] = field(default_factory=dict)
    notes: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    changed: Mapping[str, Changed] = field(default_factory=dict)
    gone: tuple[Written, ...] = ()

    @property
    def can_begin(self) -> tuple[str, ...]:
        """Tasks that nothing keeps from being begun on the plan's first day, in its order."""
        waiting = self.plan.free_from
        return tuple(task.name for task in self.plan.tasks if not task.after and task.name not in waiting)

    @property
    def hours_done(self) -> float:
        """Hours of the ticked tasks as planned."""
        return sum(task.hours for task in self.plan.done)


def standing_of(
    boat: Boat,
    shop: Shop,
    start: date | None = None,
    today: date | None = None,
) -> Standing:
    """How the work on a boat stands by the shop's log.

    Args:
        boat: the finished boat.
        shop: whose stock file holds the log.
        start: first day of what is left; today or the boat file's, whichever is later, unless given.
        today: another date for today.

    Raises:
        BadInput: the key `work:` of the boat file names what there is not, or the log cannot be read.
    """
    tasks, findings = tasks_of(boat, shop)
    log = entries_of(shop.stock, boat.name)
    ticks = ticks_of(log)
    known = {task.name for task in tasks}
    over = over_of(log)
    dates = {name: None if name in over else tick.date for name, tick in ticks.items() if name in known}
    spent = _spent(log)
    plan = planned(boat, tasks, shop.work, start or first_day(boat, today), dates, spent, findings)
    now = digests(boat)
    changed = {task.name: found for task in plan.done if (found := _compared(task, ticks[task.name], now))}
    return Standing(
        plan=plan,
        ticks=ticks,
        spent=spent,
        notes=_notes(log),
        changed=changed,
        gone=tuple(tick for name, tick in ticks.items() if name not in known),
    )


def ticks_of(log: Sequence[Written]) -> dict[str, Written]:
    """The tick of each task that is done, by its name."""
    found: dict[str, Written] = {}
    for entry in log:
        if entry.what == "tick":
            found[entry.task] = entry
        elif entry.what == "untick":
            found.pop(entry.task, None)
    return found


def over_of(log: Sequence[Written]) -> set[str]:
    """Ticked tasks whose wait is over: what was ordered is there, what was painted is dry."""
    found: set[str] = set()
    for entry in log:
        if entry.what == "over":
            found.add(entry.task)
        elif entry.what in ("tick", "untick"):
            found.discard(entry.task)
    return found


def digests(boat: Boat) -> dict[str, str]:
    """What tells each piece from a changed one: a digest of its shape and one of its place."""
    found = {}
    for member in boat.members:
        found[member.name] = _digest(boat.signatures[member.name], member.a, member.b)
    for panel in boat.panels:
        found[panel.name] = _digest(boat.signatures[panel.name], panel.frame.origin, panel.frame.x)
    for strip in boat.strips:
        found[strip.name] = _digest(boat.signatures[strip.name], strip.edge_a[0], strip.edge_b[-1])
    for fixture in boat.fixtures:
        shape = fixture.part.name if fixture.part is not None else sorted(fixture.order.items())
        found[fixture.name] = _digest(repr(shape), fixture.frame.origin, fixture.frame.x)
    return found


def _digest(shape: str, *place: Any) -> str:
    at = np.round(np.concatenate(place), 1) + 0.0  # so that no zero is below zero
    return "/".join(hashlib.sha256(text).hexdigest()[:10] for text in (shape.encode(), at.tobytes()))


def _compared(task: Task, tick: Written, now: Mapping[str, str]) -> Changed:
    """How the pieces of a task differ from what they were when it was ticked."""
    own = {name: now[name] for name in task.pieces if name in now}

    def told(digest: str) -> str:
        return digest.partition("/")[0] if task.kind in SHAPED else digest

    altered = [name for name in own if name in tick.pieces and told(own[name]) != told(tick.pieces[name])]
    gone = [name for name in tick.pieces if name not in own]
    return Changed(tuple(altered), tuple(gone), tuple(name for name in own if name not in tick.pieces))


def _spent(log: Sequence[Written]) -> dict[str, float]:
    found: dict[str, float] = defaultdict(float)
    for entry in log:
        if entry.what == "hours":
            found[entry.task] += entry.hours
    return dict(found)


def _notes(log: Sequence[Written]) -> dict[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {}
    for entry in log:
        if entry.note:
            found[entry.task] = (*found.get(entry.task, ()), f"{entry.date:%d %b}: {entry.note}")
    return found
