"""The hoses as tables: for the terminal, as text, for the packet."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from cutlists.afloat.leaf import Leaf
from cutlists.buy_list import BuyLine
from model.hoses.check import HoseReport
from model.hoses.judge import loop_over
from model.hoses.lay import HoseFound
from model.hoses.lines import Line
from model.hoses.plan import FALLING
from model.hoses.skins import SOURCE, SkinFitting
from model.hoses.wells import ASHORE, WellFound
from model.hoses.words import flow_short, flow_told, head_short, over_told, time_told, volume_short
from parts.lengths import format_length


def cut_told(mm: float, units: str) -> str:
    """A length to cut a hose to, rounded up: to the next half inch or the next centimetre."""
    step = 12.7 if units in ("in", "ft") else 10.0
    return format_length(step * math.ceil(mm / step - 1e-6), units)


def hose_leaf(report: HoseReport) -> Leaf:
    """A row for each hose."""
    rows = tuple(_hose_row(one, report) for one in report.hoses)
    notes = (
        "Cut with an inch at each end to trim. Fall: from start to end; slope: the least in 4 in of a "
        "drain. Two clamps at an end that lies near the water or under it.",
    )
    head = ("hose", "from", "to", "kind", "inside", "cut", "fall", "slope", "told")
    return Leaf("Hoses", head, rows, notes)


def _hose_row(one: HoseFound, report: HoseReport) -> tuple[str, ...]:
    plan, units = one.plan, report.units
    fall = slope = ""
    if one.profile is not None:
        fall = format_length(one.profile.fall, units)
        slope = f"{100.0 * one.profile.slope:.0f} %" if plan.kind in FALLING else ""
    return (
        one.name, plan.start.name, plan.end.name, plan.kind, format_length(plan.hose.inside, units),
        cut_told(one.to_cut, units), fall, slope, "; ".join(_told(one, report)),
    )  # fmt: skip


def _told(one: HoseFound, report: HoseReport) -> Iterator[str]:
    if one.run is None:
        yield "no way found; straight"
    if one.plan.elbows:
        yield f"{one.plan.elbows} elbow{'s'[: one.plan.elbows > 1]}"
    if one.loop is not None:
        over = loop_over(one, report.waters) if report.waters is not None else None
        yield "high loop" if over is None else f"loop {over_told(over, report.units)}"
    if one.plan.siphon_break:
        yield "siphon break"


def skin_leaf(report: HoseReport) -> Leaf:
    """A row for each hole through the skin, those deepest in the water first."""
    cases = [] if report.waters is None or not report.waters.known else list(report.waters.told)
    head = ("fitting", "where", *cases, "least", "shut by", "valve", "serves")
    rows = tuple(_skin_row(skin, cases, report.units) for skin in report.skins)
    worst = max((skin.lets_in or 0.0 for skin in report.skins), default=0.0)
    lows = ", ".join(dict.fromkeys(skin.least[1] for skin in report.skins if skin.least is not None))
    notes = [
        f"Heights over the water at rest, below it with a minus; the least of all load cases ({lows}).",
        f"{SOURCE[0].upper()}{SOURCE[1:]}.",
    ]
    if worst > 0.0:
        notes.append(f"Broken off, the worst of them lets in {flow_told(worst, report.units)}.")
    return Leaf("Through the skin", head, rows, tuple(notes))


def place_told(skin: SkinFitting, units: str) -> str:
    """Where it is: its side, then from the transom, off the centreline, above the baseline."""
    x, y, z = (format_length(float(v), units) for v in (skin.at[0], abs(skin.at[1]), skin.at[2]))
    hand = " P" if skin.at[1] > 0.5 else " S" if skin.at[1] < -0.5 else ""
    if skin.side == "transom":
        return f"transom {y}{hand} {z} up"
    return f"bottom {x}, {y}{hand}" if skin.side == "bottom" else f"{skin.side} {x}, {z} up"


def _skin_row(skin: SkinFitting, cases: Sequence[str], units: str) -> tuple[str, ...]:
    over = [format_length(skin.over[case], units) if case in skin.over else "" for case in cases]
    least = "" if skin.least is None else format_length(skin.least[0], units)
    serves = ", ".join(skin.serves)
    where, shut = place_told(skin, units), skin.shut or "nothing"
    return (skin.name, where, *over, least, shut, skin.wants, serves)


def pump_leaf(report: HoseReport) -> Leaf:
    """A row for each pump and way of its water."""
    rows = tuple(_pump_row(line, report.units) for line in report.lines)
    head = ("pump", "takes", "leads to", "lifts", "against", "brings", "of rated", "speed")
    notes = (
        "With the least flow of the empty boat and the heaviest load case; a loop is lifted over in full.",
    )
    return Leaf("Pumps", head, rows, notes)


def _pump_row(line: Line, units: str) -> tuple[str, ...]:
    takes = line.well.removeprefix("locker.") or line.source
    found = line.least
    if found is None:
        why = "not known" if not line.works else "nothing"
        return (line.name, takes, line.sink.name, "", "", why, "", "")
    share = f"{100.0 * found.flow / line.rated:.0f} %" if line.rated else ""
    return (
        line.name, takes, line.sink.name, head_short(found.static, units), head_short(found.head, units),
        flow_short(found.flow, units), share, f"{found.speed / 1000.0:.1f} m/s",
    )  # fmt: skip


def well_leaf(report: HoseReport) -> Leaf:
    """A row for each well and box that hoses lead to or from."""
    rows = tuple(_well_row(well, report.units) for well in report.wells)
    head = ("well", "holds", "filled anew in", "overflow stands", "runs out ashore", "afloat", "stays afloat")
    notes = ("The overflow stands so far over its edge with the pump on. Afloat: the worse of both cases.",)
    return Leaf("Wells", head, rows, notes)


def _well_row(well: WellFound, units: str) -> tuple[str, ...]:
    turn = "" if well.turnover is None else time_told(well.turnover)
    rise = (
        ""
        if well.rise is None
        else "over its rim"
        if math.isinf(well.rise)
        else format_length(well.rise, units)
    )
    ashore = afloat = stays = ""
    if well.drains:
        drain = well.drains[0]
        ashore = time_told(drain.ways[ASHORE].seconds)
        cases = [case for case in drain.ways if case != ASHORE]
        if cases:
            worst = max(cases, key=lambda case: drain.left[case])
            afloat = time_told(drain.ways[worst].seconds)
            stays = volume_short(drain.left[worst], units) if drain.left[worst] else "nothing"
    holds = volume_short(well.volume, units)
    return (well.name.removeprefix("locker."), holds, turn, rise, ashore, afloat, stays)


def buy_leaf(lines: Sequence[BuyLine]) -> Leaf:
    """What to buy besides fixtures."""
    rows = tuple((line.material, line.name, line.size, str(line.need), line.note) for line in lines)
    return Leaf("To buy for the hoses", ("what", "name", "size", "buy", "note"), rows)


def leaves(report: HoseReport, lines: Sequence[BuyLine]) -> list[Leaf]:
    """All tables that have rows."""
    every = (hose_leaf(report), pump_leaf(report), well_leaf(report), skin_leaf(report), buy_leaf(lines))
    return [leaf for leaf in every if leaf.rows]


def run_words(report: HoseReport) -> dict[str, str]:
    """What the key of a drawing says of each hose that has a way: its name, size and length."""
    found = {}
    for one in report.hoses:
        if one.run is not None:
            size = format_length(one.plan.hose.inside, report.units)
            found[one.run.name] = f"{one.name}, {size} x {cut_told(one.to_cut, report.units)}"
    return found
