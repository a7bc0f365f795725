"""The card of one piece: its numbers as the shop reads them, and its drawing."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from cutlists.outline_dxf import Units
from cutlists.outline_svg import outline_svg
from cutlists.piece_drawing import piece_svg
from cutlists.saw_list import end_words
from parts.lengths import format_length

if TYPE_CHECKING:
    from app.preview.tables import Lists
    from model.boat import Boat
    from model.panel import Panel
    from model.strip import Strip


def card_of(boat: Boat, lists: Lists, name: str) -> dict[str, Any] | None:
    """What there is to say of a piece, and its drawing as SVG; None where the boat has no such piece."""
    row = next((row for row in lists.saw.rows if name in row.names), None)
    if row is not None:
        marked = lists.saw.shop.marked
        lines = [
            ("cut", f"{row.quantity} of {row.section.name}"),
            ("long point to long point", f"{marked(row.length)} ({row.length:.1f} mm)"),
            ("end A", end_words(row.section, row.cuts.end_a)),
            ("end B", end_words(row.section, row.cuts.end_b)),
            ("mass", f"{row.mass:.3f} kg"),
        ]
        lines += [("hand", row.mirror_note)] if row.mirror else []
        lines += [("past the saw", "; ".join(row.flags))] if row.flags else []
        return {"name": name, "mark": row.mark, "lines": lines, "svg": piece_svg(row, lists.saw.shop)}
    sheet = _sheet(boat, name)
    if sheet is not None:
        return _sheet_card(boat, sheet)
    fixture = next((fixture for fixture in boat.fixtures if fixture.name == name), None)
    if fixture is None:
        return None
    lines = [("kind", fixture.kind), ("part", getattr(fixture.part, "name", "") or "made to order")]
    lines += [(key.replace("_", " "), format_length(size, boat.units)) for key, size in fixture.order.items()]
    return {"name": name, "mark": "", "lines": [*lines, ("mass", f"{fixture.mass:.2f} kg")], "svg": ""}


def _sheet(boat: Boat, name: str) -> Panel | Strip | None:
    pieces: tuple[Panel | Strip, ...] = (*boat.panels, *boat.strips)
    return next((piece for piece in pieces if piece.name == name), None)


def _sheet_card(boat: Boat, piece: Panel | Strip) -> dict[str, Any]:
    mark = boat.marks[piece.name]
    count = sum(1 for other in boat.marks.values() if other == mark)
    length, width = piece.cut_extents
    lines = [
        ("cut", f"{count} of {piece.sheet.name}"),
        ("what", piece.role),
        ("size as cut", f"{format_length(length, boat.units)} x {format_length(width, boat.units)}"),
        ("mass", f"{piece.mass:.2f} kg"),
    ]
    units: Units = "in" if boat.units in ("in", "ft") else "mm"
    return {"name": piece.name, "mark": mark, "lines": lines, "svg": outline_svg(piece, mark, count, units)}
