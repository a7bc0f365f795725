"""The network of tasks: what follows what, loops in it, earliest and latest times, the longest chain."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import networkx as nx

from cutlists.work.calendar import Calendar
from cutlists.work.records import Task

END = ""
"""Stands for the end of all work in the graph of lengths; no task has this name."""


def minutes_of(task: Task) -> int:
    """Of a hand at a task, whole minutes."""
    return round(task.hours * 60)


def graph_of(tasks: Iterable[Task]) -> nx.DiGraph:
    """An arrow from each task to those that must come after it; names that are no task are left out."""
    own = {task.name: task for task in tasks}
    graph = nx.DiGraph()
    graph.add_nodes_from(own)
    graph.add_edges_from(
        (before, name) for name, task in own.items() for before in task.after if before in own
    )
    return graph


def loops_of(graph: nx.DiGraph) -> list[list[str]]:
    """A loop of each knot of tasks that wait for one another, each told from its first name on."""
    found = []
    for knot in nx.strongly_connected_components(graph):
        first = min(knot)
        if len(knot) > 1 or graph.has_edge(first, first):
            loop = [one for one, _ in nx.find_cycle(graph.subgraph(knot), first)]
            least = loop.index(min(loop))
            found.append(loop[least:] + loop[:least])
    return sorted(found)


@dataclass(frozen=True, eq=False)
class Times:
    """Times of tasks with as many hands as it takes, working minutes by name.

    Attributes:
        start: the earliest.
        latest: the latest start that does not make the whole longer.
        length: of the longest chain.
        chain: names along it.
    """

    start: Mapping[str, int]
    latest: Mapping[str, int]
    length: int
    chain: tuple[str, ...]

    def slack(self, name: str) -> int:
        """By how much a task may start later than at the earliest, minutes."""
        return self.latest[name] - self.start[name]


@dataclass(frozen=True, eq=False)
class Network:
    """Tasks without loops, in an order in which each comes after what it needs.

    Attributes:
        names: in that order; of equal choices the one given first comes first.
        minutes: of each.
        waits: days that pass after each.
        before, after: of each, what it needs and what needs it.
        release: working minute before which a task cannot begin, where there is one.
        calendar: of the shop.
    """

    names: tuple[str, ...]
    minutes: Mapping[str, int]
    waits: Mapping[str, float]
    before: Mapping[str, tuple[str, ...]]
    after: Mapping[str, tuple[str, ...]]
    release: Mapping[str, int]
    calendar: Calendar

    @classmethod
    def of(
        cls, tasks: Sequence[Task], calendar: Calendar, release: Mapping[str, int] | None = None
    ) -> Network:
        """The network of tasks; what a task follows that is not among them counts as done.

        Raises:
            networkx.NetworkXUnfeasible: the tasks go round in a loop.
        """
        graph = graph_of(tasks)
        place = {task.name: k for k, task in enumerate(tasks)}
        names = tuple(nx.lexicographical_topological_sort(graph, key=place.__getitem__))
        return cls(
            names,
            {task.name: minutes_of(task) for task in tasks},
            {task.name: task.wait for task in tasks},
            {name: tuple(graph.predecessors(name)) for name in names},
            {name: tuple(graph.successors(name)) for name in names},
            release or {},
            calendar,
        )

    def free_at(self, name: str, ends: Mapping[str, int]) -> int:
        """The first minute at which a task may begin, given when what it needs has ended."""
        freed = (self.calendar.advanced(ends[one], self.waits[one]) for one in self.before[name])
        return max((self.release.get(name, 0), *freed))

    def latest_ends(self, length: int) -> dict[str, int]:
        """By which minute each must have ended for the whole to take no more than `length`."""
        found: dict[str, int] = {}
        for name in reversed(self.names):
            held = (
                self.calendar.held_back(found[one] - self.minutes[one], self.waits[name])
                for one in self.after[name]
            )
            found[name] = min(held, default=length)
        return found

    def times(self) -> Times:
        """Earliest and latest times with as many hands as it takes, and the longest chain.

        This is the critical path method (Kelley and Walker 1959). An arrow is as long as its task and the
        working time that its wait takes where it falls; networkx finds the longest path through these.
        """
        start: dict[str, int] = {}
        ends: dict[str, int] = {}
        for name in self.names:
            start[name] = self.free_at(name, ends)
            ends[name] = start[name] + self.minutes[name]
        length = max(ends.values(), default=0)
        latest = {name: end - self.minutes[name] for name, end in self.latest_ends(length).items()}
        return Times(start, latest, length, self._chain(start, ends))

    def _chain(self, start: Mapping[str, int], ends: Mapping[str, int]) -> tuple[str, ...]:
        """Names along the longest path."""
        if not self.names:
            return ()
        graph = nx.DiGraph()
        for name in self.names:
            # A task that is held back by a release, such as what was ordered before, begins its chain there.
            graph.add_edge((), name, weight=self.release.get(name, 0))
            graph.add_edge(name, END, weight=self.minutes[name])
            freed = self.calendar.advanced(ends[name], self.waits[name])
            for one in self.after[name]:
                graph.add_edge(name, one, weight=self.minutes[name] + freed - ends[name])
        return tuple(name for name in nx.dag_longest_path(graph, weight="weight") if name not in ((), END))
