"""What to buy for the hoses: hose by the foot or metre, clamps, clips, fittings, as lines of a buy list."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping

from cutlists.buy_list import BuyLine
from model.hoses.check import HoseReport
from model.hoses.plan import End
from parts.lengths import format_length
from parts.plumbing import Hose

FOOT, METRE = 304.8, 1000.0


def hose_buy_lines(report: HoseReport, prices: Mapping[str, float]) -> list[BuyLine]:
    """Lines for hose and all that it is pushed on; pumps and valves that are fixtures stand in the buy list.

    Args:
        report: of the hoses.
        prices: by name, such as `hose-3/4` a foot (in a metric boat a metre) and `clamp-3/4`.
    """
    return [
        *_hose_lines(report, prices),
        *_fitting_lines(report, prices),
        *_small_lines(report, prices),
    ]


def hose_needs(report: HoseReport) -> dict[Hose, float]:
    """Length to cut of each kind of hose, mm, in the order of the file."""
    found: dict[Hose, float] = {}
    for one in report.hoses:
        found[one.plan.hose] = found.get(one.plan.hose, 0.0) + one.to_cut
    return found


def _hose_lines(report: HoseReport, prices: Mapping[str, float]) -> Iterator[BuyLine]:
    inches = report.units in ("in", "ft")
    unit = FOOT if inches else METRE
    for hose, length in hose_needs(report).items():
        pieces = sum(1 for one in report.hoses if one.plan.hose == hose)
        told = f"{pieces} piece{'s'[: pieces > 1]}, {format_length(length, report.units)} in all"
        yield BuyLine(
            "hose",
            hose.name,
            f"{format_length(hose.inside, report.units)} inside, by the {'foot' if inches else 'metre'}",
            f"{unit:.1f}",
            math.ceil(length / unit - 1e-9),
            price=prices.get(hose.name),
            note=told,
        )


def _fitting_lines(report: HoseReport, prices: Mapping[str, float]) -> Iterator[BuyLine]:
    """Fittings of the file, and valves on them."""
    asked = report.asked
    if asked is None:
        return
    parts: Counter[tuple[str, str]] = Counter()
    for end in asked.ends:
        if end.group == "open":
            continue
        size = _size(end, report)
        parts["through-hull", end.part.name if end.part is not None else f"fitting-{size}"] += 1
        if end.valve:
            parts["valve", f"valve-{size}"] += 1
    for (kind, name), count in sorted(parts.items()):
        note = "to screw on the skin fitting" if kind == "valve" else ""
        yield BuyLine(kind, name, "", "", count, price=prices.get(name), note=note)


def _size(end: End, report: HoseReport) -> str:
    """The size of the hose that ends there, else the bore."""
    hose = next((one.plan.hose for one in report.hoses if end in (one.plan.start, one.plan.end)), None)
    if hose is not None:
        return size_of(hose)
    return format_length(end.bore or 0.0, report.units).rstrip('"')


def size_of(hose: Hose) -> str:
    """Its size as in the names of the catalogue, such as 3/4."""
    return hose.name.removeprefix("hose-").removesuffix("-ribbed")


def _small_lines(report: HoseReport, prices: Mapping[str, float]) -> Iterator[BuyLine]:
    """Clamps, clips, elbows and siphon breaks by the size of the hose."""
    counts: Counter[tuple[str, str, str]] = Counter()
    for one in report.hoses:
        size = size_of(one.plan.hose)
        outside = f"for hose {format_length(one.plan.hose.outside, report.units)} outside"
        counts["clamp", size, outside] += sum(one.clamps)
        counts["clip", size, outside] += one.clips
        counts["elbow", size, f"for hose {format_length(one.plan.hose.inside, report.units)} inside"] += (
            one.plan.elbows
        )
        counts["siphon-break", size, ""] += int(one.plan.siphon_break)
    for (kind, size, told), count in sorted(counts.items()):
        if count:
            name = f"{kind}-{size}"
            yield BuyLine(kind, name, told, "", count, price=prices.get(name))
