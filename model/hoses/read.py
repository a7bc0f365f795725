"""The `hoses:` entry of a boat file to numbers; every fault is noted at its line."""

from __future__ import annotations

import math
from collections import Counter
from itertools import pairwise

import numpy as np

from model.boatfile.hoses_schema import HoseEntry, HoseFittingEntry, HosesEntry
from model.boatfile.numbers import Key
from model.geometry import Array
from model.hoses.ends import Ends
from model.hoses.on_skin import on_skin
from model.hoses.on_wall import TAIL_LENGTH, outward
from model.hoses.plan import FALLING, PUMPED, End, HosePlan, PlumbingPlan
from model.layout.context import Context
from model.layout.records import Layout, LockerPlan
from model.water.settings import WaterSettings
from parts.catalogue import UnknownPart
from parts.faults import did_you_mean
from parts.lengths import format_length
from parts.plumbing import Hose, ThroughHull

TOP: tuple[Key, ...] = ("hoses",)

OFF = 30.0
"""A fitting of a locker lies at most this far outside it, mm."""

LEAST_STEP = 1.0
"""Points nearer to each other than this, mm, are one."""


def read_hoses(entry: HosesEntry, ctx: Context, layout: Layout, water: WaterSettings) -> PlumbingPlan:
    """What the file says of hoses; what cannot be read is left out, its fault noted."""
    numbers = ctx.numbers
    own = [_fitting(name, told, ctx, layout) for name, told in entry.fittings.items()]
    fittings = tuple(end for end in own if end is not None)
    ends = Ends(ctx, fittings, list(entry.fittings), layout, water)
    hoses = tuple(
        hose for name, told in entry.runs.items() if (hose := _hose(name, told, ctx, ends)) is not None
    )
    if len(hoses) == len(entry.runs):
        _check_lines(hoses, ctx)
    return PlumbingPlan(
        fittings,
        hoses,
        numbers.not_negative(entry.near_water, *TOP, "near_water"),
        numbers.not_negative(entry.loop_height, *TOP, "loop_height"),
        float(entry.slope) / 100.0,
        None if entry.turnover is None else 60.0 * float(entry.turnover),
    )


def _fitting(name: str, entry: HoseFittingEntry, ctx: Context, layout: Layout) -> End | None:
    path: tuple[Key, ...] = (*TOP, "fittings", name)
    ways = [entry.skin is not None, entry.of is not None, entry.open]
    if sum(ways) != 1:
        wrong = "it is not said what it goes through" if not any(ways) else "it is in two places at once"
        ctx.fault(path, wrong, "give just one of `skin`, `of` and `open`")
        return None
    at = ctx.numbers.point(entry.at, *path, "at")
    if len(at) != (2 if entry.skin else 3):
        right = "give [x, z] in a side, [y, z] in the transom, [x, y] in the bottom, else [x, y, z]"
        ctx.fault((*path, "at"), f"{len(at)} numbers do not tell the place", right)
        return None
    part = _part(entry, ctx, *path, "part")
    bore = None if part is None else part.bore
    if entry.bore is not None:
        bore = ctx.numbers.positive(entry.bore, *path, "bore")
    if not np.isfinite(at).all() or (bore is not None and math.isnan(bore)):
        return None
    place = ctx.numbers.document.place(path)
    if entry.skin is not None:
        found = on_skin(ctx.hull, entry.skin, float(at[0]), float(at[1]))
        if found is None:
            where = {"transom": "the transom", "bottom": "the bottom"}.get(
                entry.skin, f"the {entry.skin} side"
            )
            ctx.fault((*path, "at"), f"{where} has no place there", "give a place within the hull")
            return None
        return End(name, "skin", found, entry.skin, bore, entry.valve, part, (), place)
    if entry.of is not None:
        locker = _locker(entry.of, at, ctx, layout, path)
        if locker is None:
            return None
        tail = at + TAIL_LENGTH * outward(locker, at)
        ports = (("in", tail), ("out", tail))
        return End(name, "well", at, locker.name, bore, entry.valve, part, ports, place)
    return End(name, "open", at, "", bore, entry.valve, part, (), place)


def _part(entry: HoseFittingEntry, ctx: Context, *path: Key) -> ThroughHull | None:
    if entry.part is None:
        return None
    try:
        found: ThroughHull = ctx.catalogue.get("through-hull", entry.part)
        return found
    except UnknownPart as error:
        ctx.fault(path, error.wrong, error.right)
        return None


def _locker(of: str, at: Array, ctx: Context, layout: Layout, path: tuple[Key, ...]) -> LockerPlan | None:
    """The locker that a fitting is of; None, with the fault noted, where it is of none or lies off it."""
    from shapely import Point

    known = {name.removeprefix("locker."): own for name, own in layout.lockers.items()}
    locker = known.get(of.removeprefix("locker."))
    if locker is None:
        ctx.fault((*path, "of"), f"there is no locker called '{of}'", did_you_mean(of, known))
        return None
    low = -math.inf if locker.floor is None else locker.floor - OFF
    off = float(locker.area.distance(Point(at[:2])))
    if off > OFF or not low <= at[2] <= locker.top + OFF:
        told = f"it lies {format_length(max(off, low - at[2], at[2] - locker.top), ctx.entry.units)} off {of}"
        ctx.fault((*path, "at"), told, "give a place on its walls or floor")
        return None
    return locker


def _hose(name: str, entry: HoseEntry, ctx: Context, ends: Ends) -> HosePlan | None:
    path: tuple[Key, ...] = (*TOP, "runs", name)
    start = ends.find(entry.start, *path, "from")
    end = ends.find(entry.end, *path, "to")
    hose = _hose_part(entry, ctx, path)
    points = [ctx.numbers.point(p, *path, "points", i) for i, p in enumerate(entry.points)]
    via = [v if isinstance(v, str) else _space(ctx, v, *path, "via", i) for i, v in enumerate(entry.via)]
    loop = _loop(entry, ctx, *path, "loop")
    for i, (a, b) in enumerate(pairwise(points), 1):
        if float(np.linalg.norm(a - b)) < LEAST_STEP:
            ctx.fault((*path, "points", i), "the point is the same as the one before it", "leave one out")
            return None
    if points and via:
        ctx.fault((*path, "via"), "its `points` say already where it runs", "leave one of the two out")
        return None
    if start is not None and end is not None and start.key == end.key:
        ctx.fault((*path, "to"), "it ends where it begins", "name another end")
        return None
    if start is None or end is None or hose is None:
        return None
    return HosePlan(
        name, start, end, entry.kind, hose, tuple((float(x), float(y), float(z)) for x, y, z in points),
        tuple(via), loop, entry.siphon_break, entry.elbows, ctx.numbers.document.place(path),
    )  # fmt: skip


def _space(ctx: Context, told: list[str | int | float], *path: Key) -> tuple[float, float, float]:
    x, y, z = ctx.numbers.point(told, *path).tolist()
    return x, y, z


def _loop(entry: HoseEntry, ctx: Context, *path: Key) -> float | None:
    """Height of the high loop; None by rule, nan for none."""
    if entry.loop is None or entry.loop is True:
        return None
    return math.nan if entry.loop is False else ctx.numbers.length(entry.loop, *path)


def _hose_part(entry: HoseEntry, ctx: Context, path: tuple[Key, ...]) -> Hose | None:
    """The hose by its name, or the smooth one of a size; None once a fault is noted."""
    if (entry.inside is None) == (entry.hose is None):
        wrong = "its size is not given" if entry.inside is None else "its size is given twice"
        ctx.fault(path, wrong, "give its `inside` diameter, or the name of a `hose` of the catalogue")
        return None
    if entry.hose is not None:
        found: Hose | None = ctx.part("hose", entry.hose, *path, "hose")
        return found
    assert entry.inside is not None
    inside = ctx.numbers.positive(entry.inside, *path, "inside")
    if math.isnan(inside):
        return None
    sizes = sorted(ctx.catalogue.hoses.values(), key=lambda hose: (hose.roughness, hose.inside))
    fitting = [hose for hose in sizes if abs(hose.inside - inside) < 0.5]
    if fitting:
        return fitting[0]
    least = sizes[0].roughness if sizes else 0.0
    told = ", ".join(ctx.text(hose.inside) for hose in sizes if hose.roughness <= least)
    ctx.fault((*path, "inside"), f"the catalogue has no hose of {ctx.text(inside)} inside", f"it has {told}")
    return None


def _check_lines(hoses: tuple[HosePlan, ...], ctx: Context) -> None:
    """Notes hoses that lead round in a ring, pumped ones without a pump, and drains through one."""
    into = Counter(hose.end.key for hose in hoses)
    for hose in hoses:
        path: tuple[Key, ...] = (*TOP, "runs", hose.name)
        forward = reached(hose, hoses)
        if hose in forward:
            ctx.fault((*path, "to"), "the hoses lead round in a ring", "let one end where water leaves")
        elif hose.kind in PUMPED and not _pump_beside(hose, hoses):
            right = "lead it from or to a pump, or call it a drain"
            ctx.fault((*path, "kind"), f"a {hose.kind} hose without a pump in its line", right)
        elif hose.kind in FALLING and (hose.start.is_pump or hose.end.is_pump):
            ctx.fault((*path, "kind"), "a drain with a pump at its end", "call it pumped")
        elif hose.end.is_pump and into[hose.end.key] > 1:
            right = "lead them together in a valve, and one hose on to the pump"
            ctx.fault((*path, "to"), "two hoses lead into one pump", right)


def reached(hose: HosePlan, hoses: tuple[HosePlan, ...]) -> list[HosePlan]:
    """All hoses that water of this one comes to."""
    found: list[HosePlan] = []
    keys = {hose.end.key}
    while True:
        more = [h for h in hoses if h.start.key in keys and h not in found]
        if not more:
            return found
        found += more
        keys = {h.end.key for h in more}


def _pump_beside(hose: HosePlan, hoses: tuple[HosePlan, ...]) -> bool:
    """Whether a pump lies before or after a hose."""
    forward = [hose, *reached(hose, hoses)]
    if any(h.end.is_pump for h in forward) or hose.start.is_pump:
        return True
    return any(hose in reached(h, hoses) and h.start.is_pump for h in hoses)
