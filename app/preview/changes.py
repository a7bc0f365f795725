"""What a change did to the cut lists: mark by mark, before and after, and the sums."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from app.preview.tables import Lists
from cutlists.saw_list import mark_order, short_names
from parts.lengths import format_length

if TYPE_CHECKING:
    from cutlists.saw_list import SawRow

NOTICED = 0.05
"""Lengths nearer than this, mm, are the same; far finer than anyone marks."""


@dataclass(frozen=True)
class _Cut:
    """What one piece is cut as."""

    mark: str
    words: str
    size: tuple[float, ...]


def change_of(before: Lists, after: Lists) -> dict[str, Any]:
    """The change as a page is told: rows of (names, mark and size before, after), and sums before and after.

    A piece that kept its mark was not touched: marks follow the piece.
    """
    old, new = dict(_cuts(before)), dict(_cuts(after))
    groups: dict[tuple[str, str, str, str], list[str]] = {}
    for name in dict.fromkeys((*old, *new)):
        was, now = old.get(name), new.get(name)
        if was is not None and now is not None and _same(was, now):
            continue
        key = (was.mark if was else "", was.words if was else "", now.mark if now else "",
               now.words if now else "")  # fmt: skip
        groups.setdefault(key, []).append(name)
    order = sorted(groups, key=lambda key: (mark_order(key[0] or key[2]), mark_order(key[2])))
    rows = [
        {
            "names": groups[key],
            "said": short_names(groups[key], 48),
            "count": len(groups[key]),
            "before": {"mark": key[0], "size": key[1]},
            "after": {"mark": key[2], "size": key[3]},
        }
        for key in order
    ]
    return {"rows": rows, "sums": list(_sums(before, after)), "units": after.units}


def _same(was: _Cut, now: _Cut) -> bool:
    if was.mark != now.mark or len(was.size) != len(now.size):
        return False
    return all(abs(a - b) < NOTICED for a, b in zip(was.size, now.size, strict=True))


def _cuts(lists: Lists) -> Iterator[tuple[str, _Cut]]:
    marked = lists.saw.shop.marked
    for row in lists.saw.rows:
        cut = _Cut(row.mark, f"{marked(row.length)}{_angles(row)}", (row.length, row.short_a, row.short_b))
        yield from ((name, cut) for name in row.names)
    for sheet in lists.sheets:
        size = (sheet.width, sheet.length, sheet.area)
        words = " x ".join(format_length(side, lists.units) for side in size[:2])
        cut = _Cut(sheet.mark, words, size)
        yield from ((name, cut) for name in sheet.names)


def _angles(row: SawRow) -> str:
    """Whether its ends are square or cut at an angle; the angles stand in the saw list."""
    square = sum(cut.is_square for cut in (row.cuts.end_a, row.cuts.end_b))
    return {2: "", 1: " /", 0: " //"}[square]


def _sums(before: Lists, after: Lists) -> Iterator[dict[str, str]]:
    """Pieces, marks, lengths of tube, masses and how she lies, where they differ or not."""
    for what, was, now in (
        ("tube, pieces", _pieces(before), _pieces(after)),
        ("tube, marks", len(before.saw.rows), len(after.saw.rows)),
        ("sheet, pieces", sum(r.quantity for r in before.sheets), sum(r.quantity for r in after.sheets)),
    ):
        yield _sum(what, str(was), str(now))
    lengths = _by_tube(before), _by_tube(after)
    for tube in sorted({*lengths[0], *lengths[1]}):
        was_long, now_long = (format_length(found.get(tube, 0.0), after.units) for found in lengths)
        yield _sum(tube, was_long, now_long)
    weights = [{name: mass for name, _, mass in lists.weighed.weights} for lists in (before, after)]
    for name in weights[1]:
        yield _sum(f"{name}, kg", f"{weights[0].get(name, 0.0):.2f}", f"{weights[1][name]:.2f}")
    yield _sum("in all, kg", *(f"{sum(found.values()):.2f}" for found in weights))
    was_afloat = dict(before.weighed.afloat)
    for name, now_lies in after.weighed.afloat:
        yield _sum(name, was_afloat.get(name, ""), now_lies)


def _sum(what: str, before: str, after: str) -> dict[str, str]:
    return {"what": what, "before": before, "after": after}


def _pieces(lists: Lists) -> int:
    return sum(row.quantity for row in lists.saw.rows)


def _by_tube(lists: Lists) -> Mapping[str, float]:
    found: dict[str, float] = {}
    for row in lists.saw.rows:
        found[row.section.name] = found.get(row.section.name, 0.0) + row.length * row.quantity
    return found
