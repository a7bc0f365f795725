"""The plan of work: a boat's tasks in order, with dates, for the hands of a shop."""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING

from cutlists.work.build import book_of
from cutlists.work.calendar import Calendar
from cutlists.work.laid import laid_in
from cutlists.work.last_tasks import link_trial
from cutlists.work.listing import Placing, placed
from cutlists.work.loops import without_loops
from cutlists.work.network import Network, Times
from cutlists.work.own_tasks import change_book
from cutlists.work.records import Pause, Slot, Task, WorkPlan
from model.findings import Finding
from parts.faults import BadInput

if TYPE_CHECKING:
    from cutlists.shop_file import Shop
    from cutlists.work.settings import WorkSettings
    from model.boat import Boat

LEAST = 0.1
"""Share of the hours of a task that is taken to be left as long as it is not ticked."""


def plan_work(
    boat: Boat,
    shop: Shop,
    start: date | None = None,
    ticked: Mapping[str, date | None] | None = None,
    spent: Mapping[str, float] | None = None,
) -> WorkPlan:
    """The plan of a boat's work.

    Args:
        boat: the finished boat.
        shop: its hands, hours, rates and lead times.
        start: first day of what is still to do; the boat file's or today, whichever is later, unless given.
        ticked: tasks that are done, and when; what waits for them waits from then on. None where the wait
            is over too.
        spent: hours spent on tasks; so much less is left of those that are not ticked.

    Raises:
        BadInput: the key `work:` of the boat file names what there is not, or the work would take for ever.
    """
    tasks, findings = tasks_of(boat, shop)
    return planned(boat, tasks, shop.work, start or first_day(boat), ticked or {}, spent or {}, findings)


def tasks_of(boat: Boat, shop: Shop) -> tuple[list[Task], tuple[Finding, ...]]:
    """All tasks of a boat in their usual order, and what is wrong with what they must follow.

    Raises:
        BadInput: the key `work:` of the boat file names what there is not.
    """
    book = book_of(boat, shop.work, shop.welding, laid_in(boat))
    change_book(book, boat)
    link_trial(book)
    return without_loops(book)


def first_day(boat: Boat, today: date | None = None) -> date:
    """Today, or the day on which the boat file says that work begins, whichever is later."""
    now = today or date.today()
    return now if boat.work.start is None else max(now, date.fromisoformat(boat.work.start))


def planned(
    boat: Boat,
    tasks: Sequence[Task],
    settings: WorkSettings,
    start: date,
    ticked: Mapping[str, date | None],
    spent: Mapping[str, float],
    findings: tuple[Finding, ...] = (),
) -> WorkPlan:
    """Tasks without loops as a plan; see `plan_work`.

    Raises:
        BadInput: the work would take longer than any calendar.
    """
    try:
        return _planned(boat, tasks, settings, start, ticked, spent, findings)
    except OverflowError:
        place = boat.document.place(("work",))
        wrong = "the work would take longer than any calendar"
        raise BadInput.at(place, wrong, "look at hours and waits, or at the shop's hours a day") from None


def _planned(
    boat: Boat,
    tasks: Sequence[Task],
    settings: WorkSettings,
    start: date,
    ticked: Mapping[str, date | None],
    spent: Mapping[str, float],
    findings: tuple[Finding, ...],
) -> WorkPlan:
    calendar = Calendar(start, settings.days)
    to_do = still_to_do(tasks, ticked)
    release = _releases(tasks, ticked, calendar)
    left = [replace(task, hours=hours_left(task, spent)) for task in to_do]
    network = Network.of(left, calendar, {name: at for name, (at, _) in release.items()})
    times = network.times()
    placing = placed(network, settings.hands, times)
    by_name = {task.name: task for task in to_do}
    return WorkPlan(
        boat=boat.name,
        tasks=tuple(by_name[name] for name in placing.start),
        slots=tuple(_slot(by_name[name], network, times, placing) for name in placing.start),
        critical=times.chain,
        chain=times.length / 60,
        least=placing.least / 60,
        hands=settings.hands,
        day=settings.days.minutes / 60,
        opens=settings.days.begins / 60,
        start=start,
        done=tuple(task for task in tasks if task.name in ticked),
        days_off=calendar.days_off(placing.length),
        free_from={name: (calendar.begin(at).date(), by) for name, (at, by) in release.items() if at > 0},
        pauses=tuple(_pauses(network, placing, settings.hands, release)),
        findings=findings,
    )


def hours_left(task: Task, spent: Mapping[str, float]) -> float:
    """Of a task that is not done: what was planned less what is spent, but never less than `LEAST` of it."""
    return max(task.hours - spent.get(task.name, 0.0), LEAST * task.hours)


def still_to_do(tasks: Sequence[Task], ticked: Container[str]) -> list[Task]:
    """Tasks that are not ticked, each after all that is not ticked and comes before it.

    What follows a ticked task that was ticked before its time still follows what that one followed.
    """
    after = {task.name: task.after for task in tasks}

    def missing(name: str) -> dict[str, None]:
        found: dict[str, None] = {}
        ahead, seen = list(after[name]), set(after[name])
        for before in ahead:
            if before in ticked:
                ahead += [one for one in after[before] if one not in seen]
                seen.update(after[before])
            else:
                found[before] = None
        return found

    return [replace(task, after=tuple(missing(task.name))) for task in tasks if task.name not in ticked]


def _releases(
    tasks: Sequence[Task], ticked: Mapping[str, date | None], calendar: Calendar
) -> dict[str, tuple[int, str]]:
    """Before which minute a task cannot begin since what it follows is done but not yet there, or not dry.

    Beside the minute stands the task that is done.
    """
    evening = timedelta(minutes=calendar.days.begins + calendar.days.minutes)
    found: dict[str, tuple[int, str]] = {}
    waits = {task.name: task.wait for task in tasks if task.wait > 0 and task.name in ticked}
    for task in tasks:
        for before in task.after:
            day = ticked.get(before)
            if day is not None and before in waits and task.name not in ticked:
                done = datetime.combine(day, time()) + evening
                free = calendar.first_from(done + timedelta(days=waits[before]))
                found[task.name] = max(found.get(task.name, (0, "")), (free, before))
    return found


def _pauses(
    network: Network, placing: Placing, hands: int, release: Mapping[str, tuple[int, str]]
) -> Iterator[Pause]:
    """Where a hand can do nothing, and what it waits for."""
    ends = {name: at + network.minutes[name] for name, at in placing.start.items()}
    idle = [0] * hands
    for name, at in placing.start.items():
        hand = placing.hand[name]
        if at > idle[hand]:
            waits = {one: network.waits[one] for one in network.before[name]}
            freed = [(network.calendar.advanced(ends[one], wait), one) for one, wait in waits.items()]
            _, last = max([*freed, release.get(name, (0, ""))])
            begins, until = network.calendar.begin(idle[hand]), network.calendar.begin(at)
            yield Pause(begins, until, (at - idle[hand]) / 60, name, last)
        idle[hand] = max(idle[hand], ends[name])


def _slot(task: Task, network: Network, times: Times, placing: Placing) -> Slot:
    name, calendar = task.name, network.calendar
    start = placing.start[name]
    finish = start + network.minutes[name]
    held = (calendar.held_back(placing.start[one], task.wait) for one in network.after[name])
    latest = min(held, default=placing.length) - network.minutes[name]
    ends = calendar.end(finish) if finish > start else calendar.begin(start)
    return Slot(
        task=name,
        hand=placing.hand[name],
        start=start / 60,
        finish=finish / 60,
        begins=calendar.begin(start),
        ends=ends,
        ready=ends + timedelta(days=task.wait),
        slack=times.slack(name) / 60,
        latest=calendar.begin(latest),
    )
