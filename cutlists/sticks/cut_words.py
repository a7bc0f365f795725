"""A stick and its cuts in words, as every list and picture of the plan tells them."""

from __future__ import annotations

from dataclasses import dataclass

from cutlists.sticks.cuts import long_edge, short_point
from cutlists.sticks.records import Cut, Stick, StockPlan
from parts.lengths import format_fraction
from parts.section import Section

CAUTIONS = (
    "Measure each stick before it is marked; true up an end that is not square, and begin from there.",
    "Clamp short pieces, or cut them on a longer one; never hold them by hand near the blade.",
)
HOW = (
    "Mark every cut before the first one: hook the tape on the left end, mark the long point on the edge "
    "named, and let the blade take the side named. Cuts are numbered so that the saw is set anew least often."
)
LIES = (
    "A stick lies on its wide face, you stand at its near edge. A mitre has the far end of the blade to the "
    "left, unless it says right; a stick turned over, or with an edge up, is rolled about its length."
)


@dataclass(frozen=True)
class Marking:
    """How lengths are told: in the boat's `units`, in fractions of 1 / `denominator` inch."""

    units: str = "in"
    denominator: int = 16

    @property
    def in_inches(self) -> bool:
        """Whether lengths are told as shop fractions."""
        return self.units in ("in", "ft")

    def tape(self, mm: float) -> str:
        """A place on the tape: `14-3/16"` or `360.4`."""
        return format_fraction(mm, self.denominator) if self.in_inches else f"{mm:.1f}"

    def length(self, mm: float) -> str:
        """A length by itself: `14-3/16"` or `360.4 mm`."""
        return self.tape(mm) if self.in_inches else f"{mm:.1f} mm"

    def fine(self, mm: float) -> str:
        """What a blade takes and the like: in 64ths at least, or `2.4 mm`."""
        return format_fraction(mm, max(64, self.denominator)) if self.in_inches else f"{mm:.1f} mm"

    def stick(self, mm: float) -> str:
        """A stick's length: `20'`, `8' 3-1/2"` or `6000 mm`."""
        if not self.in_inches:
            return f"{mm:.0f} mm"
        return format_fraction(mm, self.denominator, feet=True).replace("' 0\"", "'")


def source(stick: Stick, marking: Marking) -> str:
    """Where the stick comes from: `buy 24' at 78.00`, `stock 3, 8' 4"`."""
    length = marking.stick(stick.length)
    if not stick.is_bought:
        return f"{stick.label}, {length}"
    return f"buy {length}" + ("" if stick.price is None else f" at {stick.price:.2f}")


def heading(stock: StockPlan, stick: Stick, marking: Marking) -> str:
    """A stick in one line: `rect-2x1x0.125, stick 1 of 6: buy 24' at 78.00`."""
    return f"{stock.stock}, stick {stick.number} of {len(stock.sticks)}: {source(stick, marking)}"


def facts(stick: Stick, marking: Marking) -> str:
    """What the stick gives, in one line."""
    number = len(stick.placed)
    told = [f"{number} piece{'s' * (number != 1)}"]
    mitres = sum(placed.shares for placed in stick.placed)
    if mitres:
        saved = marking.length(stick.saved)
        told.append(f"{mitres} shared mitre{'s' * (mitres != 1)} save{'s' * (mitres == 1)} {saved}")
    told.append(left_over(stick, marking))
    return ", ".join(told)


def left_over(stick: Stick, marking: Marking) -> str:
    """The offcut: `28-1/8" to keep`, `5" scrap`, `nothing left`."""
    if stick.offcut <= 0.0:
        return "nothing left"
    return f"{marking.length(stick.offcut)} {'to keep' if stick.kept else 'scrap'}"


def pieces_of(cut: Cut) -> str:
    """The pieces on both sides of the blade, `>` where it lies right of the mark, `<` left of it."""
    left, right = ("part", "") if cut.what == "part" else cut.marks
    return f"{left}{'>' if cut.blade > 0 else '<'}{right}"


def makes(cut: Cut) -> str:
    """What a cut is for: `squares the end`, `parts`, `F3 right`, `F3 and F7`."""
    left, right = cut.marks
    if cut.what == "part":
        return "parts"
    if left and right:
        return f"{left} and {right}"
    return f"{left} right" if left else f"{right} left"


def other_edge(section: Section, cut: Cut) -> float | None:
    """Where the short point of the slant is, x in mm; None for a square cut."""
    return None if cut.setting.is_square else short_point(section, cut)


def edge(cut: Cut) -> str:
    """The edge on which the long point is marked; empty for a square cut, which any edge will do for."""
    return long_edge(cut)


def summary(stock: StockPlan, marking: Marking) -> list[str]:
    """What one stock comes to, how close to the least possible that is, and what shared mitres save."""
    bought = sum(stock.bought.values())
    held = len(stock.sticks) - bought
    told = [f"{bought} to buy"] + [f"{held} on hand"] * bool(held)
    if stock.tube.priced:
        told.append(f"{sum(stick.price or 0.0 for stick in stock.sticks):.2f}")
    lines = [f"{stock.stock}: {', '.join(told)}; {_proven(stock, marking)}."]
    return lines + [f"  {line}." for line in (_shared(stock, marking), _set_anew(stock)) if line]


def _proven(stock: StockPlan, marking: Marking) -> str:
    solved = stock.solved
    if not solved.is_cheapest:
        least = _cost(solved.cost_bound, stock, marking)
        return f"no plan can be below {least}, whether one comes nearer is open"
    if not solved.is_fewest:
        return f"none costs less; none has fewer sticks than {solved.fewest}"
    if solved.is_longest:
        return "none costs less, has fewer sticks, or leaves a longer offcut"
    most = marking.length(solved.drop_bound)
    left = marking.length(solved.drop)
    return f"none costs less or has fewer sticks; {left} is left in one, more than {most} cannot be"


def _cost(cost: float, stock: StockPlan, marking: Marking) -> str:
    return f"{cost:.2f}" if stock.tube.priced else f"{marking.stick(cost)} bought"


def _shared(stock: StockPlan, marking: Marking) -> str:
    mitres = sum(placed.shares for stick in stock.sticks for placed in stick.placed)
    if not mitres:
        return ""
    told = (
        f"{mitres} shared mitre{'s' * (mitres != 1)} save{'s' * (mitres == 1)} {marking.length(stock.saved)}"
    )
    return f"{told} against laying every piece by its long points{_by_long_points(stock, marking)}"


def _by_long_points(stock: StockPlan, marking: Marking) -> str:
    plain = stock.plain
    if plain is None:
        return ", which the lengths on hand would not do for"
    if plain.cost <= stock.solved.cost + 0.005:
        return ""
    return f", which would take {len(plain.sticks)} sticks, {_cost(plain.cost, stock, marking)}"


def _set_anew(stock: StockPlan) -> str:
    """How often the saw is set, the first time included."""
    cuts = sum(len(stick.cuts) for stick in stock.sticks)
    return f"{cuts} cuts, the saw set {stock.changes + 1} times"
