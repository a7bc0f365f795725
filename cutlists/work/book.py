"""Tasks gathered one by one, and what each of them must follow, with why."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import TypeAlias

from cutlists.work.records import KINDS, Task
from parts.faults import Place

Count: TypeAlias = tuple[float, float, str]
"""How much there is to do, minutes for one, and what it is in words."""

STEP = 0.05
"""Hours are told in these."""


@dataclass
class Book:
    """The tasks so far, by name, in the order in which they are usually done.

    Attributes:
        pace: by kind, what its hours are multiplied with.
        links: why a task must come after another, by the names of both.
        asked: those links that the boat file asks for.
    """

    pace: Mapping[str, float] = field(default_factory=dict)
    tasks: dict[str, Task] = field(default_factory=dict)
    links: dict[tuple[str, str], str] = field(default_factory=dict)
    asked: set[tuple[str, str]] = field(default_factory=set)

    def add(
        self,
        name: str,
        title: str,
        counts: Iterable[Count],
        pieces: Iterable[str] = (),
        wait: float = 0.0,
        place: Place | None = None,
    ) -> str:
        """Note a task; gives its name.

        Args:
            name: its kind, a point, and what it is about.
            title: in plain words.
            counts: how much there is to do.
            pieces: names of the boat's pieces.
            wait: days that pass after it.
            place: where the boat file tells of it.
        """
        kind = name.partition(".")[0]
        assert kind in KINDS
        told = [(amount, minutes, words) for amount, minutes, words in counts if amount > 0]
        hours = sum(amount * minutes for amount, minutes, _ in told) / 60 * self.pace.get(kind, 1.0)
        basis = " + ".join(f"{amount:.3g} {words} x {minutes:.3g} min" for amount, minutes, words in told)
        if self.pace.get(kind, 1.0) != 1.0:
            basis += f", x {self.pace[kind]:g}"
        task = Task(name, title, kind, rounded(hours), (), tuple(pieces), wait, basis, place=place)
        self.tasks[name] = task
        return name

    def follow(self, name: str, before: str, why: str) -> None:
        """Note that a task must come after another, if the book has both; the first reason given is kept."""
        if name != before and name in self.tasks and before in self.tasks:
            self.links.setdefault((name, before), why)

    def leave_out(self, name: str) -> None:
        """Strike a task out; what came after it comes after what came before it."""
        before = [(one, why) for (later, one), why in self.links.items() if later == name]
        after = [later for later, one in self.links if one == name]
        del self.tasks[name]
        self.links = {pair: why for pair, why in self.links.items() if name not in pair}
        for later in after:
            for one, why in before:
                self.follow(later, one, why)

    def later_than(self, name: str) -> set[str]:
        """Every task that must come after one, in one step or several."""
        found: set[str] = set()
        ahead = [name]
        while ahead:
            one = ahead.pop()
            for later, before in self.links:
                if before == one and later not in found:
                    found.add(later)
                    ahead.append(later)
        return found

    def written(self) -> list[Task]:
        """The tasks with what each must follow, in their order."""
        after: dict[str, dict[str, str]] = {name: {} for name in self.tasks}
        for (later, one), why in self.links.items():
            after[later][one] = why
        return [
            replace(task, after=tuple(after[name]), because=after[name]) for name, task in self.tasks.items()
        ]


def rounded(hours: float) -> float:
    """Hours up to the next step."""
    return round(math.ceil(hours / STEP - 1e-6) * STEP, 2)
