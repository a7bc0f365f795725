"""One boat that pages look at and move: the newest values are built, the last good boat stays shown."""

from __future__ import annotations

import asyncio
import json
import logging
from collections.abc import Callable, Sequence
from dataclasses import asdict, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.preview.changes import change_of
from app.preview.history import History
from app.preview.keep import NotKept, keep_values
from app.preview.later_work import Order
from app.preview.lids import lid_rows
from app.preview.pieces import ShownPiece, shown_pieces
from app.preview.rebuild import Marks, Rebuilder, Source, read_source
from app.preview.tables import Lists, finding_rows, lists_of, saw_table, sheet_table, weight_table
from app.preview.values import LONGEST, Named, named, path_of, shown, text_in, text_of
from app.preview.wire import Shown, as_json
from cutlists.hull_lines import hull_lines
from parts.faults import BadInput, Fault, Place, one_line

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
    """

    def __init__(self, path: Path, marks: Marks | None = None) -> None:
        self.path = path
        self.boat: Boat | None = None
        self.lists: Lists | None = None
        self.shown = Shown()
        self.listeners: set[Callable[[], None]] = set()
        self.resting: list[Callable[[Order], None]] = []
        self.history = History()
        self.source: Source | None = None
        self._marks = marks
        self._rebuilder: Rebuilder | None = None
        self._values: dict[str, str] = {}
        self._moving = False
        self._before: Lists | None = None
        self._faults: tuple[Fault, ...] = ()
        self._hull_shown = ""
        self._extra: dict[str, ShownPiece] = {}
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
        except BadInput as error:
            self._tell_faults(error.faults)
            self._say(dimensions=self._dimensions({}))
            self.source = self._rebuilder = None
            return
        except (OSError, UnicodeDecodeError) as error:
            self._tell_faults([Fault(Place(str(self.path), None, ""), str(error), "see to the file")])
            self.source = self._rebuilder = None
            return
        if self._rebuilder is None:
            self._rebuilder = Rebuilder(source, self._marks)
        before, self.source, self._rebuilder.source = self.source, source, source
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
        rebuilder, pieces = self._rebuilder, dict(self.shown.pieces)
        try:
            boat, fresh = await asyncio.to_thread(_picture, rebuilder, values, pieces)
        except BadInput as error:
            self._tell_faults(error.faults)
            self._say(dimensions=self._dimensions(values), history=self._history())
            return
        except Exception as error:
            log.exception("building")
            what = one_line(f"a fault of Athwart itself, {type(error).__name__}: {error}")
            self._tell_faults([Fault(Place(str(self.path), None, ""), what, "go back to the last value")])
            self._say(dimensions=self._dimensions(values), history=self._history())
            return
        self.boat, self._faults = boat, ()
        self.shown = Shown({**fresh, **self._extra}, self.shown.sections)
        self._say(**self._first_sections(boat, values))
        await self._list(boat, values)

    async def _list(self, boat: Boat, values: dict[str, str]) -> None:
        """The tables of a boat that is already shown."""
        source = self.source
        if source is None:
            return
        lists, tables = await asyncio.to_thread(_tables, boat, source, self._before)
        if self._rebuilder is not None and not self._rebuilder.marks:
            # Nothing was built before: the first boat gives the marks that later ones keep.
            self._rebuilder.keep_marks(boat)
            self._marks = self._rebuilder.marks
        self.lists = lists
        self._say(**tables)
        if not self._moving and not self._wake.is_set():
            order = Order.of(source.path, source.text, values, self._marks_kept())
            for told in self.resting:
                told(order)

    def say_later(self, pieces: dict[str, ShownPiece] | None = None, **sections: Any) -> None:
        """Shows what the long work came to; `pieces` are shown besides those of the boat."""
        if pieces is not None:
            own = {name: piece for name, piece in self.shown.pieces.items() if name not in self._extra}
            self._extra = dict(pieces)
            self.shown = Shown({**own, **pieces}, self.shown.sections)
        self._say(**sections)

    def _marks_kept(self) -> dict[str, tuple[str, str]]:
        return dict(self._rebuilder.marks) if self._rebuilder else {}

    def _first_sections(self, boat: Boat, values: dict[str, str]) -> dict[str, Any]:
        sections: dict[str, Any] = {
            "boat": {"name": boat.name, "title": boat.title, "units": boat.units, "file": self.path.name},
            "faults": [],
            "dimensions": self._dimensions(values),
            "history": self._history(),
            "lids": lid_rows(boat),
            "findings": self._findings(boat),
        }
        assert self._rebuilder is not None
        if self._rebuilder.hull_key != self._hull_shown:
            self._hull_shown = self._rebuilder.hull_key
            sections["lines"] = [
                [[round(float(v), 1) for v in point] for point in line.points]
                for line in hull_lines(boat.hull)
            ]
        return sections

    # --- small parts

    def _findings(self, boat: Boat) -> list[dict[str, Any]]:
        """The boat's own findings, and those of checks of the boat before, marked as such."""
        told = self.shown.sections.get("findings")
        own = finding_rows(boat.findings)
        seen = {as_json(row) for row in own}
        before = [{**row, "old": True} for row in (json.loads(told) if told else [])]
        plain = [{key: value for key, value in row.items() if key != "old"} for row in before]
        return own + [old for old, row in zip(before, plain, strict=True) if as_json(row) not in seen]

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
        return [_dimension(row, units) for row in named(self.source.document, values)]

    def _tell_faults(self, faults: Sequence[Fault]) -> None:
        self._faults = tuple(faults)
        lines = self.source.lines if self.source else []
        self._say(faults=[_fault(fault, self.path, lines) for fault in self._faults])


def _picture(
    rebuilder: Rebuilder, values: dict[str, str], before: dict[str, ShownPiece]
) -> tuple[Boat, dict[str, ShownPiece]]:
    """The boat of some values and all that is seen of it."""
    boat = rebuilder.build(values)
    return boat, shown_pieces(boat, before, rebuilder.hull_key)


def _tables(boat: Boat, source: Source, before: Lists | None) -> tuple[Lists, dict[str, Any]]:
    lists = lists_of(boat, source.shop)
    return lists, {
        "saw": saw_table(lists).plain(),
        "sheets": sheet_table(lists).plain(),
        "weights": weight_table(lists).plain(),
        "change": change_of(before, lists) if before else None,
    }


def _dimension(row: Named, units: str) -> dict[str, Any]:
    """A row of the dimensions as a page is told; what is no number is told as none."""
    told = asdict(row)
    for key in ("value", "least", "greatest"):
        told[key] = told[key] if told[key] == told[key] else None
    ends = [shown(replace(row, value=end), units) for end in (row.least, row.greatest)]
    return {**told, "shown": shown(row, units), "ends": ends}


def _fault(fault: Fault, path: Path, lines: list[str]) -> dict[str, Any]:
    place = fault.place
    own = place.file == str(path)
    line = lines[place.line - 1] if own and place.line and place.line <= len(lines) else ""
    return {
        "file": Path(place.file).name,
        "line": place.line,
        "key": place.key,
        "wrong": fault.wrong,
        "right": fault.right,
        "text": line.strip()[:200],
    }
