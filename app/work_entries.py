"""What `athwart work` is asked to write down: ticks, hours, notes, checked against the tasks of the boat."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from fnmatch import fnmatchcase
from typing import TYPE_CHECKING

from cutlists.store.work_log import What, Written, entries_of, open_work
from cutlists.work.records import Task
from cutlists.work.settings import date_of
from cutlists.work.standing import Standing, digests, over_of
from parts.faults import BadInput, FaultList, Place, did_you_mean

if TYPE_CHECKING:
    from cutlists.shop_file import Shop
    from model.boat import Boat

FARTHEST = timedelta(days=3653)
"""From today; a day beyond it is a slip of the pen."""
MOST_HOURS = 1000.0
"""At once; more is a slip of the pen."""


@dataclass(frozen=True)
class Asked:
    """What is to be written, as it was typed; `day` is that of the work."""

    tick: Sequence[str] = ()
    untick: Sequence[str] = ()
    over: Sequence[str] = ()
    hours: Sequence[str] = ()
    note: Sequence[str] = ()
    day: date | None = None
    undo: bool = False

    @property
    def writes(self) -> bool:
        """Whether there is anything to write."""
        return bool(self.tick or self.untick or self.over or self.hours or self.note or self.undo)


def entries_asked(boat: Boat, shop: Shop, standing: Standing, asked: Asked) -> list[str]:
    """Writes what is asked into the shop's log, all or nothing, and tells it in lines.

    Raises:
        BadInput: there is no such task, hours are none, or there is no shop to keep the log.
    """
    if not asked.writes:
        return []
    if shop.stock is None:
        place = Place(boat.document.file, None, "")
        cure = "lay a shop.yaml beside the boat file; `athwart new` shows one"
        raise BadInput.at(place, "there is no shop file to keep a log for", cure)
    faults = FaultList()
    writer = _Writer(boat, standing, asked.day or date.today(), faults)
    told: list[str] = []
    entries = [
        *writer.ticks(asked.tick),
        *writer.unticks(asked.untick),
        *writer.overs(asked.over, over_of(entries_of(shop.stock, boat.name))),
        *writer.spent(asked.hours),
        *writer.noted(asked.note),
    ]
    faults.raise_if_any()
    with open_work(shop.stock) as log:
        if asked.undo:
            last = log.undo(boat.name)
            told.append(f"taken back: {last.what} of {last.task}")
        log.write(*entries)
    return [*told, *writer.told]


class _Writer:
    """Makes entries of what was typed; faults are gathered, what is done is told in `told`."""

    def __init__(self, boat: Boat, standing: Standing, day: date, faults: FaultList) -> None:
        self.boat, self.standing, self.day, self.faults = boat, standing, day, faults
        self.tasks = {task.name: task for task in standing.plan.all_tasks}
        self.done = {task.name for task in standing.plan.done}
        self.told: list[str] = []

    def ticks(self, wanted: Sequence[str]) -> list[Written]:
        """A tick for each task that is not ticked yet."""
        names = _named(wanted, self.tasks, "--tick", self.faults)
        now = digests(self.boat) if names else {}
        found = []
        for name in names:
            task = self.tasks[name]
            if name in self.done:
                self.told.append(f"{name} is ticked already")
                continue
            pieces = {piece: now[piece] for piece in task.pieces if piece in now}
            found.append(self._entry(task, "tick", planned=task.hours, pieces=pieces))
            self.told.append(f"ticked: {name}, {task.title}")
        late = self.done | set(names)
        for name in names:
            missing = [before for before in self.tasks[name].after if before not in late]
            if missing:
                self.told.append(f"  {name} follows {', '.join(missing)}, not ticked yet")
        return found

    def unticks(self, wanted: Sequence[str]) -> list[Written]:
        """An entry for each task that was ticked, those too that the boat has no more."""
        gone = {tick.task: Task(tick.task, "", tick.kind, 0.0) for tick in self.standing.gone}
        known = {**self.tasks, **gone}
        found = []
        for name in _named(wanted, known, "--untick", self.faults):
            if name not in self.done and name not in gone:
                self.told.append(f"{name} is not ticked")
                continue
            found.append(self._entry(known[name], "untick"))
            self.told.append(f"unticked: {name}")
        return found

    def overs(self, wanted: Sequence[str], over: Iterable[str]) -> list[Written]:
        """An entry for each ticked task whose wait is over before its time."""
        found = []
        for name in _named(wanted, self.tasks, "--over", self.faults):
            if name not in self.done:
                wrong, right = f"{name} is not ticked", "tick it; then its wait may be over"
                self.faults.add(Place("--over", None, ""), wrong, right)
            elif self.tasks[name].wait <= 0 or name in over:
                self.told.append(f"nothing waits for {name} any more")
            else:
                found.append(self._entry(self.tasks[name], "over"))
                self.told.append(f"over: nothing waits for {name} any more")
        return found

    def spent(self, wanted: Sequence[str]) -> list[Written]:
        """Hours spent, from `weld.front=2.5` or `weld.front=2:30`."""
        found = []
        for text in wanted:
            name, told = self._parted(text, "--hours", "weld.front=2.5")
            hours = _hours(told) if name else 0.0
            if name and not 0.0 < hours <= MOST_HOURS:
                right = f"give hours above 0 and up to {MOST_HOURS:g}, as 2.5 or 2:30"
                self.faults.add(Place("--hours", None, text), f"'{told}' is no number of hours", right)
            elif name:
                found.append(self._entry(self.tasks[name], "hours", hours=hours))
                whole, planned = self.standing.spent.get(name, 0.0) + hours, self.tasks[name].hours
                self.told.append(f"spent: {hours:.2f} h on {name}; {whole:.2f} h of {planned:.2f} h planned")
        return found

    def noted(self, wanted: Sequence[str]) -> list[Written]:
        """Notes, from `weld.front=one joint to grind`."""
        found = []
        for text in wanted:
            name, told = self._parted(text, "--note", "'weld.front=one joint to grind'")
            if name:
                found.append(self._entry(self.tasks[name], "note", note=told))
                self.told.append(f"noted: {name}")
        return found

    def _entry(
        self,
        task: Task,
        what: What,
        hours: float = 0.0,
        planned: float = 0.0,
        note: str = "",
        pieces: dict[str, str] | None = None,
    ) -> Written:
        return Written(
            self.boat.name, task.name, task.kind, what, self.day, hours, planned, note, pieces or {}
        )

    def _parted(self, text: str, option: str, example: str) -> tuple[str, str]:
        """Task and value of `task=value`; an empty task, with the fault noted, where it is none."""
        name, equals, value = (part.strip() for part in text.partition("="))
        if not equals or not value:
            self.faults.add(Place(option, None, text), "it is no task=value", f"write it as {example}")
            return "", ""
        return (name, value) if _named([name], self.tasks, option, self.faults) == [name] else ("", "")


def _hours(text: str) -> float:
    """Hours of `2.5` or `2:30`; nan where the text is neither."""
    whole, colon, minutes = text.partition(":")
    try:
        if colon:
            return int(whole) + int(minutes) / 60 if 0 <= int(minutes) < 60 and int(whole) >= 0 else math.nan
        return float(text)
    except ValueError:
        return math.nan


def _named(wanted: Iterable[str], known: Iterable[str], option: str, faults: FaultList) -> list[str]:
    """Names that are meant, each once; a pattern such as `order.*` means all that match."""
    names = list(known)
    found: dict[str, None] = {}
    for text in wanted:
        own = [text] if text in names else [name for name in names if "*" in text and fnmatchcase(name, text)]
        if not own:
            faults.add(Place(option, None, ""), f"there is no task '{text}'", did_you_mean(text, names))
        found |= dict.fromkeys(own)
    return list(found)


def names_asked(wanted: Sequence[str], tasks: Iterable[Task], option: str) -> list[str]:
    """Names of tasks that are meant.

    Raises:
        BadInput: one is none.
    """
    faults = FaultList()
    found = _named(wanted, [task.name for task in tasks], option, faults)
    faults.raise_if_any()
    return found


def date_asked(text: str | None, option: str) -> date | None:
    """The date of an option; None where it is not given.

    Raises:
        BadInput: it is none.
    """
    if text is None:
        return None
    found = date.today() if text == "today" else date_of(text)
    if found is None:
        raise BadInput.at(Place(option, None, ""), f"'{text}' is no date", "write it as 2026-12-01")
    if found - date.today() > FARTHEST:
        raise BadInput.at(
            Place(option, None, ""), f"{text} lies too far ahead", "give a day within ten years"
        )
    return found
