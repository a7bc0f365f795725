"""The pieces to be cut from one stock: members in the axes of the stick they come from."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from cutlists.saw_list import mark_order
from cutlists.sticks.end_classes import EndClasses
from cutlists.sticks.problem import Kind
from cutlists.sticks.shared_cuts import LONE, Ports
from model.geometry import Array
from model.member import Member
from model.member_table import MemberTable
from parts.section import Section

SAME = 1e-6


@dataclass(frozen=True, eq=False)
class Piece:
    """All pieces of one mark.

    Attributes:
        mark: the piece mark.
        names: where they go.
        member: one of them.
        lay: rotation from the member's axes to those of the stick, `(3, 3)`; it keeps x.
        length: long point to long point, mm.
        normals: of ends A and B out of the metal, in stick axes, `(2, 3)`.
        ports: of ends A and B.
    """

    mark: str
    names: tuple[str, ...]
    member: Member
    lay: Array
    length: float
    normals: Array
    ports: Ports

    @property
    def middle(self) -> float:
        """Length of the fibre at the centroid, mm: the metal in the piece over the section's area."""
        return self.member.volume / self.member.section.area


@dataclass(frozen=True, eq=False)
class StockPieces:
    """What is cut from one stock: its section as it lies, the pieces, and the saving at each vertex (mm)."""

    stock: str
    section: Section
    pieces: tuple[Piece, ...]
    worth: tuple[float, ...]
    reversible: bool

    @property
    def kinds(self) -> tuple[Kind, ...]:
        """The pieces as the solver sees them."""
        return tuple(Kind(p.mark, p.length, len(p.names), p.ports) for p in self.pieces)


def lying(section: Section, base: Section) -> Array | None:
    """The quarter turn about x that lays `section` as `base` lies, `(3, 3)`; None if it is another tube."""
    for quarter in range(4):
        c, s = ((1, 0), (0, 1), (-1, 0), (0, -1))[quarter]
        turn = np.array([(c, -s), (s, c)], dtype=np.float64)
        if all(
            len(own.points) == len(other.points) and _lands(own.points @ turn.T, other.points)
            for own, other in zip((section.outer, *section.holes), (base.outer, *base.holes), strict=True)
        ):
            found = np.eye(3)
            found[1:, 1:] = turn
            return found
    return None


def _lands(points: Array, on: Array) -> bool:
    off = np.abs(points[:, None, :] - on[None, :, :]).max(axis=2)
    return bool(off.min(axis=1).max() < SAME)


def base_section(sections: Sequence[Section], stock: str) -> Section:
    """The section as a stick of it lies: the one of the stock's own name, else the widest, tube laid flat."""
    found = min(sections, key=lambda section: (section.name != stock, -section.width, section.name))
    if found.kind not in ("rect", "flat") or found.height <= found.width:
        return found
    quarter = [(0.0, -1.0), (1.0, 0.0)]
    outer, *holes = (loop.transformed(quarter) for loop in (found.outer, *found.holes))
    return replace(found, width=found.height, height=found.width, outer=outer, holes=tuple(holes))


def stock_pieces(
    members: Sequence[Member], marks: Mapping[str, str], kerf: Callable[[str], float], tolerance: float
) -> tuple[StockPieces, ...]:
    """The pieces of each stock, stocks by name, pieces by mark; members that are cut away are left out.

    Args:
        members: of the boat.
        marks: mark of each member's name.
        kerf: of each stock, mm.
        tolerance: cut planes closer than this are made by one cut, rad.

    Raises:
        ValueError: sections of one stock name that are not one tube.
    """
    table = MemberTable(members)
    away, lengths = table.cut_away.tolist(), table.length.tolist()
    by_stock: dict[str, dict[str, list[int]]] = {}
    for place, member in enumerate(members):
        if not away[place]:
            by_stock.setdefault(member.section.stock, {}).setdefault(marks[member.name], []).append(place)
    return tuple(
        _stock(stock, groups, members, lengths, kerf(stock), tolerance)
        for stock, groups in sorted(by_stock.items())
    )


def _stock(
    stock: str,
    groups: Mapping[str, list[int]],
    members: Sequence[Member],
    lengths: Sequence[float],
    kerf: float,
    tolerance: float,
) -> StockPieces:
    sections = {members[at[0]].section.name: members[at[0]].section for at in groups.values()}
    base = base_section(list(sections.values()), stock)
    lays = {name: lying(section, base) for name, section in sections.items()}
    classes = EndClasses(base, kerf, tolerance)
    pieces = []
    for mark in sorted(groups, key=mark_order):
        first = members[groups[mark][0]]
        lay = lays[first.section.name]
        if lay is None:
            raise ValueError(f"{first.section.name} and {base.name} are both bought as {stock} but differ")
        normals = np.stack([lay @ end.normal for end in first.local_ends])
        ports = (classes.port(normals[0], is_b=False), classes.port(normals[1], is_b=True))
        names = tuple(members[place].name for place in groups[mark])
        # Pieces of one mark may differ by a hair; the longest of them sets the length.
        length = max(lengths[place] for place in groups[mark])
        pieces.append(Piece(mark, names, first, lay, length, normals, ports))
    worth = classes.worth()
    kept = [_kept(piece, worth) for piece in pieces]
    return StockPieces(stock, base, tuple(kept), worth, classes.reversible)


def _kept(piece: Piece, worth: Sequence[float]) -> Piece:
    """The piece without the ports at which sharing saves nothing."""
    one, other = ((LONE if v >= 0 and worth[v] <= SAME else (v, side)) for v, side in piece.ports)
    return Piece(piece.mark, piece.names, piece.member, piece.lay, piece.length, piece.normals, (one, other))
