"""What the stock file tells: things on hand, entries of its log, and what marking a plan did."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

from cutlists.blank import Blank

What: TypeAlias = Literal["add", "take", "cut", "undo"]


@dataclass(frozen=True)
class Item:
    """One stick or sheet of the stock; numbers are never given twice.

    Attributes:
        id: its number.
        blank: what it is.
        place: where it lies, in the shop's words.
        thickness: of a sheet or mat as it was added, mm; 0 where not known.
        entry: the log entry that brought it in.
        origin: in words, where it is from, such as the boat that left it over.
        here: whether it is on hand.
    """

    id: int
    blank: Blank
    place: str
    thickness: float
    entry: int
    origin: str
    here: bool = True


@dataclass(frozen=True)
class Entry:
    """One change of the stock.

    Attributes:
        id: its number in the log.
        at: when, ISO 8601, UTC.
        what: the kind of change.
        note: in words.
        plan: identity of the plan that was marked; empty for other changes.
        undoes: the entry that it takes back.
        undone_by: the entry that took it back.
        came: numbers of the items that came in.
        went: numbers of the items that went out.
        names: of the sections and sheets that came or went.
    """

    id: int
    at: str
    what: What
    note: str
    plan: str = ""
    undoes: int | None = None
    undone_by: int | None = None
    came: tuple[int, ...] = ()
    went: tuple[int, ...] = ()
    names: tuple[str, ...] = ()


@dataclass(frozen=True)
class Marked:
    """What marking a plan as cut did.

    Attributes:
        entry: the log entry.
        taken: items of the stock that are gone.
        added: offcuts that came in.
        bought: how many sticks and sheets were bought for it and never lay in the stock.
        by_hand: what the shop file calls the offcuts that were cut up; only its owner can strike them out.
    """

    entry: Entry
    taken: tuple[Item, ...]
    added: tuple[Item, ...]
    bought: int
    by_hand: tuple[str, ...]


def numbers(ids: tuple[int, ...] | list[int]) -> str:
    """Item numbers for people: `3, 5-8`."""
    runs: list[list[int]] = []
    for number in sorted(ids):
        if runs and runs[-1][1] + 1 == number:
            runs[-1][1] = number
        else:
            runs.append([number, number])
    return ", ".join(f"{low}" if low == high else f"{low}-{high}" for low, high in runs)
