"""The tables beside the view, as plain cells; each row knows the pieces it is about."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from app.preview.pieces import ShownPiece, loose_piece
from cutlists.afloat.live import NOTE, live_leaf
from cutlists.panel_list import PanelRow, panel_rows
from cutlists.saw_list import SawList, SawRow, Totals, lies, saw_list
from model.end_cut import PLAIN, EndCut
from model.hydrostatics.afloat import weight_and_trim
from model.member_table import MemberTable
from parts.amounts import POUND
from parts.lengths import format_fraction, format_length

if TYPE_CHECKING:
    from cutlists.shop_file import Shop
    from model.boat import Boat
    from model.findings import Finding
    from model.panel import Panel
    from model.strip import Strip

FOUND, FOUND_COLOUR = "found", "#b3125a"


@dataclass(frozen=True)
class Table:
    """A table to show.

    Attributes:
        heads: of the columns.
        right: columns that are set to the right, as numbers are.
        wide: columns shown only where there is room.
        rows: each with its key, the names of its pieces and its cells.
        foot: sums, in words.
    """

    heads: tuple[str, ...]
    right: tuple[int, ...]
    wide: tuple[int, ...]
    rows: tuple[tuple[str, tuple[str, ...], tuple[str, ...]], ...]
    foot: str

    def plain(self) -> dict[str, Any]:
        """As a page is told."""
        return {
            "heads": self.heads,
            "right": self.right,
            "wide": self.wide,
            "rows": [{"key": key, "names": names, "cells": cells} for key, names, cells in self.rows],
            "foot": self.foot,
        }


@dataclass(frozen=True, eq=False)
class Weighed:
    """What a boat's pieces weigh by kind (how many, kg), and how she lies with nobody aboard."""

    weights: tuple[tuple[str, int, float], ...]
    afloat: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, eq=False)
class Lists:
    """The lists of one boat that its tables and comparisons are made from."""

    saw: SawList
    sheets: tuple[PanelRow, ...]
    weighed: Weighed
    units: str


def weighed(boat: Boat, table: MemberTable | None = None) -> Weighed:
    """The weights of a boat; `table` is that of its members, where it is there already."""
    table = table or MemberTable(boat.members)
    panels: tuple[Panel | Strip, ...] = (*boat.panels, *boat.strips)
    lids = [fixture.mass for fixture in boat.fixtures if fixture.kind == "lid"]
    others = [fixture.mass for fixture in boat.fixtures if fixture.kind != "lid"]
    weights = (
        ("frame", len(boat.members), float(table.mass.sum())),
        ("sheet", len(panels), sum(panel.mass for panel in panels)),
        ("lids", len(lids), sum(lids)),
        ("fittings", len(others), sum(others)),
    )
    rows = live_leaf(weight_and_trim(boat), boat.units).rows
    return Weighed(weights, tuple((str(row[0]), str(row[1])) for row in rows))


def lists_of(boat: Boat, shop: Shop, known: Weighed | None = None) -> Lists:
    """The lists of a boat, by the settings of a shop; `known` are its weights, if they are there already."""
    table = MemberTable(boat.members)
    panels: tuple[Panel | Strip, ...] = (*boat.panels, *boat.strips)
    saw = saw_list(boat.members, boat.marks, shop.saw, table)
    return Lists(saw, tuple(panel_rows(panels, boat.marks)), known or weighed(boat, table), boat.units)


def saw_table(lists: Lists) -> Table:
    """The saw list."""
    saw = lists.saw
    totals = Totals.of(saw.rows, saw.shop)
    foot = (
        f"{totals.pieces} pieces of {totals.marks} marks, "
        f"{format_fraction(totals.length, saw.shop.denominator, feet=True)}, {totals.mass:.2f} kg"
    )
    heads = ("mark", "no.", "length", "end A", "end B", "mm", "short A", "short B", "tube",
             "hand")  # fmt: skip
    return Table(heads, (1, 5), (5, 6, 7, 8, 9), tuple(_saw_row(row, saw) for row in saw.rows), foot)


def _saw_row(row: SawRow, saw: SawList) -> tuple[str, tuple[str, ...], tuple[str, ...]]:
    marked = saw.shop.marked
    cells = (
        row.mark,
        str(row.quantity),
        marked(row.length),
        _end(row, row.cuts.end_a),
        _end(row, row.cuts.end_b),
        f"{row.length:.1f}",
        marked(row.short_a),
        marked(row.short_b),
        row.section.name,
        row.mirror_note,
    )
    return row.mark, row.names, cells


def _end(row: SawRow, cut: EndCut) -> str:
    """An end in few letters: `45.00°, edge, long left`; in full it stands on the piece's card."""
    if cut.is_square:
        return "square"
    angles = [f"{abs(math.degrees(cut.mitre)):.2f}°"] if abs(cut.mitre) >= PLAIN else []
    angles += [f"tilt {abs(math.degrees(cut.bevel)):.2f}°"] if cut.is_compound else []
    down = [lies(row.section, cut.face)] if cut.face != "round" else []
    side = [f"long {cut.long_side}"] if cut.long_side else []
    return ", ".join((*angles, *down, *side))


def sheet_table(lists: Lists) -> Table:
    """What is cut from sheet."""
    total = sum(row.total for row in lists.sheets)
    area = sum(row.area * row.quantity for row in lists.sheets)
    count = sum(row.quantity for row in lists.sheets)
    rows = tuple(
        (
            row.mark,
            row.names,
            (
                row.mark,
                str(row.quantity),
                f"{format_length(row.width, lists.units)} x {format_length(row.length, lists.units)}",
                row.role,
                row.sheet,
                f"{row.area:.3f}",
                f"{row.mass:.2f}",
            ),
        )
        for row in lists.sheets
    )
    heads = ("mark", "no.", "width x length", "what", "sheet", "m2 each", "kg each")
    foot = f"{count} pieces of {len(lists.sheets)} marks, {area:.2f} m2, {total:.2f} kg"
    return Table(heads, (1, 5, 6), (4, 5, 6), rows, foot)


def weight_table(found: Weighed) -> Table:
    """Weights by kind of piece, then how she lies with nobody aboard."""
    pieces = tuple(
        (name, (), (name, str(count), f"{mass:.2f}", f"{mass / POUND:.1f}"))
        for name, count, mass in found.weights
    )
    total = sum(mass for _, _, mass in found.weights)
    afloat = tuple((name, (), (name, "", value, "")) for name, value in found.afloat)
    foot = (
        f"{total:.2f} kg, {total / POUND:.1f} lb of pieces, without the hull itself, motor, people and gear. "
        f"{NOTE}"
    )
    return Table(("what", "no.", "kg", "lb"), (1, 2, 3), (), (*pieces, *afloat), foot)


def finding_rows(findings: Sequence[Finding]) -> list[dict[str, Any]]:
    """Findings as a page is told: which pieces, what, the cure, where, and the line of the file."""
    return [
        {
            "kind": finding.kind,
            "pieces": list(finding.pieces),
            "what": finding.what,
            "cure": finding.cure,
            "where": None if finding.where is None else [round(float(v), 1) for v in finding.where],
            "line": finding.place.line if finding.place else None,
            "key": finding.place.key if finding.place else "",
            "shows": list(finding_pieces([finding])),
        }
        for finding in findings
    ]


def finding_pieces(findings: Sequence[Finding]) -> dict[str, ShownPiece]:
    """What findings show that is no piece of the boat, such as standing water; seen while one is followed."""
    found = {}
    for finding in findings:
        for shown in finding.shown:
            piece = loose_piece("", (FOUND,), finding.kind, FOUND_COLOUR, shown.mesh.triangles)
            name = f"{FOUND}/{shown.name}/{piece.shape}"
            found[name] = replace(piece, name=name)
    return found
