"""The stock as lines of a terminal, of at most 100 letters."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from itertools import groupby
from pathlib import Path

from app.columns import columns
from cutlists.blank import Blank
from cutlists.shop_file import Shop
from cutlists.store.records import Entry, Item, Marked, numbers
from cutlists.store.stock import told_items
from parts.lengths import format_length


def item_lines(items: Sequence[Item], shop: Shop) -> Iterator[str]:
    """What is on hand, like things on one line, and a line that sums up."""

    def alike(item: Item) -> tuple[Blank, str, str]:
        return item.blank, item.place, item.origin

    rows = []
    for (blank, place, origin), group in groupby(items, alike):
        ids = [item.id for item in group]
        size = blank.size(shop.units, shop.saw.denominator)
        rows.append([numbers(ids), str(len(ids)), blank.kind, blank.name, size, place, origin])
    if rows:
        yield from columns(("item", "no", "", "name", "size", "place", "from"), rows, right=(1,))
    yield _sums(items, shop)


def _sums(items: Sequence[Item], shop: Shop) -> str:
    told = []
    for kind, plural in (("stick", "sticks"), ("sheet", "sheets"), ("mat", "mat sheets")):
        found = [item.blank.extent for item in items if item.blank.kind == kind]
        if found:
            whole = sum(found)
            feet = "ft" if shop.units in ("in", "ft") else "m"
            extent = format_length(whole, feet) if kind == "stick" else f"{whole * 1e-6:.2f} m2"
            told.append(f"{len(found)} {plural if len(found) > 1 else plural[:-1]}, {extent}")
    return "; ".join(told) if told else "nothing is on hand"


def entry_lines(entries: Sequence[Entry]) -> Iterator[str]:
    """Entries of the log, one a line."""
    rows = [
        [
            str(entry.id),
            _local(entry.at),
            entry.what,
            entry.note,
            _moves(entry),
            ", ".join(entry.names),
            _standing(entry),
        ]
        for entry in entries
    ]
    if rows:
        yield from columns(("entry", "when", "what", "note", "items", "of", ""), rows, right=(0,))
    else:
        yield "nothing was changed yet"


def _moves(entry: Entry) -> str:
    came = f"+ {numbers(list(entry.came))}" if entry.came else ""
    went = f"- {numbers(list(entry.went))}" if entry.went else ""
    return "  ".join(part for part in (went, came) if part)


def _standing(entry: Entry) -> str:
    return f"undone by {entry.undone_by}" if entry.undone_by is not None else ""


def _local(at: str) -> str:
    return datetime.fromisoformat(at).astimezone().strftime("%Y-%m-%d %H:%M")


def marked_lines(done: Marked, folder: Path) -> Iterator[str]:
    """What marking a plan did."""
    yield f"marked as cut: {folder}, entry {done.entry.id} of the log"
    if done.taken:
        yield f"  out of the stock: {told_items(done.taken)}"
    if done.bought:
        yield f"  bought and cut at once: {done.bought}"
    if done.added:
        yield f"  offcuts into the stock: {told_items(done.added)}"
    for label in done.by_hand:
        yield f"  cut up: '{label}' of the shop file; strike it out there"
