"""What a change costs: the difference of two quotes by line, by piece and by step, each adding up exactly."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal, TypeAlias

from cutlists.price.money import NOTHING
from cutlists.price.records import Line, Piece, Quote

How: TypeAlias = Literal["new", "gone", "changed"]


@dataclass(frozen=True)
class LineChange:
    """A line that came, went or changed; None where there was or is none."""

    before: Line | None
    after: Line | None

    @property
    def line(self) -> Line:
        """As it is now, or was."""
        found = self.after or self.before
        assert found is not None
        return found

    @property
    def how(self) -> How:
        """Whether it came, went or changed."""
        return "new" if self.before is None else "gone" if self.after is None else "changed"

    @property
    def money(self) -> Decimal:
        """What it adds to the cost."""
        return _amount(self.after) - _amount(self.before)

    @property
    def words(self) -> str:
        """What changed about it: how much of it, its price, whether it has one."""
        if self.before is None or self.after is None:
            line = self.line
            return f"{line.quantity:g} {line.unit}".strip() + (" (no price)" if line.amount is None else "")
        one, other = self.before, self.after
        told = []
        if one.quantity != other.quantity:
            told.append(f"{one.quantity:g} -> {other.quantity:g} {other.unit}".strip())
        if one.price != other.price:
            told.append(f"at {_told(one.price)} -> {_told(other.price)}")
        return ", ".join(told) or "another worth"


@dataclass(frozen=True)
class MarkChange:
    """Pieces of one mark that came, went or changed, and what their material adds to the cost."""

    mark: str
    how: How
    count: int
    names: tuple[str, ...]
    material: str
    money: Decimal


@dataclass(frozen=True, eq=False)
class Change:
    """The difference of two quotes.

    Attributes:
        before, after: the quotes.
        lines: those that are not the same; their money adds up to the difference of the costs.
        marks: pieces that came, went or changed.
        shared: what pieces that stayed cost more in material, since sticks and sheets are cut up otherwise.
    """

    before: Quote
    after: Quote
    lines: tuple[LineChange, ...]
    marks: tuple[MarkChange, ...]
    shared: Decimal

    @property
    def cost(self) -> Decimal:
        """What the change adds to the cost."""
        return self.after.cost - self.before.cost

    @property
    def price(self) -> Decimal:
        """What it adds to the price before tax."""
        return self.after.price - self.before.price

    @property
    def total(self) -> Decimal:
        """What it adds to what is to be paid."""
        return self.after.total - self.before.total

    @property
    def hours(self) -> Decimal:
        """What it adds to the work."""
        return self.after.all_hours - self.before.all_hours


def change_of(before: Quote, after: Quote) -> Change:
    """What came, went and changed from one quote to another.

    Raises:
        ValueError: they are in different currencies.
    """
    if before.currency.code != after.currency.code:
        raise ValueError(f"one is in {before.currency.code}, the other in {after.currency.code}")
    marks = tuple(_marks(before, after))
    whole = _material(after.pieces.values()) - _material(before.pieces.values())
    shared = whole - sum((mark.money for mark in marks), NOTHING)
    return Change(before, after, tuple(_lines(before, after)), marks, shared)


def _lines(before: Quote, after: Quote) -> Iterator[LineChange]:
    old, new = ({(line.kind, line.key): line for line in quote.lines} for quote in (before, after))
    for key in {**new, **old}:
        one, other = old.get(key), new.get(key)
        if one is None or other is None or _differs(one, other):
            yield LineChange(one, other)


def _differs(one: Line, other: Line) -> bool:
    return (one.quantity, one.price, one.amount) != (other.quantity, other.price, other.amount)


def _marks(before: Quote, after: Quote) -> Iterator[MarkChange]:
    """Changes of pieces, those of one mark and kind together; new ones first, then changed, then gone."""
    old, new = before.pieces, after.pieces
    found: dict[tuple[How, str, str], list[tuple[str, Decimal]]] = {}
    for name, piece in new.items():
        was = old.get(name)
        if was is None:
            found.setdefault(("new", piece.mark, piece.material), []).append((name, piece.amount))
        elif was.signature != piece.signature:
            key: tuple[How, str, str] = ("changed", piece.mark, piece.material)
            found.setdefault(key, []).append((name, piece.amount - was.amount))
    for name, piece in old.items():
        if name not in new:
            found.setdefault(("gone", piece.mark, piece.material), []).append((name, -piece.amount))
    order = ("new", "changed", "gone")
    for how, mark, material in sorted(found, key=lambda key: order.index(key[0])):
        own = found[how, mark, material]
        money = sum((amount for _, amount in own), NOTHING)
        yield MarkChange(mark, how, len(own), tuple(name for name, _ in own), material, money)


def cut_in_vain(change: Change, cut: Mapping[str, int]) -> tuple[MarkChange, ...]:
    """Marks of before that were cut and that no piece bears any more, with what their material cost.

    Args:
        change: from before to after.
        cut: how many of each mark were cut, by the stock's log.
    """
    here = {piece.mark for piece in change.after.pieces.values()}
    lost: dict[str, list[str]] = {}
    for name, piece in change.before.pieces.items():
        if cut.get(piece.mark, 0) and piece.mark not in here:
            lost.setdefault(piece.mark, []).append(name)
    old = change.before.pieces
    return tuple(
        MarkChange(
            mark, "gone", cut[mark], tuple(names), old[names[0]].material, cut[mark] * old[names[0]].amount
        )
        for mark, names in lost.items()
    )


def _material(pieces: Iterable[Piece]) -> Decimal:
    return sum((piece.amount for piece in pieces), NOTHING)


def _amount(line: Line | None) -> Decimal:
    return (line.amount if line else None) or NOTHING


def _told(price: Decimal | None) -> str:
    return "no price" if price is None else f"{price:g}"
