"""What a build changed against the one before it: its revision, and the pieces that came, went or changed."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from parts.lengths import format_length

if TYPE_CHECKING:
    from cutlists.saw_list import SawList
    from model.boat import Boat


@dataclass(frozen=True)
class Cut:
    """A piece as an earlier build had it: its mark, and for tube its section and length, mm."""

    mark: str
    signature: str
    section: str | None = None
    length: float = 0.0


@dataclass(frozen=True)
class Earlier:
    """The build before: its revision and its pieces by name."""

    number: int = 0
    pieces: Mapping[str, Cut] = field(default_factory=dict)


@dataclass(frozen=True, eq=False)
class Last:
    """What a build knows of the one it replaces, and the day it is made on.

    Attributes:
        marks: mark and signature by name of earlier builds, handed on in `boat.json`.
        build: revision and pieces of the last one.
        cut: how many of each of its marks were cut, by the stock's log.
        today: such as 2026-05-02.
    """

    marks: Mapping[str, tuple[str, str]] | None = None
    build: Earlier | None = None
    cut: Mapping[str, int] | None = None
    today: str = ""


@dataclass(frozen=True)
class Revision:
    """A build's revision, counted from 1 and raised when any piece came, went or changed.

    Attributes:
        number: of this build.
        came: names of pieces that the last revision did not have.
        went: names of its pieces that are no more, with what they were.
        changed: names of pieces that are not as they were, with what they were.
    """

    number: int = 1
    came: tuple[str, ...] = ()
    went: Mapping[str, Cut] = field(default_factory=dict)
    changed: Mapping[str, Cut] = field(default_factory=dict)

    @property
    def is_first(self) -> bool:
        """Whether there was no build before."""
        return self.number == 1

    def marks(self, boat: Boat) -> frozenset[str]:
        """Marks of pieces to cut that the last revision did not ask for; none on the first."""
        if self.is_first:
            return frozenset()
        return frozenset(boat.marks[name] for name in (*self.came, *self.changed) if name in boat.marks)


def earlier_build(text: str) -> Earlier:
    """The revision and the pieces of the `boat.json` of an earlier build.

    Raises:
        ValueError: the text is no boat of ours.
    """
    try:
        told = json.loads(text)
        signatures = {row["name"]: str(row["signature"]) for row in told["marks"]}
        pieces = {
            piece["name"]: _cut(piece, signatures[piece["name"]])
            for piece in told["pieces"]
            if piece["mark"] and piece["name"] in signatures
        }
        return Earlier(int(told.get("revision", 1)), pieces)
    except (KeyError, TypeError, ValueError, AttributeError) as fault:
        raise ValueError(f"not a boat of an earlier build: {fault}") from fault


def _cut(piece: Mapping[str, Any], signature: str) -> Cut:
    return Cut(piece["mark"], signature, piece.get("section"), float(piece.get("length", 0.0)))


def revision_of(boat: Boat, earlier: Earlier | None) -> Revision:
    """The revision of a boat after an earlier build; the first where there was none."""
    if earlier is None or not earlier.number:
        return Revision()
    now = boat.signatures
    came = tuple(name for name in now if name not in earlier.pieces)
    went = {name: cut for name, cut in earlier.pieces.items() if name not in now}
    changed = {
        name: cut for name, cut in earlier.pieces.items() if name in now and now[name] != cut.signature
    }
    step = bool(came or went or changed)
    return Revision(earlier.number + step, came, went, changed)


def no_longer_fit(revision: Revision, boat: Boat) -> dict[str, Cut]:
    """Marks of the last revision that no piece of this one bears, with what they were."""
    here = set(boat.marks.values())
    old = {**revision.went, **revision.changed}
    return {cut.mark: cut for cut in old.values() if cut.mark not in here}


def recut(cut: Cut, saw: SawList, marks: frozenset[str]) -> list[str]:
    """Marks that an old piece of tube could be cut down to: of its stock, asked for anew, and no longer.

    The longest first, which wastes least.
    """
    if cut.section is None:
        return []
    own = [
        row
        for row in saw.rows
        if row.mark in marks and row.section.name == cut.section and row.length <= cut.length + 1e-6
    ]
    return [row.mark for row in sorted(own, key=lambda row: -row.length)]


def changes_text(
    revision: Revision, boat: Boat, saw: SawList, cut_already: Mapping[str, int] | None = None
) -> str:
    """The file `changes.txt`: what this revision changed, and what of the pieces already cut no longer fits.

    Args:
        revision: of the build.
        boat: as it is now.
        saw: its saw list.
        cut_already: how many of each mark the stock's log says were cut; None where no log is kept.
    """
    return "\n".join(_lines(revision, boat, saw, cut_already)) + "\n"


def _lines(
    revision: Revision, boat: Boat, saw: SawList, cut_already: Mapping[str, int] | None
) -> Iterator[str]:
    yield f"{boat.title}, revision {revision.number}"
    if not (revision.came or revision.went or revision.changed):
        yield "" if revision.is_first else "no piece changed since the build before"
        return
    yield ""
    for name in revision.came:
        yield f"new      {boat.marks.get(name, ''):6} {name}"
    for name, cut in revision.changed.items():
        yield f"changed  {boat.marks.get(name, ''):6} {name}, was {cut.mark}"
    for name, cut in revision.went.items():
        yield f"gone     {cut.mark:6} {name}"
    old = no_longer_fit(revision, boat)
    if not old:
        return
    yield ""
    yield "pieces of the last revision that fit nowhere now, and what tube of them could be cut down to:"
    asked = revision.marks(boat)
    for mark, cut in old.items():
        if cut_already is not None and mark not in cut_already:
            continue
        made = f", {cut_already[mark]} cut" if cut_already else ""
        length = f", {format_length(cut.length, boat.units)} of {cut.section}" if cut.section else ""
        others = recut(cut, saw, asked)
        use = f"cut down to {', '.join(others[:4])}" if others else "scrap or keep"
        yield f"  {mark}{made}{length}: {use}"


def revision_data(revision: Revision) -> dict[str, Any]:
    """What `boat.json` holds of it."""
    told = {"came": list(revision.came), "went": sorted(revision.went), "changed": sorted(revision.changed)}
    return {"revision": revision.number, "since_last": told}
