"""One boat that pages look at and move: the newest values are built, the last good boat stays shown."""

from __future__ import annotations

import asyncio
import logging
import math
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.preview.history import History
from app.preview.keep import NotKept, keep_values
from app.preview.later_work import Order
from app.preview.lids import lid_rows
from app.preview.pieces import ShownPiece, shown_pieces
from app.preview.rebuild import Marks, Rebuilder, Source, read_source
from app.preview.tables import Lists
from app.preview.telling import (
    dimension_rows,
    fault_rows,
    line_points,
    merged_findings,
    tables_of,
    weights_of,
)
from app.preview.values import LONGEST, path_of, text_in, text_of
from app.preview.versions import Held, Versions
from app.preview.wire import Shown
from parts.faults import BadInput, Fault, Place, one_line
from parts.yamlfile import LARGEST

if TYPE_CHECKING:
    from model.boat import Boat

log = logging.getLogger("athwart.preview")


class Refused(ValueError):  # noqa: N818  (it says what became of what was asked)
    """What a page asked for and cannot have; says why."""


class Workshop:
    """The boat, its values and what is shown of it; used from one event loop.

    Building happens in a thread, one boat at a time. While one is built, newer values only take each other's
    place: none queue up.

    Attributes:
        path: the boat file.
        boat: the last good one; None until there is one.
        lists: its cut lists.
        shown: what every page is to show.
        listeners: called whenever `shown` has changed.
        resting: told of the boat when a good one is shown and no hand is on it.
        opened_at: when a page opened last, on the event loop's clock.
    """

    def __init__(self, path: Path, marks: Marks | None = None) -> None:
        self.path = path
        self.boat: Boat | None = None
        self.lists: Lists | None = None
        self.shown = Shown()
        self.listeners: set[Callable[[], None]] = set()
        self.resting: list[Callable[[Order], None]] = []
        self.opened_at = -math.inf
        self.history = History()
        self.source: Source | None = None
        self._marks = marks
        self._marks_settled = False
        self._rebuilder: Rebuilder | None = None
        self._values: dict[str, str] = {}
        self._moving = False
        self._before: Lists | None = None
        self._faults: tuple[Fault, ...] = ()
        self._hull_shown = ""
        self.versions = Versions(path)
        self._pieces: dict[str, ShownPiece] = {}
        self._pieces_known = False
        self._shown_values: dict[str, str] = {}
        self._later: dict[str, ShownPiece] = {}
        self._ghosts: dict[str, ShownPiece] = {}
        self._read_again = True
        self._wake = asyncio.Event()
        self._wake.set()
        self._idle = asyncio.Event()

    # --- what pages ask for

    def move(self, name: Any, text: Any = None, to: Any = None, rest: bool = True) -> None:
        """Puts a text, or a slider's place in mm or degrees, in the place of a named dimension.

        Args:
            name: of the dimension or angle.
            text: as the shop writes it.
            to: where the slider stands, when there is no text.
            rest: whether the hand has let go.

        Raises:
            Refused: there is no such dimension, or the value is none that could be written.
        """
        document = self._need_source().document
        if not isinstance(name, str) or path_of(document, name) is None:
            raise Refused("the file has no dimension of that name")
        if isinstance(to, int | float) and not isinstance(to, bool) and abs(to) < 1e6:
            text = text_of(document, name, float(to))
        if not isinstance(text, str) or len(text) > LONGEST or not text.isprintable() or not text.strip():
            raise Refused("give a length such as 16-3/8")
        values = {**self._values, name: text.strip()}
        if values[name] == text_in(document, name):
            del values[name]
        self._begin_change(rest)
        self._want(values)
        if rest:
            self.history.put(values)

    def undo(self) -> None:
        """Takes the last step back."""
        self._step(self.history.undo())

    def redo(self) -> None:
        """Makes a step again that was taken back."""
        self._step(self.history.redo())

    def drop(self) -> None:
        """Goes back to the file's own values; a step like any other."""
        self._begin_change(True)
        self.history.put({})
        self._want({})

    async def keep(self) -> None:
        """Writes the moved values into the file.

        Raises:
            Refused: there is a fault, or the file cannot be written.
        """
        source = self._need_source()
        await self.settled()
        if self._faults:
            raise Refused("the values are not good yet; nothing was written")
        if not self._values:
            return
        try:
            await asyncio.to_thread(keep_values, self.path, source.text, source.document, self._values)
        except (NotKept, OSError) as error:
            raise Refused(f"nothing was written: {error}") from None
        self.look_again()
        await self.settled()

    def hold(self) -> None:
        """Takes a snapshot of the boat as it is shown.

        Raises:
            Refused: there is no good boat yet.
        """
        if self.lists is None:
            raise Refused("there is no boat yet")
        self.versions.hold(Held(self._pieces, self.lists))
        self._compare()

    async def compare(self, label: Any) -> None:
        """Holds the boat against another version by its label, or against none for None.

        Raises:
            Refused: there is no such version, or its file has faults.
        """
        if label is not None and label not in self.versions.labels():
            raise Refused("there is no such version")
        try:
            await asyncio.to_thread(self.versions.choose, label, self._marks_kept())
        except (BadInput, OSError) as error:
            raise Refused(one_line(f"{label} cannot be read: {error}")) from None
        self._compare()

    def look_again(self) -> None:
        """Reads the files again, for they may have changed."""
        self._read_again = True
        self._idle.clear()
        self._wake.set()

    async def settled(self) -> None:
        """Waits until what was asked for by now is shown."""
        await self._idle.wait()

    # --- the work

    async def run(self) -> None:
        """Builds whatever is wanted, for ever."""
        while True:
            await self._wake.wait()
            self._wake.clear()
            if self._read_again:
                self._read_again = False
                await self._reread()
            if self._rebuilder is not None and self.source is not None:
                await self._rebuild(dict(self._values))
            if not self._wake.is_set():
                self._idle.set()

    async def _reread(self) -> None:
        """Takes in the files as they are now; faulty ones leave the boat as it is."""
        try:
            source = await asyncio.to_thread(read_source, self.path)
        except Exception as error:
            self._tell_faults(_faults_of(error, self.path))
            self.source = self._rebuilder = None
            return
        if self._rebuilder is None:
            self._rebuilder = Rebuilder(source, self._marks)
        before, self.source, self._rebuilder.source = self.source, source, source
        self._pieces_known = False
        names = self.history.names | set(self._values)
        new = {n: t for n in names if (t := text_in(source.document, n)) is not None}
        if before is not None:
            old = {n: t for n in names if (t := text_in(before.document, n)) is not None}
            full = {**old, **self._values}
            # What another hand wrote into the file stands; what was moved here and not there stays moved.
            kept = {n: t for n, t in full.items() if n in self._values and old.get(n) == new.get(n)}
            self._values = {n: t for n, t in kept.items() if t != new.get(n)}
            self.history.rebase(old, new)
        else:
            self._values = {n: t for n, t in self._values.items() if n in new}
        self.history.put(self._values)

    async def _rebuild(self, values: dict[str, str]) -> None:
        assert self._rebuilder is not None
        if self.boat is not None and values == self._shown_values and self._pieces_known and not self._faults:
            # The hand let go where it was: that boat is there already.
            self._say(history=self._history())
            await self._list(self.boat, values)
            return
        rebuilder, pieces = self._rebuilder, self._pieces if self._pieces_known else {}
        try:
            boat = await asyncio.to_thread(rebuilder.build, values)
            fresh = await asyncio.to_thread(shown_pieces, boat, pieces, rebuilder.hull_key)
        except Exception as error:
            self._tell_faults(_faults_of(error, self.path))
            self._say(dimensions=self._dimensions(values), history=self._history())
            return
        self.boat, self._faults = boat, ()
        self._pieces, self._pieces_known, self._shown_values = fresh, True, values
        self._put_pieces()
        self._say(**self._first_sections(boat, values))
        await self._list(boat, values)

    async def _list(self, boat: Boat, values: dict[str, str]) -> None:
        """The tables of a boat that is already shown."""
        source = self.source
        if source is None:
            return
        known, weights = await asyncio.to_thread(weights_of, boat)
        self._say(**weights)
        lists, tables = await asyncio.to_thread(tables_of, boat, source.shop, self._before, known)
        if self._rebuilder is not None and not self._marks_settled:
            # The first boat's marks are kept from here on, beside those of the build before: a number that
            # was new in it would else go to another piece whenever one before it changes too.
            self._rebuilder.keep_marks(boat)
            self._marks, self._marks_settled = self._rebuilder.marks, True
        self.lists = lists
        self._compare()
        self._say(**tables)
        if not self._moving and not self._wake.is_set():
            order = Order.of(source.path, source.text, values, self._marks_kept())
            for told in self.resting:
                told(order)

    def say_later(self, pieces: dict[str, ShownPiece] | None = None, **sections: Any) -> None:
        """Shows what the long work came to; `pieces` are shown besides those of the boat."""
        if pieces is not None:
            self._later = pieces
            self._put_pieces()
        self._say(**sections)

    def _put_pieces(self) -> None:
        """All there is to see: the boat, what lies in her, and what she is held against."""
        self.shown = Shown({**self._pieces, **self._later, **self._ghosts}, self.shown.sections)

    def _compare(self) -> None:
        """Tells what differs from the version that was chosen."""
        if self.lists is None:
            return
        told, self._ghosts = self.versions.comparison(self._pieces, self.lists)
        self._put_pieces()
        self._say(compare=told, versions=self.versions.labels())

    def _marks_kept(self) -> dict[str, tuple[str, str]]:
        return dict(self._rebuilder.marks) if self._rebuilder else {}

    def _first_sections(self, boat: Boat, values: dict[str, str]) -> dict[str, Any]:
        sections: dict[str, Any] = {
            "boat": {"name": boat.name, "title": boat.title, "units": boat.units, "file": self.path.name},
            "faults": [],
            "dimensions": self._dimensions(values),
            "history": self._history(),
            "lids": lid_rows(boat),
            "findings": merged_findings(boat, self.shown.sections.get("findings")),
        }
        assert self._rebuilder is not None
        if self._rebuilder.hull_key != self._hull_shown:
            self._hull_shown = self._rebuilder.hull_key
            sections["lines"] = line_points(boat.hull)
        return sections

    # --- small parts

    def _need_source(self) -> Source:
        if self.source is None:
            raise Refused("the file cannot be read as it stands; mend it first")
        return self.source

    def _begin_change(self, rest: bool) -> None:
        """Remembers the lists as they were when a hand was laid on."""
        if not self._moving:
            self._before = self.lists
        self._moving = not rest

    def _step(self, moved: bool) -> None:
        if moved:
            self._begin_change(True)
            self._want(self.history.now)

    def _want(self, values: dict[str, str]) -> None:
        self._values = values
        self._idle.clear()
        self._wake.set()

    def _say(self, **sections: Any) -> None:
        self.shown = self.shown.saying(**sections)
        for listener in tuple(self.listeners):
            listener()

    def _history(self) -> dict[str, int]:
        return {"undos": self.history.undos, "redos": self.history.redos, "moved": len(self._values)}

    def _dimensions(self, values: dict[str, str]) -> list[dict[str, Any]]:
        if self.source is None:
            return []
        units = self.boat.units if self.boat else "in"
        return dimension_rows(self.source.document, values, units)

    def _tell_faults(self, faults: Sequence[Fault]) -> None:
        self._faults = tuple(faults)
        self._say(faults=fault_rows(self._faults, self.path, self._lines()))

    def _lines(self) -> list[str]:
        """The boat file's lines as they are on disk, where they can be read at all."""
        try:
            return self.path.read_bytes()[:LARGEST].decode("utf-8", "replace").splitlines()
        except OSError:
            return []


def _faults_of(error: Exception, path: Path) -> tuple[Fault, ...]:
    """What went wrong, as faults to tell; the preview stays up whatever it is."""
    if isinstance(error, BadInput):
        return error.faults
    place = Place(str(path), None, "")
    if isinstance(error, OSError | UnicodeDecodeError):
        return (Fault(place, one_line(str(error)), "see to the file"),)
    log.error("a fault of our own", exc_info=error)
    what = one_line(f"a fault of Athwart itself, {type(error).__name__}: {error}")
    return (Fault(place, what, "go back to the last value"),)
