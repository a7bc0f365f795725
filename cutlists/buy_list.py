"""What to buy for a boat: tube, sheet, mat, lids and fittings, against what is on hand."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from cutlists.blank import Blank
from cutlists.plan_file import Use
from parts.lengths import format_length

if TYPE_CHECKING:
    from model.panelling.fixtures import Fixture

MATERIAL = {"stick": "tube", "sheet": "sheet", "mat": "mat"}
"""What the list calls each kind of blank."""


@dataclass(frozen=True)
class Shares:
    """What becomes of all that one line cuts up, mm of tube or mm2 of sheet."""

    whole: float
    used: float
    kept: float

    @property
    def waste(self) -> float:
        """What is neither a piece nor an offcut worth keeping."""
        return self.whole - self.used - self.kept

    def percent(self, part: float) -> float:
        """A part of the whole in percent."""
        return 100.0 * part / self.whole

    def __add__(self, other: Shares) -> Shares:
        """Both together."""
        return Shares(self.whole + other.whole, self.used + other.used, self.kept + other.kept)


@dataclass(frozen=True)
class BuyLine:
    """One thing to buy, or to fetch from the rack.

    Attributes:
        material: `tube`, `sheet`, `mat`, or the kind of a fitting.
        name: of the section it is bought as, the sheet, the part.
        size: for people.
        size_mm: in mm, width first.
        need: how many.
        on_hand: how many of them lie there.
        price: of one; None where it is not known.
        shares: what becomes of it, where it is cut up.
        note: where it lies, or what is to be looked up.
    """

    material: str
    name: str
    size: str
    size_mm: str
    need: int
    on_hand: int = 0
    price: float | None = None
    shares: Shares | None = None
    note: str = ""

    @property
    def buy(self) -> int:
        """How many to buy."""
        return self.need - self.on_hand

    @property
    def cost(self) -> float | None:
        """What those cost; None where the price is not known."""
        return 0.0 if not self.buy else None if self.price is None else self.price * self.buy

    @property
    def wants_price(self) -> bool:
        """Whether it is to be bought at a price that is not known."""
        return self.cost is None


@dataclass(frozen=True)
class BuyList:
    """The lines: tube, sheet, mat, then lids and fittings; what is to buy before what is on hand."""

    lines: tuple[BuyLine, ...]

    @property
    def cost(self) -> float:
        """Of all lines with a known price."""
        return sum(line.cost or 0.0 for line in self.lines)

    @property
    def without_price(self) -> tuple[BuyLine, ...]:
        """Lines to buy whose price is not known."""
        return tuple(line for line in self.lines if line.wants_price)

    def shares(self, material: str) -> Shares | None:
        """What becomes of all of one material that is cut up; None where there is none."""
        found = [line.shares for line in self.lines if line.material == material and line.shares]
        return sum(found[1:], found[0]) if found else None

    def words(self) -> str:
        """How much there is to buy, and the total, in one line."""
        counts = [
            (sum(line.buy for line in self.lines if line.material == material), one, more)
            for material, one, more in (("tube", "stick", "sticks"), ("sheet", "sheet", "sheets"),
                                        ("mat", "mat sheet", "mat sheets"))
        ]  # fmt: skip
        # Wire is bought by the foot and clips by the dozen: their number would say nothing.
        kinds = sum(1 for line in self.lines if line.buy and line.material not in MATERIAL.values())
        counts.append((kinds, "kind of part", "kinds of parts"))
        told = [f"{n} {one if n == 1 else more}" for n, one, more in counts if n]
        return f"{', '.join(told) or 'nothing'}; {self.total_words()}"

    def total_words(self) -> str:
        """The total in words, with what it leaves out."""
        missing = len(self.without_price)
        lines = "1 line that has" if missing == 1 else f"{missing} lines that have"
        return f"{self.cost:.2f}" + (f", without {lines} no price" if missing else "")


def buy_list(
    uses: Iterable[Use],
    fixtures: Sequence[Fixture] = (),
    on_hand: Sequence[Blank] = (),
    prices: Mapping[str, float] | None = None,
    units: str = "in",
    denominator: int = 16,
) -> BuyList:
    """What plans and fittings ask for.

    Args:
        uses: every stick and sheet of every plan.
        fixtures: lids and fittings of the boat.
        on_hand: stock that no plan has counted on; of what is to be bought those of the same size are there.
        prices: of lids and fittings by name.
        units: of sizes for people.
        denominator: of their fractions.
    """
    lines = [*_blank_lines(list(uses), list(on_hand), units, denominator)]
    lines += _fitting_lines(fixtures, prices or {}, units, denominator)
    return BuyList(tuple(lines))


def _blank_lines(uses: list[Use], spare: list[Blank], units: str, denominator: int) -> list[BuyLine]:
    groups: list[list[Use]] = []
    for use in sorted(uses, key=_order):
        if groups and _same_line(groups[-1][0], use):
            groups[-1].append(use)
        else:
            groups.append([use])
    return [_blank_line(group, spare, units, denominator) for group in groups]


def _order(use: Use) -> tuple[int, str, bool, float, float, tuple[object, ...], float]:
    blank = use.blank
    kind = tuple(MATERIAL).index(blank.kind)
    price = -1.0 if use.price is None else use.price
    return kind, blank.name, use.source != "buy", -blank.length, -blank.width, blank.rings, price


def _same_line(one: Use, other: Use) -> bool:
    bought = (one.source == "buy") == (other.source == "buy")
    return bought and one.price == other.price and one.blank.is_like(other.blank)


def _blank_line(group: Sequence[Use], spare: list[Blank], units: str, denominator: int) -> BuyLine:
    first = group[0]
    blank = first.blank
    shares = Shares(
        sum(use.blank.extent for use in group),
        sum(use.used for use in group),
        sum(kept.extent for use in group for kept in use.kept),
    )
    if first.source != "buy":
        there, note = len(group), "on hand: " + ", ".join(dict.fromkeys(use.label for use in group))
    else:
        there = _taken(blank, spare, len(group))
        note = f"{there} in the stock" if there else ""
    sides = (blank.width, blank.length) if blank.width else (blank.length,)
    size_mm = " x ".join(f"{side:.1f}" for side in sides)
    size = blank.size(units, denominator)
    return BuyLine(
        MATERIAL[blank.kind], blank.name, size, size_mm, len(group), there, first.price, shares, note
    )


def _taken(blank: Blank, spare: list[Blank], most: int) -> int:
    """How many like it are in the stock, at most so many; they are taken from `spare`."""
    found = [other for other in spare if other.is_like(blank)][:most]
    for other in found:
        spare.remove(other)
    return len(found)


def _fitting_lines(
    fixtures: Sequence[Fixture], prices: Mapping[str, float], units: str, denominator: int
) -> list[BuyLine]:
    bought = Counter((fixture.kind, fixture.part.name) for fixture in fixtures if fixture.part)
    lines = [
        BuyLine(kind, name, "", "", need, price=prices.get(name)) for (kind, name), need in bought.items()
    ]
    made = Counter(
        (f.kind, round(f.order["width"], 1), round(f.order["length"], 1)) for f in fixtures if not f.part
    )
    for (kind, width, length), need in made.items():
        size = " x ".join(format_length(side, units, denominator) for side in (width, length))
        size_mm = f"{width:.1f} x {length:.1f}"
        lines.append(BuyLine(kind, "made to order", size, size_mm, need, note="sizes in lids.csv"))
    return sorted(lines, key=lambda line: (line.material != "lid", line.material, line.name, line.size_mm))
