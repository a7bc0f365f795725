"""What every part of the layout is resolved against: the file's numbers, the hull, the catalogue."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from model.boatfile.numbers import Key, Numbers
from model.boatfile.schema import BoatFile, RepeatEntry
from model.geometry import Array
from model.hull import Hull
from model.layout.edges import Edge
from parts.catalogue import Catalogue, UnknownPart
from parts.lengths import format_length
from parts.section import Section
from parts.sheet import Sheet


@dataclass(frozen=True, eq=False)
class Context:
    """The means of resolving a layout."""

    entry: BoatFile
    numbers: Numbers
    hull: Hull
    catalogue: Catalogue

    def fault(self, path: tuple[Key, ...], wrong: str, right: str) -> None:
        """Notes a fault of the file."""
        self.numbers.fault(path, wrong, right)

    def default(self, key: str) -> float:
        """A gap of the file's `defaults`, mm; one that cannot be read counts as none, its fault noted."""
        found = self.numbers.not_negative(getattr(self.entry.defaults, key), "defaults", key)
        return 0.0 if math.isnan(found) else found

    def ledger_gap(self) -> float:
        """Most that a ledger may stand off its line, mm; at zero no straight piece follows a curve."""
        return self.numbers.positive(self.entry.defaults.ledger_gap, "defaults", "ledger_gap")

    def text(self, value: float) -> str:
        """A length as the file's reader reads it."""
        return format_length(float(value), self.entry.units)

    def gap(self, value: str | int | float | None, default: str, *path: Key) -> float:
        """A gap of its own, or the file's default of that name; as `default`."""
        if value is None:
            return self.default(default)
        found = self.numbers.not_negative(value, *path)
        return 0.0 if math.isnan(found) else found

    def part(self, kind: str, name: str, *path: Key) -> Any:
        """A part of the catalogue; None, with the fault noted, where there is none of that name."""
        try:
            return self.catalogue.get(kind, name)
        except UnknownPart as error:
            self.fault(path, error.wrong, error.right)
            return None

    def section(self, name: str | None, *path: Key) -> Section | None:
        """A section of the catalogue, or the file's default one."""
        if name is None:
            found: Section | None = self.part("section", self.entry.defaults.section, "defaults", "section")
        else:
            found = self.part("section", name, *path)
        return found

    def post_section(self, name: str | None, section: Section | None, *path: Key) -> Section | None:
        """The section of posts: its own, the file's default for posts, or that of the frame."""
        wanted = name or self.entry.defaults.post_section
        if wanted is None:
            return section
        where = path if name else ("defaults", "post_section")
        found: Section | None = self.part("section", wanted, *where)
        return found

    def sheet(self, name: str | None, *path: Key) -> Sheet | None:
        """A sheet of the catalogue, or the file's default one."""
        if name is None:
            found: Sheet | None = self.part("sheet", self.entry.defaults.sheet, "defaults", "sheet")
        else:
            found = self.part("sheet", name, *path)
        return found

    def edge(self, side: str, value: Any, *path: Key) -> Edge:
        """An edge of an area in plan; one that cannot be read follows the hull, with the fault noted."""
        if value is None or value == "hull":
            return Edge(side, None)
        if not isinstance(value, list):
            at = self.numbers.length(value, *path)
            return Edge(side, None) if math.isnan(at) else Edge.line(side, at)
        points = self.numbers.polyline(value, *path)
        if not all(map(math.isfinite, points.ravel())):
            return Edge(side, None)
        found = Edge.polyline(side, points)
        if found.crosses_itself():
            self.fault(path, "the edge crosses itself", "put its points in order from one end to the other")
            return Edge(side, None)
        return found


@dataclass(frozen=True)
class Copy:
    """One of the things that an entry stands for.

    Attributes:
        name: the entry's own key, with `.2` for the second of several and `.port` for one of two sides.
        hand: the side it is on, where there is one on each.
        mirrored: whether it is on the side not described.
        forward: how far forward of what is described it is, mm.
    """

    name: str
    hand: str | None
    mirrored: bool
    forward: float

    def placed(self, at: Array) -> Array:
        """The plan point `(2,)` of this copy for a point of what is described."""
        found: Array = (at + np.array([self.forward, 0.0])) * [1.0, -1.0 if self.mirrored else 1.0]
        return found


def copies(
    ctx: Context, key: str, both_sides: bool, every: RepeatEntry | None, middle: float, *path: Key
) -> list[Copy]:
    """What an entry stands for, repeats from aft and then sides; none where the step cannot be read."""
    count = every.count if every else 1
    step = ctx.numbers.positive(every.step, *path, "every", "step") if every else 0.0
    if math.isnan(step) or math.isnan(middle):
        return []
    return [
        Copy(with_hand(f"{key}.{k + 1}" if count > 1 else key, hand), hand, mirrored, k * step)
        for k in range(count)
        for hand, mirrored in hands(both_sides, middle)
    ]


def hands(both_sides: bool, middle: float) -> list[tuple[str | None, bool]]:
    """The hands a thing is built for: [(hand, mirrored)]; as described first.

    Args:
        both_sides: whether it stands on both sides.
        middle: y of its middle as described; its sign tells which side was described.
    """
    if not both_sides:
        return [(None, False)]
    first = "port" if middle >= 0 else "starboard"
    other = "starboard" if first == "port" else "port"
    return [(first, False), (other, True)]


def with_hand(name: str, hand: str | None) -> str:
    """`side` and `port` to `side.port`."""
    return f"{name}.{hand}" if hand else name
