"""What is done of the work on boats: tasks ticked, hours spent, notes; a log that is only ever added to."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any, Literal, TypeAlias

from cutlists.store.file import changing, opened
from parts.faults import BadInput, Place

What: TypeAlias = Literal["tick", "untick", "over", "hours", "note", "undo"]
_COLUMNS = "id, boat, task, kind, what, date, hours, planned, note, pieces, undoes"
_STANDING = f"SELECT {_COLUMNS} FROM work WHERE id NOT IN (SELECT undoes FROM work WHERE undoes IS NOT NULL)"


@dataclass(frozen=True)
class Written:
    """One entry of the log.

    Attributes:
        id: its number.
        boat, task: what it is about, by their names.
        kind: of the task.
        what: tick, untick, over (what a ticked task waits for has come, or is dry), hours, note or undo.
        date: of the work, which may be before the entry was made.
        hours: spent.
        planned: hours of the task as planned when it was ticked.
        note: in words.
        pieces: of a tick, what tells each piece of the task from a changed one, by its name.
        undoes: the entry that it takes back.
    """

    boat: str
    task: str
    kind: str
    what: What
    date: date
    hours: float = 0.0
    planned: float = 0.0
    note: str = ""
    pieces: Mapping[str, str] = field(default_factory=dict)
    undoes: int | None = None
    id: int = 0


@dataclass(frozen=True)
class Spent:
    """Hours spent on a task of a boat on a day."""

    boat: str
    task: str
    kind: str
    hours: float
    date: date


class WorkLog:
    """The log of an open stock file."""

    def __init__(self, connection: sqlite3.Connection, path: Path) -> None:
        self.db = connection
        self.path = path

    def write(self, *entries: Written) -> None:
        """Add entries, all or none."""
        with changing(self.db):
            for entry in entries:
                self._write(entry)

    def undo(self, boat: str) -> Written:
        """Take the last entry of a boat back that still stands; gives it.

        Raises:
            BadInput: there is none.
        """
        with changing(self.db):
            row = self.db.execute(
                f"{_STANDING} AND what <> 'undo' AND boat = ? ORDER BY id DESC LIMIT 1", (boat,)
            ).fetchone()
            if row is None:
                raise BadInput.at(Place(str(self.path), None, boat), "there is nothing to undo")
            last = _entry(row)
            self._write(Written(boat, last.task, last.kind, "undo", last.date, undoes=last.id))
            return last

    def entries(self, boat: str | None = None) -> list[Written]:
        """Entries that were not taken back, the oldest first; of all boats unless one is named."""
        rows = self.db.execute(
            f"{_STANDING} AND what <> 'undo' AND ? IN (boat, '') ORDER BY id", (boat or "",)
        )
        return [_entry(row) for row in rows]

    def spent(self, boat: str | None = None) -> list[Spent]:
        """Hours spent, the oldest first; of all boats unless one is named."""
        return [
            Spent(e.boat, e.task, e.kind, e.hours, e.date) for e in self.entries(boat) if e.what == "hours"
        ]

    def _write(self, entry: Written) -> None:
        at = datetime.now(UTC).isoformat(timespec="seconds")
        pieces = json.dumps(dict(entry.pieces), sort_keys=True) if entry.pieces else ""
        self.db.execute(
            "INSERT INTO work (at, boat, task, kind, what, date, hours, planned, note, pieces, undoes) "
            "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
            (at, entry.boat, entry.task, entry.kind, entry.what, entry.date.isoformat(), float(entry.hours),
             float(entry.planned), entry.note, pieces, entry.undoes),
        )  # fmt: skip


def _entry(row: tuple[Any, ...]) -> Written:
    number, boat, task, kind, what, day, hours, planned, note, pieces, undoes = row
    told = json.loads(pieces) if pieces else {}
    return Written(
        boat, task, kind, what, date.fromisoformat(day), hours, planned, note, told, undoes, number
    )


@contextmanager
def open_work(path: Path) -> Iterator[WorkLog]:
    """The log of a stock file, which is begun where there is none.

    Raises:
        BadInput: it is something else, or it cannot be read or written now.
    """
    with opened(path, create=True) as connection:
        yield WorkLog(connection, path)


def entries_of(path: Path | None, boat: str | None = None) -> list[Written]:
    """What the log of a stock file says of a boat, or of all; nothing where there is no file.

    Raises:
        BadInput: the file is none of ours, or cannot be read now.
    """
    if path is None or not path.is_file():
        return []
    with opened(path) as connection:
        return WorkLog(connection, path).entries(boat)
