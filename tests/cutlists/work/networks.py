"""Networks of tasks for tests, published and drawn at random."""

from __future__ import annotations

import random
from collections.abc import Mapping
from datetime import date

from cutlists.work.calendar import Calendar, WorkDays
from cutlists.work.network import Network
from cutlists.work.records import Task

ALWAYS = WorkDays(0, 24 * 60, frozenset(range(7)))
"""Every hour of every day is worked, so that a wait of a day is 24 working hours."""
MONDAY = date(2026, 11, 30)

TAYLOR = {
    # Taylor, Introduction to Management Science, solutions of chapter 8, the second table of columns
    # Activity Time ES EF LS LF Slack; activities on arrows, so that one begins where others end.
    "1-2": (8, 0, 1, 1), "1-3": (10, 0, 0, 0), "1-4": (9, 0, 6, 6), "2-5": (6, 8, 9, 1), "2-6": (4, 8, 16, 8),
    "3-5": (5, 10, 10, 0), "4-5": (0, 9, 15, 6), "4-7": (7, 9, 20, 11), "5-7": (12, 15, 15, 0),
    "5-8": (15, 15, 16, 1), "6-9": (18, 12, 20, 8), "7-8": (4, 27, 27, 0), "8-9": (7, 31, 31, 0),
}  # fmt: skip
"""Time, earliest start, latest start and slack by activity."""

TAYLOR_SMALL = {
    # The same source, the first of these tables.
    "1-2": (7, 0, 2, 2), "1-3": (10, 0, 0, 0), "2-4": (6, 7, 9, 2), "3-4": (5, 10, 10, 0),
    "3-5": (4, 10, 14, 4), "4-5": (3, 15, 15, 0), "5-6": (2, 18, 18, 0),
}  # fmt: skip

PLANT = {
    # Hillier and Lieberman, Introduction to Operations Research, the example that runs through the chapter on
    # project management with PERT/CPM: durations in weeks and predecessors as printed, slacks from memory.
    "A": (2, "", 0), "B": (4, "A", 0), "C": (10, "B", 0), "D": (6, "C", 4), "E": (4, "C", 0),
    "F": (5, "E", 0), "G": (7, "D", 4), "H": (9, "EG", 4), "I": (7, "C", 2), "J": (8, "FI", 0),
    "K": (4, "J", 1), "L": (5, "J", 0), "M": (2, "H", 4), "N": (6, "KL", 0),
}  # fmt: skip
"""Duration, predecessors and slack by activity; the whole takes 44 weeks."""

TWO_MACHINES = (
    # Pinedo, Scheduling: Theory, Algorithms, and Systems, example 2.3.2: ten jobs on two machines.
    (8, 7, 7, 2, 3, 2, 2, 8, 8, 15),
    ((1, 2), (1, 3), (2, 10), (3, 10), (5, 3), (4, 5), (4, 6), (5, 8), (6, 7), (7, 9), (5, 9), (7, 8)),
)
"""Times, and pairs of which the first comes before the second; the least makespan is 31."""

ONE_MACHINE = (
    # Carlier, The one-machine sequencing problem, European Journal of Operational Research 11 (1982), the
    # example worked there (from memory); heads, times, tails.
    (10, 13, 11, 20, 30, 0, 30),
    (5, 6, 7, 4, 3, 6, 2),
    (7, 26, 24, 21, 8, 17, 0),
)
"""The most urgent job first gives 53; the least is 50."""


def on_arrows(table: Mapping[str, tuple[int, int, int, int]]) -> list[Task]:
    """Tasks of activities named by the nodes from which and to which they lead."""
    found = []
    for name, (hours, *_) in table.items():
        node = name.partition("-")[0]
        before = tuple(other for other in table if other.partition("-")[2] == node)
        found.append(task(name, hours, before))
    return found


def task(name: str, hours: float, after: tuple[str, ...] = (), wait: float = 0.0) -> Task:
    """A task of which nothing else matters."""
    return Task(name, name, "other", hours, after, (), wait)


def network(tasks: list[Task], days: WorkDays = ALWAYS, start: date = MONDAY) -> Network:
    """Their network."""
    return Network.of(tasks, Calendar(start, days))


def drawn(seed: int, most: int = 7) -> tuple[list[Task], WorkDays, date, int]:
    """Tasks with waits, a shop's days, a start and a number of hands, drawn by a seed."""
    draw = random.Random(seed)
    tasks = [
        task(
            str(k),
            draw.randint(0, 50) / 4,
            tuple(str(j) for j in range(k) if draw.random() < 0.3),
            draw.choice((0, 0, 0, 0.5, 1, 2, 3.3)),
        )
        for k in range(draw.randint(2, most))
    ]
    weekdays = frozenset(draw.sample(range(7), draw.randint(2, 7)))
    holidays = frozenset(date(2026, 12, draw.randint(1, 20)) for _ in range(draw.randint(0, 3)))
    days = WorkDays(draw.choice((0, 450, 480)), draw.choice((240, 480, 600)), weekdays, holidays)
    return tasks, days, date(2026, 12, draw.randint(1, 9)), draw.choice((1, 1, 2, 3))
