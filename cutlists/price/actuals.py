"""What a boat really took, hours and money, kept in the store as a log that is only ever added to."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path
from sqlite3 import Connection
from typing import Any, Literal, TypeAlias

from cutlists.price.learn import Finished
from cutlists.price.money import NOTHING
from cutlists.store.file import changing, opened
from parts.faults import BadInput, Place

What: TypeAlias = Literal["hours", "cost"]
ByTask: TypeAlias = Mapping[tuple[str, str], Decimal]
"""Hours by kind of task and name of the task."""
_STANDING = (
    "SELECT id, at, boat, what, kind, name, amount, note FROM actuals "
    "WHERE boat = ? AND what <> 'undo' AND id NOT IN (SELECT undoes FROM actuals WHERE undoes IS NOT NULL)"
)


@dataclass(frozen=True)
class Actual:
    """One thing recorded of a boat.

    Attributes:
        id: its number in the log.
        at: when, ISO 8601, UTC.
        boat: short name.
        what: hours, or a cost before tax.
        kind: of task, or of the quote's lines.
        name: of the task, or of what was bought; empty for the whole kind.
        amount: hours, or money.
        note: in words.
    """

    id: int
    at: str
    boat: str
    what: What
    kind: str
    name: str
    amount: Decimal
    note: str


@contextmanager
def open_actuals(path: Path, create: bool = False) -> Iterator[Actuals]:
    """The actuals in a store.

    Args:
        path: the store's file.
        create: begin one where there is none.

    Raises:
        BadInput: there is none, it is something else, or it cannot be read or written now.
    """
    with opened(path, create) as connection:
        yield Actuals(connection, path)


class Actuals:
    """The log of what boats took; each change is whole or not at all."""

    def __init__(self, connection: Connection, path: Path) -> None:
        self.db, self.path = connection, path

    def of(self, boat: str) -> list[Actual]:
        """What stands recorded of a boat, the oldest first."""
        rows = self.db.execute(f"{_STANDING} ORDER BY id", (boat,))
        return [
            Actual(number, at, of, what, kind, name, Decimal(amount), note)
            for number, at, of, what, kind, name, amount, note in rows
        ]

    def record(self, boat: str, what: What, kind: str, name: str, amount: Decimal, note: str = "") -> Actual:
        """Note hours or a cost.

        Args:
            boat: short name.
            what: which of the two.
            kind: of task or of line.
            name: of the task or of what was bought; empty for the whole kind.
            amount: above zero.
            note: in words.
        """
        with changing(self.db):
            made = self.db.execute(
                "INSERT INTO actuals (at, boat, what, kind, name, amount, note) VALUES (?, ?, ?, ?, ?, ?, ?)",
                (_now(), boat, what, kind, name, f"{amount:f}", note),
            )
        return next(one for one in self.of(boat) if one.id == made.lastrowid)

    def undo(self, boat: str) -> Actual:
        """Take the last thing recorded of a boat back.

        Raises:
            BadInput: there is none.
        """
        with changing(self.db):
            standing = self.of(boat)
            if not standing:
                place = Place(str(self.path), None, boat)
                raise BadInput.at(place, "nothing is recorded of this boat", "")
            last = standing[-1]
            self.db.execute(
                "INSERT INTO actuals (at, boat, what, undoes) VALUES (?, ?, 'undo', ?)",
                (_now(), boat, last.id),
            )
        return last

    def finish(self, told: Finished) -> None:
        """Note that a boat is finished, with its amounts and what it took; a later note stands for all."""
        data = {"amounts": dict(told.amounts), "estimated": dict(told.estimated), "took": dict(told.took)}
        self._note_finished(told.boat, json.dumps(data))

    def reopen(self, boat: str) -> None:
        """Note that a boat is not finished after all.

        Raises:
            BadInput: it never was.
        """
        if boat not in {told.boat for told in self.finished()}:
            raise BadInput.at(Place(str(self.path), None, boat), "it is not noted as finished", "")
        self._note_finished(boat, "")

    def finished(self) -> list[Finished]:
        """The boats that stand noted as finished, in the order they were.

        Raises:
            BadInput: a row cannot be read.
        """
        rows = self.db.execute(
            "SELECT boat, told FROM finished "
            "WHERE id IN (SELECT max(id) FROM finished GROUP BY boat) ORDER BY id"
        )
        return [self._read(boat, told) for boat, told in rows if told]

    def _read(self, boat: str, told: str) -> Finished:
        try:
            data = json.loads(told)
            return Finished(boat, *(_numbers(data[key]) for key in ("amounts", "estimated", "took")))
        except (ValueError, KeyError, TypeError, AttributeError):
            place = Place(str(self.path), None, boat)
            raise BadInput.at(place, "what is noted of this boat cannot be read", "finish it again") from None

    def _note_finished(self, boat: str, told: str) -> None:
        with changing(self.db):
            self.db.execute("INSERT INTO finished (at, boat, told) VALUES (?, ?, ?)", (_now(), boat, told))


def _numbers(data: Any) -> dict[str, float]:
    return {str(key): float(value) for key, value in data.items()}


def _now() -> str:
    return datetime.now(UTC).isoformat(timespec="seconds")


def hours_by_task(actuals: list[Actual], ticked: ByTask) -> dict[tuple[str, str], Decimal]:
    """Hours by kind and task; those recorded by hand stand in place of those ticked for the same task.

    Args:
        actuals: of a boat.
        ticked: hours as the checklist has them.
    """
    found: dict[tuple[str, str], Decimal] = {}
    for one in actuals:
        if one.what == "hours":
            found[one.kind, one.name] = found.get((one.kind, one.name), NOTHING) + one.amount
    for key, hours in ticked.items():
        found.setdefault(key, hours)
    return found
