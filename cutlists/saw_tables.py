"""The saw list as CSV, as a workbook, and as text that fits 100 columns."""

from __future__ import annotations

import csv
import io
import math
import re
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from cutlists.saw_list import SawList, SawRow, Totals, end_words, lies, short_names
from model.end_cut import PLAIN, EndCut, PieceCuts
from parts.lengths import format_fraction

if TYPE_CHECKING:
    from pathlib import Path

    from openpyxl.worksheet.worksheet import Worksheet
    from rich.console import Console
    from rich.text import Text

CAUTION = "Cut one piece of each mark and try it in the boat before cutting the rest."
LEGEND = (
    "long: long point to long point. short A: end A's short point to the far long point; short B alike.",
    "lies: the face that lies down, flat the wide one, edge the narrow one (base, side on square tube).",
    "pt: side of the long point seen from end A: L left, R right, T top, B bottom; tilted: d down, u up.",
    "ends: / \\ long points on one side, / / on opposite sides, | square, a number: degrees that B's long "
    "point is turned clockwise from A's.",
)
_SIDES = {"left": "L", "right": "R", "top": "T", "bottom": "B", "up": "u", "down": "d", "": ""}


def records(saw: SawList) -> list[dict[str, Any]]:
    """Every row as plain values, for CSV and JSON; lengths in mm and as marked, angles in degrees."""
    return [_record(row, saw) for row in saw.rows]


def _record(row: SawRow, saw: SawList) -> dict[str, Any]:
    told: dict[str, Any] = {"mark": row.mark, "quantity": row.quantity, "section": row.section.name}
    for name, mm in (("length", row.length), ("short_a", row.short_a), ("short_b", row.short_b)):
        told[name] = saw.shop.marked(mm)
        told[f"{name}_in"] = round(mm / 25.4, 4)
        told[f"{name}_mm"] = round(mm, 2)
    told["rounding_mm"] = round(saw.shop.rounding(row.length), 3) + 0.0
    for cut in (row.cuts.end_a, row.cuts.end_b):
        told |= {f"end_{cut.end.lower()}_{key}": value for key, value in _end_record(row, cut).items()}
    turn = row.cuts.turn
    told["turn_deg"] = None if turn is None else round(math.degrees(turn), 3) + 0.0
    told["ends"] = row.cuts.turn_words
    told["one_face_down"] = "yes" if row.cuts.same_face else "no"
    told |= {"mirror_of": row.mirror, "hand": row.hand, "mass_kg": round(row.mass, 4)}
    told["holes"] = "; ".join(hole.words(saw.shop) for hole in row.holes) or None
    told |= {"past_saw": "; ".join(row.flags) or None, "where": "; ".join(row.names)}
    return told


def _end_record(row: SawRow, cut: EndCut) -> dict[str, Any]:
    down = {"width": row.section.width, "height": row.section.height}.get(cut.face)
    return {
        "cut": end_words(row.section, cut),
        "mitre_deg": round(abs(math.degrees(cut.mitre)), 3),
        "bevel_deg": round(abs(math.degrees(cut.bevel)), 3),
        "face_down": lies(row.section, cut.face),
        "face_down_mm": None if down is None else round(down, 2),
        "long_side": cut.long_side or None,
        "long_level": cut.long_level or None,
    }


def saw_csv(saw: SawList) -> str:
    """The saw list as CSV (RFC 4180): a row of names, then a row a mark."""
    told = records(saw)
    text = io.StringIO()
    if told:
        writer = csv.DictWriter(text, list(told[0]))
        writer.writeheader()
        writer.writerows(told)
    return text.getvalue()


# --- text


def end_cell(row: SawRow, cut: EndCut) -> str:
    """An end in 19 letters: mitre, tilt, which face lies down, side of the long point."""
    if cut.is_square:
        return "square"
    plain_mitre, tilt = abs(math.degrees(cut.mitre)), abs(math.degrees(cut.bevel))
    mitre = f"{plain_mitre:5.2f}" if abs(cut.mitre) >= PLAIN else "    -"
    bevel = f"{tilt:5.2f}" if cut.is_compound else "    -"
    sides = _SIDES[cut.long_side] + _SIDES[cut.long_level]
    return f"{mitre} {bevel} {lies(row.section, cut.face):4s} {sides}"


def ends_cell(cuts: PieceCuts) -> str:
    """The pattern of the two ends, or the turn in degrees when they are skew."""
    skew = cuts.turn is not None and cuts.pattern == "/ x"
    return f"{math.degrees(cuts.turn or 0.0):+.2f}" if skew else cuts.pattern


_HEAD = (
    f"{'':50s}{'----- end A -----':19s} {'----- end B -----':19s}",
    f"{'mark':5s} {'no':>3s}  {'long':10s} {'mm':>7s}  {'short A':9s} {'short B':9s} "
    f"{'mitre  tilt lies pt':19s} {'mitre  tilt lies pt':19s} ends",
)


def _lines(row: SawRow, saw: SawList) -> tuple[str, str, str, str]:
    """The numbers, where the pieces go, holes and flags of a row; the first two fit 100 columns."""
    marked, cuts = saw.shop.marked, row.cuts
    numbers = (
        f"{row.mark:5s} {row.quantity:3d}  {marked(row.length):10s} {row.length:7.1f}  "
        f"{marked(row.short_a):9s} {marked(row.short_b):9s} "
        f"{end_cell(row, cuts.end_a):19s} {end_cell(row, cuts.end_b):19s} {ends_cell(cuts)}"
    )
    note = f"   ({row.mirror_note})" if row.mirror else ""
    where = " " * 11 + short_names(row.names, 86 - len(note)) + note
    drill = f"{'':11s}drill {'; '.join(hole.words(saw.shop) for hole in row.holes)}" if row.holes else ""
    flags = f"{'':11s}past the saw: {'; '.join(row.flags)}" if row.flags else ""
    return numbers.rstrip(), where, drill, flags


def _sum_line(totals: Totals, saw: SawList) -> str:
    feet = format_fraction(totals.length, saw.shop.denominator, feet=True)
    return (
        f"{_count(totals.marks, 'mark')}, {_count(totals.pieces, 'piece')}, "
        f"{feet} ({totals.length / 1000.0:.2f} m), {totals.mass:.2f} kg"
    )


def _count(number: int, word: str) -> str:
    return f"{number} {word}" if number == 1 else f"{number} {word}s"


def _rounding_line(totals: Totals, saw: SawList) -> str:
    return (
        f"Marking to 1/{saw.shop.denominator} in: {totals.rounding:+.2f} mm over all pieces, "
        f"greatest on one {totals.worst:+.2f} mm ({totals.worst_mark or 'none'})."
    )


def saw_text(saw: SawList) -> list[Text]:
    """The saw list as styled lines, none longer than 100 columns; without colour they read as well."""
    from rich.text import Text

    found: list[Text] = []
    for name, rows in saw.by_section.items():
        found += [Text(f"{name}: {_sum_line(Totals.of(rows, saw.shop), saw)}", style="bold"), Text()]
        found += [Text(line.rstrip(), style="dim") for line in _HEAD]
        for row in rows:
            numbers, where, drill, flags = _lines(row, saw)
            found += [Text(numbers), Text(where, style="dim")]
            found += [Text(line) for line in _wrapped(drill)]
            found += [Text(line, style="bold red") for line in _wrapped(flags)]
        found.append(Text())
    closing = [_rounding_line(Totals.of(saw.rows, saw.shop), saw), *LEGEND, CAUTION]
    if saw.left_out:
        closing.insert(0, f"No piece, its own end cuts meet: {', '.join(saw.left_out)}")
    return found + [Text(line) for text in closing for line in _wrapped(text)]


def _wrapped(text: str, width: int = 100) -> list[str]:
    import textwrap

    indent = " " * (len(text) - len(text.lstrip()))
    return textwrap.wrap(text, width, subsequent_indent=indent, break_long_words=True, break_on_hyphens=False)


def print_saw_list(saw: SawList, console: Console | None = None) -> None:
    """Print the saw list; plain text when the output is piped."""
    from rich.console import Console

    out = console or Console(highlight=False)
    for line in saw_text(saw):
        out.print(line, soft_wrap=True)


# --- workbook

_COLUMNS: tuple[tuple[str, float], ...] = (
    ("Mark", 7), ("No", 5), ("Long to long", 13), ("in", 9), ("mm", 9), ("Short A", 10), ("mm", 9),
    ("Short B", 10), ("mm", 9), ("End A", 42), ("End B", 42), ("Ends", 26), ("Mirror image", 24),
    ("kg each", 9), ("Holes", 34), ("Past the saw", 34), ("Where", 60),
)  # fmt: skip


def _cells(row: SawRow, saw: SawList) -> list[Any]:
    marked, section = saw.shop.marked, row.section
    return [
        row.mark,
        row.quantity,
        marked(row.length),
        round(row.length / 25.4, 3),
        round(row.length, 1),
        marked(row.short_a),
        round(row.short_a, 1),
        marked(row.short_b),
        round(row.short_b, 1),
        end_words(section, row.cuts.end_a),
        end_words(section, row.cuts.end_b),
        row.cuts.turn_words,
        row.mirror_note,
        round(row.mass, 3),
        "; ".join(hole.words(saw.shop) for hole in row.holes),
        "; ".join(row.flags),
        ", ".join(row.names),
    ]


def write_saw_xlsx(saw: SawList, path: Path) -> None:
    """Write the workbook: a summary, then a sheet a section with its header kept in sight."""
    from openpyxl import Workbook

    book = Workbook()
    summary = book.active
    assert summary is not None
    summary.title = "Summary"
    _fill_summary(summary, saw)
    titles: set[str] = {"summary"}
    for name, rows in saw.by_section.items():
        sheet = book.create_sheet(_sheet_title(name, titles))
        _head(sheet, _COLUMNS, 1)
        for row in rows:
            _append(sheet, _cells(row, saw), wrapped=(15, 16, 17))
    book.save(path)


def _fill_summary(sheet: Worksheet, saw: SawList) -> None:
    widths = (
        ("Section", 28), ("Marks", 8), ("Pieces", 8), ("Length, feet", 14), ("Length, m", 11), ("kg", 9),
        ("Rounding, mm", 14), ("Greatest, mm", 14), ("on", 7), ("Past the saw", 13),
    )  # fmt: skip
    _head(sheet, widths, 1)
    groups = [*saw.by_section.items(), ("all", saw.rows)]
    for name, rows in groups:
        t = Totals.of(rows, saw.shop)
        feet = format_fraction(t.length, saw.shop.denominator, feet=True)
        sums = [t.marks, t.pieces, feet, round(t.length / 1000, 3), round(t.mass, 2)]
        _append(sheet, [name, *sums, round(t.rounding, 2), round(t.worst, 2), t.worst_mark, t.flagged])
    _append(sheet, [])
    notes = [f"Lengths are marked to 1/{saw.shop.denominator} in; rounding is marked less exact.", CAUTION]
    notes += [f"No piece, its own end cuts meet: {name}" for name in saw.left_out]
    for note in notes:
        _append(sheet, [note])


def _head(sheet: Worksheet, columns: Sequence[tuple[str, float]], row: int) -> None:
    """The header row: bold on a pale ground, frozen, repeated on every printed page."""
    from openpyxl.styles import Alignment, Font, PatternFill
    from openpyxl.utils import get_column_letter
    from openpyxl.worksheet.properties import PageSetupProperties

    for place, (title, width) in enumerate(columns, start=1):
        cell = sheet.cell(row, place, title)
        cell.font, cell.fill = Font(bold=True), PatternFill("solid", fgColor="FFDDE4E6")
        cell.alignment = Alignment(vertical="center", wrap_text=True)
        sheet.column_dimensions[get_column_letter(place)].width = width
    sheet.freeze_panes = f"B{row + 1}"
    sheet.print_title_rows = f"{row}:{row}"
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.fitToHeight = 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)


def _append(sheet: Worksheet, values: Sequence[Any], wrapped: Sequence[int] = ()) -> None:
    """Add a row; text stays text even where it begins like a formula."""
    from openpyxl.styles import Alignment

    row = sheet.max_row + 1
    for place, value in enumerate(values or [""], start=1):
        cell = sheet.cell(row, place, value)
        if isinstance(value, str):
            cell.data_type = "s"
        cell.alignment = Alignment(vertical="top", wrap_text=place in wrapped)


def _sheet_title(name: str, taken: set[str]) -> str:
    """A sheet's title: no letter that workbooks refuse, 31 at most, unlike every other."""
    plain = re.sub(r"[\[\]:*?/\\']", "-", name)[:31].strip() or "section"
    title, count = plain, 1
    while title.lower() in taken:
        count += 1
        title = f"{plain[:27]} ({count})"
    taken.add(title.lower())
    return title
