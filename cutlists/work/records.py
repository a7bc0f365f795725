"""Tasks of the work and the plan made of them, as the packet, the price and the checklist read them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

from model.findings import Finding
from parts.faults import Place

KINDS: Mapping[str, str] = {
    "survey": "measuring",
    "strip": "stripping out",
    "order": "ordering",
    "cut": "sawing tube",
    "sheet": "cutting sheet",
    "bend": "bending",
    "tack": "tacking",
    "weld": "welding",
    "fit": "fitting panels",
    "leak": "leak tests",
    "paint": "cleaning and painting",
    "plumb": "plumbing",
    "wire": "wiring",
    "foam": "foam",
    "close": "closing decks",
    "mat": "laying mat",
    "lids": "lids",
    "rig": "rigging",
    "float": "float test",
    "other": "other work",
}
"""Kinds of tasks in the order in which a boat usually meets them, each in plain words."""

SAME_INSTANT = 1e-6
"""Instants this close together, hours, are the same."""


@dataclass(frozen=True)
class Task:
    """One piece of work that a hand begins and ends without doing another between.

    Attributes:
        name: `weld.front`; it stays as long as what it is about is called so.
        title: in plain words, such as `Weld the frame of front`.
        kind: one of `KINDS`.
        hours: of one hand at the work.
        after: names of the tasks that must be done before it, without what follows from these.
        pieces: names of the boat's pieces it works on.
        wait: days by the calendar that pass once it is done before others may follow: lead time, curing.
        basis: how its hours come about, such as `54 cuts x 4 min`.
        because: why it must follow a task, by that task's name, where the model tells.
        place: where the boat file tells of it, for a task of the file's own.
    """

    name: str
    title: str
    kind: str
    hours: float
    after: tuple[str, ...] = ()
    pieces: tuple[str, ...] = ()
    wait: float = 0.0
    basis: str = ""
    because: Mapping[str, str] = field(default_factory=dict)
    place: Place | None = None


@dataclass(frozen=True)
class Slot:
    """When a task is done in a plan.

    Attributes:
        task: its name.
        hand: who of the shop does it, from 0.
        start, finish: working hours since the plan's first, without nights and days off.
        begins, ends: the same by the calendar.
        ready: when what follows it may begin, once its wait is over.
        slack: working hours by which it may be late without a later end of the longest chain of tasks.
        latest: by which it must be begun lest the end of this plan moves.
    """

    task: str
    hand: int
    start: float
    finish: float
    begins: datetime
    ends: datetime
    ready: datetime
    slack: float
    latest: datetime


@dataclass(frozen=True)
class Pause:
    """Working time within a plan on which a hand can do nothing.

    Attributes:
        begins, ends: by the calendar.
        hours: of working time.
        task: what is then begun.
        waits_for: the task whose lead time or curing it is, or which another hand must end first.
    """

    begins: datetime
    ends: datetime
    hours: float
    task: str
    waits_for: str


@dataclass(frozen=True, eq=False)
class WorkPlan:
    """The tasks of a boat in the order in which they are begun, and when.

    Attributes:
        boat: its short name.
        tasks: those still to do, in the order of the plan, each after others of them.
        done: those ticked, in the order of the boat.
        slots: of each task to do, in the same order.
        critical: names along the longest chain of tasks and waits, which no number of hands makes shorter.
        chain: its length, working hours.
        least: no plan of so many hands is shorter than this, working hours.
        hands: how many work at once.
        day: hours of a working day; it begins `opens` hours after midnight.
        start: the first day that counts.
        days_off: dates within the plan on which nobody works.
        free_from: of tasks that wait for something done already, such as an order, until when and for what.
        pauses: of all hands, in order.
        findings: what is wrong with the order of work.
    """

    boat: str
    tasks: tuple[Task, ...]
    slots: tuple[Slot, ...]
    critical: tuple[str, ...]
    chain: float
    least: float
    hands: int
    day: float
    opens: float
    start: date
    done: tuple[Task, ...] = ()
    days_off: frozenset[date] = frozenset()
    free_from: Mapping[str, tuple[date, str]] = field(default_factory=dict)
    pauses: tuple[Pause, ...] = ()
    findings: tuple[Finding, ...] = ()

    @property
    def all_tasks(self) -> tuple[Task, ...]:
        """Done or not, those that are done first."""
        return (*self.done, *self.tasks)

    @property
    def hours(self) -> float:
        """Of all work that is still to do, hours spent on it already taken off."""
        return sum(slot.finish - slot.start for slot in self.slots)

    @property
    def hours_by_kind(self) -> dict[str, float]:
        """Hours of every kind over all tasks, done or not, as estimated; kinds in the order of `KINDS`."""
        found = dict.fromkeys(KINDS, 0.0)
        for task in self.all_tasks:
            found[task.kind] += task.hours
        return {kind: round(hours, 2) for kind, hours in found.items() if hours > 0.0}

    @property
    def ends(self) -> date:
        """The day on which the last task ends."""
        return max((slot.ends.date() for slot in self.slots), default=self.start)

    @property
    def length(self) -> float:
        """From the first hour to the last finish, working hours."""
        return max((slot.finish for slot in self.slots), default=0.0)

    @property
    def is_proven_least(self) -> bool:
        """Whether no plan with so many hands can end sooner."""
        return self.length <= self.least + SAME_INSTANT

    def task(self, name: str) -> Task:
        """The task of a name.

        Raises:
            KeyError: there is none.
        """
        return {task.name: task for task in self.all_tasks}[name]

    def slot(self, name: str) -> Slot:
        """When the task of a name is done.

        Raises:
            KeyError: it is not in the plan, or done already.
        """
        return {slot.task: slot for slot in self.slots}[name]

    def summary(self) -> tuple[str, ...]:
        """How much work there is and when it ends, in a line."""
        if not self.slots:
            return ("work: nothing is left to do",)
        hands = "one hand" if self.hands == 1 else f"{self.hands} hands"
        above = max(0.1, self.length - self.least)
        shorter = "shorter" if self.is_proven_least else f"more than {above:.1f} h shorter"
        return (
            f"work: {len(self.tasks)} tasks, {self.hours:.0f} h, by {hands} from {self.start:%d %b %Y} to "
            f"{self.ends:%d %b %Y}; no plan is {shorter}",
        )
