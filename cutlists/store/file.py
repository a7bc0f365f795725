"""The stock file: an SQLite file whose log is only ever added to.

Every change is one transaction that takes the writer's lock before it looks (`BEGIN IMMEDIATE`), so that two
shops' hands at once see each other's changes, and that is either whole or not there after a power cut (write-
ahead log, synchronous writes). An item is on hand when the moves of the log say so; the file itself refuses
to take out what is out, and to change what was logged.
"""

from __future__ import annotations

import sqlite3
import time
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from parts.faults import BadInput, Place

MARK = 0x41746877
"""SQLite's application id of a stock file."""
PATIENCE = 10.0
"""Seconds to wait for another process to finish its change."""

_FIRST = """
CREATE TABLE about (key TEXT PRIMARY KEY, value TEXT NOT NULL) WITHOUT ROWID;
CREATE TABLE entries (
    id INTEGER PRIMARY KEY,
    at TEXT NOT NULL,
    what TEXT NOT NULL CHECK (what IN ('add', 'take', 'cut', 'undo')),
    note TEXT NOT NULL,
    plan TEXT NOT NULL DEFAULT '',
    undoes INTEGER UNIQUE REFERENCES entries (id),
    CHECK ((what = 'undo') = (undoes IS NOT NULL))
);
CREATE TABLE items (
    id INTEGER PRIMARY KEY,
    kind TEXT NOT NULL CHECK (kind IN ('stick', 'sheet', 'mat')),
    name TEXT NOT NULL,
    length REAL NOT NULL CHECK (length > 0),
    width REAL NOT NULL CHECK ((kind = 'stick') = (width = 0)),
    rings TEXT NOT NULL DEFAULT '',
    thickness REAL NOT NULL DEFAULT 0,
    place TEXT NOT NULL DEFAULT '',
    entry INTEGER NOT NULL REFERENCES entries (id),
    here INTEGER NOT NULL DEFAULT 0 CHECK (here IN (0, 1))
);
CREATE INDEX items_here ON items (kind, name) WHERE here = 1;
CREATE TABLE moves (
    entry INTEGER NOT NULL REFERENCES entries (id),
    item INTEGER NOT NULL REFERENCES items (id),
    way INTEGER NOT NULL CHECK (way IN (-1, 1)),
    PRIMARY KEY (entry, item)
) WITHOUT ROWID;
CREATE TRIGGER moved AFTER INSERT ON moves
BEGIN UPDATE items SET here = here + NEW.way WHERE id = NEW.item; END;
CREATE TRIGGER moves_stay BEFORE UPDATE ON moves BEGIN SELECT RAISE(ABORT, 'the log is not changed'); END;
CREATE TRIGGER moves_last BEFORE DELETE ON moves BEGIN SELECT RAISE(ABORT, 'the log is not changed'); END;
CREATE TRIGGER entries_stay BEFORE UPDATE ON entries BEGIN SELECT RAISE(ABORT, 'the log is not changed'); END;
CREATE TRIGGER entries_last BEFORE DELETE ON entries BEGIN SELECT RAISE(ABORT, 'the log is not changed'); END;
CREATE TRIGGER items_last BEFORE DELETE ON items BEGIN SELECT RAISE(ABORT, 'the log is not changed'); END
"""
_WORK = """
CREATE TABLE work (
    id INTEGER PRIMARY KEY,
    at TEXT NOT NULL,
    boat TEXT NOT NULL,
    task TEXT NOT NULL,
    kind TEXT NOT NULL,
    what TEXT NOT NULL CHECK (what IN ('tick', 'untick', 'over', 'hours', 'note', 'undo')),
    date TEXT NOT NULL,
    hours REAL NOT NULL DEFAULT 0 CHECK (hours >= 0 AND (what = 'hours') = (hours > 0)),
    planned REAL NOT NULL DEFAULT 0 CHECK (planned >= 0),
    note TEXT NOT NULL DEFAULT '',
    pieces TEXT NOT NULL DEFAULT '',
    undoes INTEGER UNIQUE REFERENCES work (id),
    CHECK ((what = 'undo') = (undoes IS NOT NULL))
);
CREATE INDEX work_of ON work (boat, task);
CREATE TRIGGER work_stays BEFORE UPDATE ON work BEGIN SELECT RAISE(ABORT, 'the log is not changed'); END;
CREATE TRIGGER work_lasts BEFORE DELETE ON work BEGIN SELECT RAISE(ABORT, 'the log is not changed'); END
"""
_ACTUALS = """
CREATE TABLE actuals (
    id INTEGER PRIMARY KEY,
    at TEXT NOT NULL,
    boat TEXT NOT NULL CHECK (boat <> ''),
    what TEXT NOT NULL CHECK (what IN ('hours', 'cost', 'undo')),
    kind TEXT NOT NULL DEFAULT '',
    name TEXT NOT NULL DEFAULT '',
    amount TEXT NOT NULL DEFAULT '0',
    note TEXT NOT NULL DEFAULT '',
    undoes INTEGER UNIQUE REFERENCES actuals (id),
    CHECK ((what = 'undo') = (undoes IS NOT NULL))
);
CREATE INDEX actuals_of ON actuals (boat);
CREATE TRIGGER actuals_stay BEFORE UPDATE ON actuals BEGIN SELECT RAISE(ABORT, 'the log is not changed'); END;
CREATE TRIGGER actuals_last BEFORE DELETE ON actuals BEGIN SELECT RAISE(ABORT, 'the log is not changed'); END;
CREATE TABLE finished (
    id INTEGER PRIMARY KEY,
    at TEXT NOT NULL,
    boat TEXT NOT NULL CHECK (boat <> ''),
    told TEXT NOT NULL
);
CREATE TRIGGER finished_stay BEFORE UPDATE ON finished
BEGIN SELECT RAISE(ABORT, 'the log is not changed'); END;
CREATE TRIGGER finished_last BEFORE DELETE ON finished
BEGIN SELECT RAISE(ABORT, 'the log is not changed'); END
"""
STEPS = (_FIRST, _WORK, _ACTUALS)
"""What brings a file from each version to the next; the version of a file is how many were done."""


@contextmanager
def opened(path: Path, create: bool = False) -> Iterator[sqlite3.Connection]:
    """A connection to a stock file of this version.

    Args:
        path: the file.
        create: begin a file where there is none.

    Raises:
        BadInput: there is none, it is something else, or it cannot be read or written now.
    """
    place = Place(str(path), None, "")
    if not create and not path.is_file():
        raise BadInput.at(place, "there is no stock file yet", "`athwart stock add` begins one")
    mode = "rwc" if create else "rw"
    try:
        connection = sqlite3.connect(
            f"{path.absolute().as_uri()}?mode={mode}", uri=True, timeout=PATIENCE, isolation_level=None
        )
        try:
            _prepare(connection, place)
            yield connection
        finally:
            connection.close()
    except sqlite3.IntegrityError:
        # The file's own rules were about to be broken, which is a fault of ours and not of its owner's.
        raise
    except sqlite3.Error as error:
        raise BadInput.at(place, *_said(error)) from None


@contextmanager
def changing(connection: sqlite3.Connection) -> Iterator[None]:
    """A transaction that holds the writer's lock from its start; whole when it ends, gone on any error."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise


def _prepare(connection: sqlite3.Connection, place: Place) -> None:
    """Sets the connection up and brings the file to this version."""
    version = _version(connection, place)
    _write_ahead(connection)
    connection.execute("PRAGMA synchronous = FULL")
    connection.execute("PRAGMA foreign_keys = ON")
    if version == len(STEPS):
        return
    with changing(connection):
        # Looked at again under the lock: another process may have been first.
        for step in range(_version(connection, place), len(STEPS)):
            for statement in _statements(STEPS[step]):
                connection.execute(statement)
            if step == 0:
                connection.execute("INSERT INTO about VALUES ('identity', ?)", (uuid.uuid4().hex,))
        connection.execute(f"PRAGMA application_id = {MARK}")
        connection.execute(f"PRAGMA user_version = {len(STEPS)}")


def _version(connection: sqlite3.Connection, place: Place) -> int:
    """The file's version, 0 when it is still empty.

    Raises:
        BadInput: it is no stock file, or a newer Athwart wrote it.
    """
    mark, version, tables = (
        connection.execute(ask).fetchone()[0]
        for ask in ("PRAGMA application_id", "PRAGMA user_version", "SELECT count(*) FROM sqlite_master")
    )
    if mark != MARK and (mark or version or tables):
        raise BadInput.at(place, "this is no stock file", "name another under `stock:` in the shop file")
    if version > len(STEPS):
        raise BadInput.at(place, "a newer Athwart wrote this stock file", "use that one")
    return int(version)


def _write_ahead(connection: sqlite3.Connection) -> None:
    """Turns the write-ahead log on; tried again, since two first openings at once may lock each other out."""
    until = time.monotonic() + PATIENCE
    while True:
        try:
            connection.execute("PRAGMA journal_mode = WAL")
            return
        except sqlite3.OperationalError:
            if time.monotonic() > until:
                raise
            time.sleep(0.02)


def _statements(script: str) -> Iterator[str]:
    """The statements of a script one by one; `executescript` would end the transaction."""
    held = ""
    for part in script.split(";"):
        held += part + ";"
        if sqlite3.complete_statement(held):
            yield held
            held = ""
    if held.strip(" \n;"):
        yield held


def _said(error: sqlite3.Error) -> tuple[str, str]:
    told = str(error)
    if "locked" in told or "busy" in told:
        return "another process is changing the stock", "try again when it is done"
    if "not a database" in told:
        return "this is no stock file", "name another under `stock:` in the shop file"
    if "readonly" in told or "unable to open" in told:
        return f"the stock file cannot be written ({told})", "check its folder and who may write there"
    return f"the stock file cannot be used ({told})", "free space, or put back a copy of it"
