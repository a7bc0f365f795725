"""What is worth knowing of the hoses of a boat without being wrong."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from model.clearance.words import length_told, where_told
from model.hoses.judge import loop_over
from model.hoses.lay import HoseFound
from model.hoses.lines import BILGE_WATER, SEA, Line
from model.hoses.plan import FALLING, PUMPED, PlumbingPlan
from model.hoses.profile import profile_of
from model.hoses.skins import SkinFitting
from model.hoses.waters import Waters
from model.hoses.wells import ASHORE, WellFound
from model.hoses.words import flow_told, over_told
from model.water.wells import LITRE, volume_told

if TYPE_CHECKING:
    from model.boat import Boat

FAST = 2500.0
"""Water faster than this is loud, and scours: 8 ft/s is the usual limit for tube (common practice), mm/s."""


def remarks_of(
    boat: Boat,
    asked: PlumbingPlan,
    waters: Waters,
    laid: Sequence[HoseFound],
    lines: Sequence[Line],
    wells: Sequence[WellFound],
    skins: Sequence[SkinFitting],
) -> Iterator[str]:
    """All of them, a line each."""
    units = boat.units
    if not waters.known:
        yield "she could not be set afloat: heights over the water are not known"
    for skin in skins:
        if skin.wants == "should" and not skin.shut and skin.least is not None:
            over = over_told(skin.least[0], units)
            yield f"{skin.name} lies {over} in {skin.least[1]}: a valve on it is good practice"
    yield from _not_kept_up(lines, skins, units)
    for hose in laid:
        yield from _of_hose(hose, asked, waters, units)
    for line in lines:
        yield from _of_line(boat, line, waters)
    for well in wells:
        yield from _of_well(well, units)


def _not_kept_up(lines: Sequence[Line], skins: Sequence[SkinFitting], units: str) -> Iterator[str]:
    """That bilge pumps do not follow a skin fitting that breaks off."""
    pumped = sum(line.least.flow for line in lines if line.source == BILGE_WATER and line.least is not None)
    worst = max(skins, key=lambda skin: skin.lets_in or 0.0, default=None)
    if pumped and worst is not None and (worst.lets_in or 0.0) > pumped:
        brings, comes = flow_told(pumped, units), flow_told(worst.lets_in or 0.0, units)
        yield f"bilge pumps bring {brings}; {worst.name}, broken off, lets in {comes}: more than they do"


def _of_hose(hose: HoseFound, asked: PlumbingPlan, waters: Waters, units: str) -> Iterator[str]:
    plan = hose.plan
    if hose.run is not None and plan.end.group == "skin" and plan.kind in PUMPED:
        least, loop = waters.least(hose.run.path[-1]), loop_over(hose, waters)
        if least is not None and loop is not None and least[0] <= asked.near_water:
            if loop < asked.loop_height - 1.0 and least[0] >= 0.0:
                yield f"{hose.name} ends {over_told(least[0], units)} in {least[1]} and has no high loop"
            elif not plan.siphon_break:
                yield f"{hose.name}: let air in at the top of its loop (`siphon_break`), or it may siphon"
    if hose.run is not None and hose.profile is not None and plan.kind in FALLING:
        climb = profile_of(hose.run.path, waters.underway).climb
        if climb > 0.0 and hose.profile.climb == 0.0:
            yield f"{hose.name} drains at rest; under way it runs uphill by {length_told(climb, units)}"
    if hose.profile is not None and plan.kind in PUMPED:
        for low in hose.profile.low_spots:
            at, deep = where_told(low.at, units), length_told(low.depth, units)
            yield f"{hose.name} holds water {deep} deep at {at}: blow it out before frost"


def _of_line(boat: Boat, line: Line, waters: Waters) -> Iterator[str]:
    part, name = line.pump.part, line.pump.name
    if line.curve is None and part is not None:
        yield f"{name}: what {part.name} brings is not known; give its `curve` in the catalogue"
    if line.most is not None and line.most.speed > FAST:
        yield f"{name}: water runs {line.most.speed / 1000.0:.1f} m/s in its hose; wider hose helps"
    locker = boat.layout.lockers.get(line.sink.where) if line.sink.group == "well" else None
    if line.source == SEA and locker is not None:
        least = waters.least(line.sink.at)
        if least is not None and least[0] < 0.0:
            well = locker.name.removeprefix("locker.")
            yield f"{well} fills by itself with its valve open: its fill lies under water in {least[1]}"
    if line.source == SEA and locker is not None and locker.overflow is not None:
        low = float(line.sink.at[2]) - (line.sink.bore or 0.0) / 2.0
        if low < locker.overflow:
            well = locker.name.removeprefix("locker.")
            yield f"{well} is filled below its overflow and runs back when {name} stops: shut the valve"


def _of_well(well: WellFound, units: str) -> Iterator[str]:
    name = well.name.removeprefix("locker.")
    for drain in well.drains:
        afloat = [(left, case) for case, left in drain.left.items() if case != ASHORE]
        most, case = max(afloat, default=(0.0, ""))
        if most > 0.0:
            left = volume_told(most / LITRE, units)
            yield f"{name} runs out afloat only to the water outside, {left} stay in {case}: shut its drain"
        if drain.left.get(ASHORE, 0.0) > 0.0:
            left = volume_told(drain.left[ASHORE] / LITRE, units)
            yield f"{name} keeps {left} even ashore: {drain.hose} does not reach its floor"
