"""The saw list: one row for each piece mark, with lengths, saw settings, hand and where the pieces go."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from model.end_cut import EndCut, PieceCuts, SawLimits, cut_piece
from model.member import Member
from model.member_table import MemberTable
from model.sameness import forms, mirror_images
from parts.lengths import format_fraction, parse_length
from parts.section import Section


@dataclass(frozen=True, slots=True)
class ShopSaw:
    """What the shop marks with (inches to 1/`denominator`) and what its saw reaches."""

    denominator: int = 16
    limits: SawLimits = field(default_factory=SawLimits)

    def marked(self, mm: float) -> str:
        """A length as the shop marks it, such as `63-1/4"`."""
        return format_fraction(mm, self.denominator)

    def rounding(self, mm: float) -> float:
        """What marking adds to a length (negative: takes off), mm."""
        return parse_length(self.marked(mm), "in") - mm


@dataclass(frozen=True, slots=True)
class DrillMark:
    """A hole as it is marked out: drilled right through from one face to the opposite one.

    Attributes:
        from_a: from the long point of end A to its middle, along the piece, mm.
        face: the face it is marked on: "left" (through to the right) or "top" (through to the bottom).
        edge: the edge of that face it is measured from: "bottom" or "right".
        from_edge: from that edge to its middle, mm.
        diameter: mm.
    """

    from_a: float
    face: str
    edge: str
    from_edge: float
    diameter: float

    def words(self, shop: ShopSaw) -> str:
        """Such as `1/2" at 8-29/32" from A, 3/8" from bottom, left to right`."""
        other = {"left": "right", "top": "bottom"}[self.face]
        size, along, up = (format_fraction(v, 32) for v in (self.diameter, self.from_a, self.from_edge))
        return f"{size} at {along} from A, {up} from {self.edge}, {self.face} to {other}"


def drill_marks(member: Member) -> tuple[DrillMark, ...]:
    """The holes of a member from end A."""
    if not member.holes:
        return ()
    start, section = float(member.prism.near_long[0]), member.section
    found = []
    for hole in sorted(member.holes, key=lambda hole: hole.along):
        side = hole.runs == "width"
        half = (section.height if side else section.width) / 2.0
        marked = ("left", "bottom") if side else ("top", "right")
        found.append(DrillMark(hole.along - start, *marked, hole.off + half, hole.diameter))
    return tuple(found)


@dataclass(frozen=True, eq=False, slots=True)
class SawRow:
    """All pieces of one mark.

    Attributes:
        mark: the piece mark.
        member: the piece that stands for them all; ends A and B are its.
        names: where the pieces go, in list order.
        length: long point to long point, mm.
        short_a: from the short point of end A to the long point of end B, mm.
        short_b: from the short point of end B to the long point of end A, mm.
        mass: of one piece, kg.
        cuts: saw settings of both ends.
        mirror: mark of the mirror image, when it is in the list too.
        hand: "port" or "starboard" when the mirror image goes on the other side.
        holes: drilled through after sawing.
    """

    mark: str
    member: Member
    names: tuple[str, ...]
    length: float
    short_a: float
    short_b: float
    mass: float
    cuts: PieceCuts
    mirror: str | None
    hand: str | None
    holes: tuple[DrillMark, ...] = ()

    @property
    def quantity(self) -> int:
        """How many are cut."""
        return len(self.names)

    @property
    def section(self) -> Section:
        """What they are cut from."""
        return self.member.section

    @property
    def flags(self) -> tuple[str, ...]:
        """What is past the saw."""
        return self.cuts.flags

    @property
    def mirror_note(self) -> str:
        """The mirror image in words, such as `port, mirror of F13`; empty when there is none."""
        if self.mirror is None:
            return ""
        return f"{self.hand}, mirror of {self.mirror}" if self.hand else f"mirror of {self.mirror}"


@dataclass(frozen=True, eq=False, slots=True)
class SawList:
    """Rows by mark; `left_out` names the members that have no piece because their own cuts meet."""

    rows: tuple[SawRow, ...]
    shop: ShopSaw
    left_out: tuple[str, ...]

    @property
    def by_section(self) -> dict[str, tuple[SawRow, ...]]:
        """The rows of each section, sections by name."""
        names = sorted({row.section.name for row in self.rows})
        return {name: tuple(row for row in self.rows if row.section.name == name) for name in names}


@dataclass(frozen=True, slots=True)
class Totals:
    """Sums over rows: pieces, length (mm), mass (kg), and what marking them does (mm).

    `rounding` is the sum over all pieces of marked less exact length; `worst` the greatest single one, of
    the mark `worst_mark`.
    """

    marks: int
    pieces: int
    length: float
    mass: float
    rounding: float
    worst: float
    worst_mark: str
    flagged: int

    @classmethod
    def of(cls, rows: Sequence[SawRow], shop: ShopSaw) -> Totals:
        """The sums over `rows`."""
        off = [(shop.rounding(row.length), row) for row in rows]
        worst, worst_mark = max(
            ((error, row.mark) for error, row in off), key=lambda pair: abs(pair[0]), default=(0.0, "")
        )
        return cls(
            len(rows),
            sum(row.quantity for row in rows),
            sum(row.length * row.quantity for row in rows),
            sum(row.mass * row.quantity for row in rows),
            sum(error * row.quantity for error, row in off),
            worst,
            worst_mark,
            sum(row.quantity for row in rows if row.flags),
        )


def saw_list(
    members: Sequence[Member],
    marks: Mapping[str, str],
    shop: ShopSaw | None = None,
    table: MemberTable | None = None,
) -> SawList:
    """The saw list of `members`.

    Args:
        members: pieces with different names.
        marks: mark of each member's name; members of one mark are the same piece.
        shop: what the shop marks with and its saw.
        table: the members' numbers, when already at hand.

    Raises:
        KeyError: a member has no mark.
    """
    shop = shop or ShopSaw()
    told = table or MemberTable(members)
    away = told.cut_away.tolist()
    places: dict[str, list[int]] = {}
    for place, member in enumerate(members):
        if not away[place]:
            places.setdefault(marks[member.name], []).append(place)
    hands = _hands(members, told, places)
    rows = [
        _row(mark, members, told, places[mark], shop, hands.get(mark, (None, None)))
        for mark in sorted(places, key=mark_order)
    ]
    left_out = tuple(member.name for member, gone in zip(members, away, strict=True) if gone)
    return SawList(tuple(rows), shop, left_out)


def mark_order(mark: str) -> tuple[str, int, str]:
    """A key that sorts F2 before F12."""
    found = re.fullmatch(r"(\D*)(\d+)(.*)", mark)
    return (found[1], int(found[2]), found[3]) if found else (mark, 0, "")


def _row(
    mark: str,
    members: Sequence[Member],
    table: MemberTable,
    places: list[int],
    shop: ShopSaw,
    hand: tuple[str | None, str | None],
) -> SawRow:
    first = places[0]
    member = members[first]
    short_a, short_b = table.short_lengths[first].tolist()
    return SawRow(
        mark,
        member,
        tuple(members[place].name for place in places),
        float(table.length[first]),
        short_a,
        short_b,
        float(table.mass[first]),
        cut_piece(member, shop.limits),
        *hand,
        drill_marks(member),
    )


def _hands(
    members: Sequence[Member], table: MemberTable, places: Mapping[str, list[int]]
) -> dict[str, tuple[str | None, str | None]]:
    """For each mark whose mirror image has a mark too: that mark, and the side of the boat this one is on."""
    every = forms(members, table)
    told = {mark: every[at[0]] for mark, at in places.items()}
    pairs = mirror_images(told)
    side = {mark: float(np.mean(table.centre[at, 1])) for mark, at in places.items()}
    found: dict[str, tuple[str | None, str | None]] = {}
    for mark, other in pairs.items():
        across = side[mark] * side[other] < 0.0
        found[mark] = (other, ("port" if side[mark] > 0.0 else "starboard") if across else None)
    return found


def lies(section: Section, face: str) -> str:
    """How a piece lies on the saw: "flat", "edge", on a square section "base" or "side", "any" when round.

    Flat has the wider face down. The base of a square section is its bottom, the side its left.
    """
    if face == "round":
        return "any"
    if math.isclose(section.width, section.height, abs_tol=0.01):
        return "base" if face == "width" else "side"
    return "flat" if (face == "width") == (section.width > section.height) else "edge"


def end_words(section: Section, cut: EndCut) -> str:
    """An end cut in words: `mitre 31.62, tilt 33.86 deg, flat, long left, up`, or `square`."""
    if cut.is_square:
        return "square"
    angles = [f"mitre {abs(math.degrees(cut.mitre)):.2f}"] if cut.long_side or cut.face == "round" else []
    angles += [f"tilt {abs(math.degrees(cut.bevel)):.2f}"] if cut.is_compound else []
    sides = [part for part in (cut.long_side, cut.long_level) if part]
    words = [", ".join(angles) + " deg"]
    words += [lies(section, cut.face)] if cut.face != "round" else []
    words += ["long " + ", ".join(sides)] if sides else []
    return ", ".join(words)


def short_names(names: Sequence[str], width: int = 60) -> str:
    """Names in few letters: `deck/beam.1, deck/beam.2, deck/beam.3` become `deck/beam.1-3`.

    Runs of numbers are drawn together; what does not fit in `width` is counted: `deck/beam.1-3 and 4 more`.
    """
    runs: list[tuple[str, int, int, int]] = []  # stem, first, last, pieces; -1 where there is no number
    for name in names:
        found = re.fullmatch(r"(.*?)(\d+)", name)
        stem, number = (found[1], int(found[2])) if found else (name, -1)
        if runs and number >= 0 and runs[-1][0] == stem and runs[-1][2] + 1 == number:
            stem, first, _, count = runs.pop()
            runs.append((stem, first, number, count + 1))
        else:
            runs.append((stem, number, number, 1))
    told, left = "", len(names)
    for stem, first, last, count in runs:
        text = stem if first < 0 else f"{stem}{first}" if first == last else f"{stem}{first}-{last}"
        joined = f"{told}, {text}" if told else text
        rest = f" and {left - count} more" if left > count else ""
        if told and len(joined + rest) > width:
            return f"{told} and {left} more"
        told, left = joined, left - count
    return told
