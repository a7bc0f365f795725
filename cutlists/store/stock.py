"""The stock on hand: what lies there, what comes and goes, and the log of it."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from cutlists.blank import Blank
from cutlists.store.file import changing, opened
from cutlists.store.records import Entry, Item, What, numbers
from parts.faults import BadInput, FaultList, Place

_ITEM = """
SELECT items.id, items.kind, items.name, length, width, rings, thickness, place, entry, here,
       entries.what, entries.note
FROM items JOIN entries ON entries.id = items.entry
"""
LISTED = "`athwart stock list` shows what is there"
_MOVES = "SELECT item FROM moves WHERE entry = ? AND way = ? ORDER BY item"

_NAMES = "SELECT DISTINCT name FROM moves JOIN items ON items.id = item WHERE moves.entry = ? ORDER BY name"


@contextmanager
def open_stock(path: Path, create: bool = False) -> Iterator[Stock]:
    """The stock of a file.

    Args:
        path: the file.
        create: begin a file where there is none.

    Raises:
        BadInput: there is none, it is something else, or it cannot be read or written now.
    """
    with opened(path, create) as connection:
        yield Stock(connection, path)


class Stock:
    """An open stock file. Each change is whole or not at all, and leaves an entry in the log."""

    def __init__(self, connection: sqlite3.Connection, path: Path) -> None:
        self.db = connection
        self.path = path

    @property
    def identity(self) -> str:
        """What tells this stock from any other, however it is named."""
        return str(self.db.execute("SELECT value FROM about WHERE key = 'identity'").fetchone()[0])

    def items(self) -> list[Item]:
        """What is on hand: sticks, sheets, mat, each by name and size."""
        order = "items.kind = 'mat', items.kind = 'sheet', items.name, length, width, items.id"
        rows = self.db.execute(f"{_ITEM} WHERE here = 1 ORDER BY {order}")
        return [_item(row) for row in rows]

    def item(self, number: int) -> Item | None:
        """The item of a number, on hand or gone; None if the number was never given."""
        row = self.db.execute(f"{_ITEM} WHERE items.id = ?", (number,)).fetchone()
        return _item(row) if row else None

    def log(self, last: int = -1) -> list[Entry]:
        """Entries of the log, the newest first; only so many where `last` is not negative."""
        rows = self.db.execute("SELECT id FROM entries ORDER BY id DESC LIMIT ?", (last,)).fetchall()
        return [self.entry(number) for (number,) in rows]

    def entry(self, number: int) -> Entry:
        """The entry of a number.

        Raises:
            BadInput: there is none.
        """
        row = self.db.execute(
            "SELECT e.id, e.at, e.what, e.note, e.plan, e.undoes, u.id FROM entries e "
            "LEFT JOIN entries u ON u.undoes = e.id WHERE e.id = ?",
            (number,),
        ).fetchone()
        if row is None:
            raise BadInput.at(
                self._place(f"entry {number}"), "there is no such entry", "`athwart stock log` shows them"
            )
        came, went = (tuple(item for (item,) in self.db.execute(_MOVES, (number, way))) for way in (1, -1))
        _, at, what, note, plan, undoes, undone_by = row
        names = tuple(name for (name,) in self.db.execute(_NAMES, (number,)))
        return Entry(number, at, what, note, plan, undoes, undone_by, came, went, names)

    def add(
        self, blanks: Sequence[Blank], place: str = "", note: str = "", thickness: float = 0.0
    ) -> tuple[Item, ...]:
        """Put new sticks or sheets in.

        Args:
            blanks: what comes in, at least one.
            place: where it lies, in the shop's words.
            note: where it is from, for the log.
            thickness: of the sheet or mat, mm.
        """
        with changing(self.db):
            entry = self.write_entry("add", note)
            return self.bring_in(entry, blanks, place, dict.fromkeys((b.name for b in blanks), thickness))

    def take(self, wanted: Iterable[int], note: str = "") -> Entry:
        """Take items out; all of them, or none where one is not there.

        Raises:
            BadInput: an item is gone or was never there.
        """
        ids = sorted(set(wanted))
        with changing(self.db):
            faults = FaultList()
            for number in ids:
                self.check_here(number, faults)
            faults.raise_if_any()
            entry = self.write_entry("take", note)
            self.move(entry, ids, -1)
            return self.entry(entry)

    def undo(self, number: int | None = None) -> Entry:
        """Take an entry of the log back: what it brought in goes, what it took comes back.

        Args:
            number: of the entry; the last that still stands unless given.

        Returns:
            the entry that was taken back.

        Raises:
            BadInput: there is none, it was taken back already, or a later entry builds on it.
        """
        with changing(self.db):
            entry = self._last_standing() if number is None else self.entry(number)
            place = self._place(f"entry {entry.id}")
            if entry.what == "undo":
                raise BadInput.at(place, "an undo is not undone", "make the change again")
            if entry.undone_by is not None:
                raise BadInput.at(place, f"entry {entry.undone_by} undid it already")
            faults = FaultList()
            for item in entry.came:
                self._check_unused(item, place, faults)
            faults.raise_if_any()
            undo = self.write_entry("undo", f"of {entry.id}: {entry.note or entry.what}", undoes=entry.id)
            self.move(undo, entry.came, -1)
            self.move(undo, entry.went, 1)
            return replace(entry, undone_by=undo)

    def check_here(self, number: int, faults: FaultList, cure: str = LISTED) -> Item | None:
        """The item if it is on hand; else None, and a fault that tells where it went."""
        item = self.item(number)
        place = self._place(f"item {number}")
        if item is None:
            faults.add(place, "there is no item of this number", cure)
        elif not item.here:
            faults.add(place, f"it is gone: {self._last_move(number)}", cure)
        else:
            return item
        return None

    def write_entry(self, what: What, note: str, plan: str = "", undoes: int | None = None) -> int:
        """Adds an entry to the log, within a transaction; its number."""
        at = datetime.now(UTC).isoformat(timespec="seconds")
        made = self.db.execute(
            "INSERT INTO entries (at, what, note, plan, undoes) VALUES (?, ?, ?, ?, ?)",
            (at, what, note, plan, undoes),
        )
        assert made.lastrowid is not None
        return made.lastrowid

    def bring_in(
        self, entry: int, blanks: Iterable[Blank], place: str, thickness: Mapping[str, float]
    ) -> tuple[Item, ...]:
        """Adds new items under an entry, within a transaction."""
        found = []
        for blank in blanks:
            rings = json.dumps(blank.rings) if blank.rings else ""
            made = self.db.execute(
                "INSERT INTO items (kind, name, length, width, rings, thickness, place, entry) "
                "VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
                (blank.kind, blank.name, float(blank.length), float(blank.width), rings,
                 thickness.get(blank.name, 0.0), place, entry),
            )  # fmt: skip
            assert made.lastrowid is not None
            self.move(entry, [made.lastrowid], 1)
            item = self.item(made.lastrowid)
            assert item is not None
            found.append(item)
        return tuple(found)

    def move(self, entry: int, ids: Iterable[int], way: int) -> None:
        """Logs that items came (1) or went (-1) under an entry, within a transaction."""
        self.db.executemany("INSERT INTO moves VALUES (?, ?, ?)", [(entry, item, way) for item in ids])

    def _place(self, key: str) -> Place:
        return Place(str(self.path), None, key)

    def _last_standing(self) -> Entry:
        row = self.db.execute(
            "SELECT max(id) FROM entries WHERE what <> 'undo' "
            "AND id NOT IN (SELECT undoes FROM entries WHERE undoes IS NOT NULL)"
        ).fetchone()
        if row[0] is None:
            raise BadInput.at(self._place(""), "there is nothing to undo")
        return self.entry(row[0])

    def _check_unused(self, number: int, place: Place, faults: FaultList) -> None:
        item = self.item(number)
        if item is None or not item.here:
            later = self._last_move(number)
            faults.add(place, f"its item {number} is gone: {later}", "undo that entry first")

    def _last_move(self, number: int) -> str:
        """The entry that moved an item last, in words."""
        row = self.db.execute(
            "SELECT e.id, e.what, e.note FROM moves JOIN entries e ON e.id = entry WHERE item = ? "
            "ORDER BY e.id DESC LIMIT 1",
            (number,),
        ).fetchone()
        number, what, note = row
        return f"entry {number}, {what}{f' {note}' if note else ''}"


def _item(row: Sequence[Any]) -> Item:
    number, kind, name, length, width, rings, thickness, place, entry, here, what, note = row
    read = tuple(tuple((x, y) for x, y in ring) for ring in json.loads(rings)) if rings else ()
    origin = f"left of {note}" if what == "cut" else note
    return Item(number, Blank(kind, name, length, width, read), place, thickness, entry, origin, bool(here))


def told_items(items: Sequence[Item]) -> str:
    """Items in few words: `items 3, 5-8` or `item 3`."""
    return f"item{'' if len(items) == 1 else 's'} {numbers([item.id for item in items])}"
