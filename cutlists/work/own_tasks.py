"""What the boat file changes of the tasks that its model gives: tasks added, altered, ordered, left out."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from fnmatch import fnmatchcase
from typing import TYPE_CHECKING

from cutlists.work.book import Book
from cutlists.work.records import KINDS, Task
from parts.faults import FaultList, did_you_mean

if TYPE_CHECKING:
    from model.boat import Boat
    from model.boatfile.work_schema import TaskEntry
    from parts.faults import Place

Told = Callable[..., "Place"]


def change_book(book: Book, boat: Boat) -> None:
    """Change the tasks as the key `work:` of the boat file says.

    Raises:
        BadInput: it names a task, a kind of work or a piece that there is not, or tells too little of a task.
    """
    entry, faults = boat.work, FaultList()

    def place(*keys: str | int) -> Place:
        return boat.document.place(("work", *keys))

    for name, own in entry.tasks.items():
        _change(book, boat, name, own, place, faults)
    for name, own in entry.tasks.items():
        for k, before in enumerate(own.after):
            for one in _named(book, before, place("tasks", name, "after", k), faults):
                _ask(book, name, one)
        for k, after in enumerate(own.before):
            for one in _named(book, after, place("tasks", name, "before", k), faults):
                _ask(book, one, name)
    for k, wanted in enumerate(entry.leave_out):
        for one in _named(book, wanted, place("leave_out", k), faults):
            book.leave_out(one)
    faults.raise_if_any()


def _ask(book: Book, name: str, before: str) -> None:
    """A link that the file asks for; a task put after itself makes a loop, which is told like any other."""
    if name in book.tasks:
        book.links.setdefault((name, before), "the boat file says so")
        book.asked.add((name, before))


def _change(book: Book, boat: Boat, name: str, own: TaskEntry, place: Told, faults: FaultList) -> None:
    """A task added, or one of the model's altered."""
    if own.kind is not None and own.kind not in KINDS:
        wrong = f"there is no kind of work '{own.kind}'"
        faults.add(place("tasks", name, "kind"), wrong, did_you_mean(own.kind, KINDS))
        return
    pieces = _pieces(boat, name, own.pieces, place, faults)
    known = book.tasks.get(name)
    if known is None:
        missing = [key for key, value in (("title", own.title), ("hours", own.hours)) if value is None]
        if missing:
            wrong = f"no task of this boat is called so, and a new one needs {' and '.join(missing)}"
            faults.add(place("tasks", name), wrong, did_you_mean(name, book.tasks))
            return
        head = name.partition(".")[0]
        known = Task(name, "", head if head in KINDS else "other", 0.0)
    book.tasks[name] = replace(
        known,
        title=own.title or known.title,
        kind=own.kind or known.kind,
        hours=known.hours if own.hours is None else float(own.hours),
        wait=known.wait if own.wait is None else float(own.wait),
        pieces=tuple(dict.fromkeys((*known.pieces, *pieces))),
        basis=known.basis if own.hours is None else "as the boat file says",
        place=place("tasks", name),
    )


def _pieces(boat: Boat, name: str, wanted: Iterable[str], place: Told, faults: FaultList) -> list[str]:
    """Names of pieces that the file means."""
    groups = (boat.members, boat.panels, boat.strips, boat.fixtures)
    known = [piece.name for group in groups for piece in group]
    found = []
    for k, text in enumerate(wanted):
        own = [piece for piece in known if fnmatchcase(piece, text)]
        if not own:
            faults.add(
                place("tasks", name, "pieces", k), f"there is no piece '{text}'", did_you_mean(text, known)
            )
        found += own
    return found


def _named(book: Book, wanted: str, place: Place, faults: FaultList) -> list[str]:
    """Tasks of a name or a pattern; none, with the fault noted, where there are none."""
    if wanted in book.tasks:
        return [wanted]
    found = [name for name in book.tasks if fnmatchcase(name, wanted)] if "*" in wanted else []
    if not found:
        faults.add(place, f"there is no task '{wanted}'", did_you_mean(wanted, book.tasks))
    return found
