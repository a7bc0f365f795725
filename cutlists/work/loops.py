"""Tasks that wait for one another: told as findings, and opened so that the rest can be planned."""

from __future__ import annotations

from dataclasses import replace

import networkx as nx

from cutlists.work.book import Book
from cutlists.work.network import graph_of, loops_of
from cutlists.work.records import Task
from model.findings import Finding


def without_loops(book: Book) -> tuple[list[Task], tuple[Finding, ...]]:
    """The tasks with what each must follow, nothing of that told twice, and a finding for each loop.

    Of a loop one link is left out: one that the boat file asks for where there is one.
    """
    findings = []
    while loops := loops_of(graph_of(book.written())):
        for loop in loops:
            pairs = [(later, one) for one, later in zip(loop, [*loop[1:], loop[0]], strict=True)]
            gone = next((pair for pair in pairs if pair in book.asked), pairs[-1])
            findings.append(_finding(book, loop, gone))
            del book.links[gone]
    tasks = book.written()
    kept = nx.transitive_reduction(graph_of(tasks))
    return [_reduced(task, kept) for task in tasks], tuple(findings)


def _reduced(task: Task, kept: nx.DiGraph) -> Task:
    after = tuple(one for one in task.after if kept.has_edge(one, task.name))
    return replace(task, after=after, because={one: task.because[one] for one in after})


def _finding(book: Book, loop: list[str], gone: tuple[str, str]) -> Finding:
    later, one = gone
    told = " -> ".join([*loop, loop[0]])
    where = next((place for name in (later, *loop) if (place := book.tasks[name].place) is not None), None)
    cure = "take one of these out of the loop" if gone in book.asked else "leave one out under `work:`"
    cure += f"; planned as if {later} need not follow {one}"
    return Finding("work", (), f"tasks wait for one another: {told}", cure, place=where)
