"""What to buy for the wires: spools by size and colour, fuses, terminals, as lines of a buy list."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence

from cutlists.afloat.leaf import Leaf
from cutlists.buy_list import BuyLine
from cutlists.electrics.spool_file import WireStock
from cutlists.electrics.spools import SpoolPlan, bought, spool_plan
from cutlists.electrics.words import length_told
from model.electrics.conductors import GAUGES
from model.electrics.report import ElectricsReport

TITLE = "To buy for the wires"
"""Of the table."""

RING = ("battery", "cutoff", "bus", "fuse")
PUSHED = ("switch", "fuse_box")
TERMINALS = {"ring": "ring terminal", "push-on": "push-on terminal", "butt": "sealed butt splice"}


def spool_plans(report: ElectricsReport, stock: WireStock) -> dict[tuple[str, str], SpoolPlan]:
    """What each size and colour is cut from, thin sizes first."""
    lengths: dict[tuple[str, str], list[float]] = defaultdict(list)
    for wire in report.wires:
        if wire.gauge:
            lengths[wire.gauge, wire.colour].append(wire.cut)
    kinds = sorted(lengths, key=lambda kind: (GAUGES.index(kind[0]), kind[1]))
    return {kind: spool_plan(lengths[kind], stock.of(kind[0])) for kind in kinds}


def wire_buy_lines(report: ElectricsReport, stock: WireStock, prices: Mapping[str, float]) -> list[BuyLine]:
    """Lines for wire, fuses and terminals.

    Args:
        report: the wires.
        stock: spools as the shop buys them.
        prices: of fuses and terminals by name, such as `fuse-15` and `ring-8`.
    """
    found = list(_spool_lines(report, stock))
    fuses = Counter(row.rating for row in report.fuses if row.rating is not None)
    for rating, count in sorted(fuses.items()):
        name = f"fuse-{rating:g}"
        found.append(BuyLine("fuse", name, f"{rating:g} A", "", count, price=prices.get(name)))
    for (kind, gauge), count in sorted(_terminals(report).items(), key=lambda own: _order(own[0])):
        name = f"{kind}-{gauge.replace('/', '-')}"
        size = f"{TERMINALS[kind]}, AWG {gauge}"
        found.append(BuyLine("terminal", name, size, "", count, price=prices.get(name)))
    return found


def _order(key: tuple[str, str]) -> tuple[str, int]:
    return key[0], GAUGES.index(key[1])


def _spool_lines(report: ElectricsReport, stock: WireStock) -> Iterator[BuyLine]:
    for (gauge, colour), plan in spool_plans(report, stock).items():
        alike: dict[tuple[float, float | None, bool], int] = Counter()
        pieces: dict[tuple[float, float | None, bool], int] = Counter()
        for spool, lengths in plan.spools:
            key = (spool.length, spool.price, spool.cut)
            alike[key] += bought(spool, lengths)
            pieces[key] += len(lengths)
        for (length, price, cut), count in alike.items():
            size = f"{'cut off, by ' if cut else 'spool of '}{length_told(length, report.units)}"
            known = any(own.length == length for own in stock.of(gauge))
            count_told = pieces[length, price, cut]
            note = f"{count_told} wire{'s' if count_told > 1 else ''}" + (
                "" if known else "; longer than any spool"
            )
            yield BuyLine(
                "wire", f"AWG {gauge} {colour}", size, f"{length:.1f}", count, price=price, note=note
            )


def _terminals(report: ElectricsReport) -> Counter[tuple[str, str]]:
    """Terminals by kind and size: rings on studs, push-ons on switches and boxes, splices to leads."""
    found: Counter[tuple[str, str]] = Counter()
    for wire in report.wires:
        for end in (wire.wire.start, wire.wire.end):
            if wire.gauge:
                kind = "ring" if end.kind in RING else "push-on" if end.kind in PUSHED else "butt"
                thick = GAUGES.index(wire.gauge) >= GAUGES.index("8")
                found["ring" if thick and kind == "push-on" else kind, wire.gauge] += 1
    return found


def buy_leaf(lines: Sequence[BuyLine]) -> Leaf:
    """The lines for terminal and paper."""
    rows = [
        (
            line.material,
            line.name,
            line.size,
            str(line.need),
            _money(line.price),
            _money(line.cost),
            line.note,
        )
        for line in lines
    ]
    missing = sum(1 for line in lines if line.wants_price)
    total = sum(line.cost or 0.0 for line in lines)
    without = f", without {missing} {'line' if missing == 1 else 'lines'} of unknown price" if missing else ""
    notes = (f"In all {total:.2f}{without}.",)
    return Leaf(TITLE, ("what", "name", "size", "buy", "each", "cost", "note"), tuple(rows), notes)


def _money(amount: float | None) -> str:
    return "" if amount is None else f"{amount:.2f}"
