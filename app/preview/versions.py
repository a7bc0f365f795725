"""Two versions of a boat held against each other: what came, what went, what changed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from app.preview.changes import change_of
from app.preview.pieces import ShownPiece, shown_pieces
from app.preview.rebuild import Marks, Rebuilder, read_source
from app.preview.tables import Lists, lists_of
from app.preview.values import Values

FILE = "the file as it stands"
MOST = 8
"""Snapshots held at once."""
WAS, WAS_COLOUR = "was", "#a1160c"


@dataclass(frozen=True, eq=False)
class Held:
    """A version to hold others against."""

    pieces: Mapping[str, ShownPiece]
    lists: Lists


def held_of(path: Path, values: Values, marks: Marks) -> Held:
    """The version of a boat file with some values moved.

    Raises:
        BadInput: the file's faults.
    """
    rebuilder = Rebuilder(read_source(path), marks)
    boat = rebuilder.build(values)
    return Held(shown_pieces(boat, {}, rebuilder.hull_key), lists_of(boat, rebuilder.source.shop))


class Versions:
    """The versions at hand: the file, snapshots, other boat files of the folder; one may be chosen."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.chosen: str | None = None
        self.base: Held | None = None
        self._snapshots: dict[str, Held] = {}
        self._count = 0

    def labels(self) -> list[str]:
        """What can be chosen."""
        return [FILE, *self._snapshots, *self._others()]

    def _others(self) -> list[str]:
        """Other boat files beside this one; the names that may be asked for."""
        found = (path for path in self.path.parent.glob("*.yaml") if path.is_file() and not path.is_symlink())
        return sorted(path.name for path in found if path.name not in (self.path.name, "shop.yaml"))[:50]

    def hold(self, held: Held) -> None:
        """Takes a snapshot; the oldest is let go where there are many."""
        self._count += 1
        self._snapshots[f"snapshot {self._count}"] = held
        while len(self._snapshots) > MOST:
            self._snapshots.pop(next(iter(self._snapshots)))

    def choose(self, label: str | None, marks: Marks) -> None:
        """Takes a version to hold the boat against; none for None. Builds it where it is a file.

        Raises:
            KeyError: there is no such version.
            BadInput: its file has faults.
        """
        if label is None:
            self.chosen = self.base = None
            return
        if label in self._snapshots:
            base = self._snapshots[label]
        elif label == FILE:
            base = held_of(self.path, {}, marks)
        elif label in self._others():
            base = held_of(self.path.parent / label, {}, marks)
        else:
            raise KeyError(label)
        self.chosen, self.base = label, base

    def comparison(
        self, pieces: Mapping[str, ShownPiece], lists: Lists
    ) -> tuple[dict[str, Any] | None, dict[str, ShownPiece]]:
        """What differs between a boat and the chosen version, and the pieces that are not as they were."""
        if self.base is None:
            return None, {}
        old = self.base.pieces
        came = [name for name in pieces if name not in old]
        went = [name for name in old if name not in pieces]
        changed = [name for name in pieces if name in old and pieces[name].shape != old[name].shape]
        changed = [name for name in changed if name != "hull"]
        told = {
            "with": self.chosen,
            "came": came,
            "went": went,
            "changed": changed,
            "change": change_of(self.base.lists, lists),
        }
        return told, {f"{WAS}/{name}": _ghost(old[name]) for name in (*went, *changed)}


def _ghost(piece: ShownPiece) -> ShownPiece:
    """A piece as it was, to be seen through."""
    told = {**piece.told, "path": [WAS], "colour": WAS_COLOUR, "opacity": 0.3}
    return replace(piece, name=f"{WAS}/{piece.name}", told=told)
