"""Where water stands in a boat at rest and under way, told with the hole that would let it out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import shapely

from model.clearance.words import length_told, where_told
from model.findings import Finding, Shown
from model.water.columns import SKIN, SPACING
from model.water.cut_drains import passed
from model.water.flow import Flow, flow_of
from model.water.names import holder, holder_height, holder_names
from model.water.passages import OUT, Passage, skin_floor
from model.water.ponds import LITRE, Pond, ponds
from model.water.settings import BILGE, HULL, OVERBOARD
from model.water.wells import Holds, holds, volume_told

if TYPE_CHECKING:
    from model.boat import Boat

RIBS = "ribs"

DEEP = 120.0
"""A member further below a drain than this, mm, is passed by its hose."""

TOLD = 0.05
"""Less water than this in one place, litres, is not told of."""


@dataclass(frozen=True, eq=False)
class WaterReport:
    """What stands in a boat, and what its wells and boxes hold.

    Attributes:
        ponds: water of more than `TOLD` litres in one place, worst first, for each way the boat lies.
        wells: what wells and boxes hold.
        findings: where more stands than may, worst first; none twice.
        floors: how many surfaces and columns were looked at.
        area: of all that, mm2.
    """

    ponds: tuple[Pond, ...]
    wells: tuple[Holds, ...]
    findings: tuple[Finding, ...]
    floors: tuple[int, int]
    area: float
    units: str

    def summary(self) -> tuple[str, ...]:
        """What was looked at, and what each well and box holds."""
        pieces, columns = self.floors
        left = [p for p in self.ponds if p.attitude == "at rest"]
        stands, off = sum(p.litres for p in left), sum(p.error for p in left)
        wrong = len(self.findings)
        where = "nowhere too much water" if not wrong else f"water stands in {wrong} place{'s'[: wrong > 1]}"
        told = (
            f"{pieces} surfaces ({self.area / 1e6:.1f} m2) in {columns} columns drained at rest and under way"
        )
        return (
            f"{told}: {where}; {stands:.1f} litres left in all, give or take {off:.1f}",
            *(well.told(self.units) for well in self.wells),
        )


def check_water(boat: Boat, spacing: float = SPACING) -> WaterReport:
    """Where water stands in a boat, however she lies.

    Args:
        boat: the boat.
        spacing: greatest width of the columns that she is looked at in, mm.
    """
    flow = flow_of(boat, spacing)
    closed = None if has_outlet(boat) else no_outlet(boat, flow)
    if closed is not None and closed.where is not None:
        lowest = skin_floor(flow.floors, float(closed.where[0]), float(closed.where[1]))
        if lowest is not None:  # what else stands shows only once the bilge is empty
            flow = replace(flow, passages=(*flow.passages, Passage(lowest, OUT, closed.where, "outlet")))
    found: list[Pond] = []
    for attitude in boat.water.attitudes:
        found += ponds(flow.filled(attitude), TOLD)
    pieces = len(set(flow.floors.piece.tolist()))
    findings = water_findings(boat, found)
    findings = (*([closed] if closed is not None else []), *findings, *_barred(boat))
    return WaterReport(
        tuple(found),
        holds(boat),
        findings,
        (pieces, len(flow.floors.grid.areas)),
        float(flow.floors.area.sum()),
        boat.units,
    )


def has_outlet(boat: Boat) -> bool:
    """Whether anything takes water out of the bilge: a drain overboard, or a pump."""
    pumped = any(f.kind == "pump" for f in boat.fixtures)
    return pumped or any(d.of == HULL and d.to == OVERBOARD for d in boat.water.drains)


def no_outlet(boat: Boat, flow: Flow) -> Finding:
    """That nothing takes water out of the bilge, with its lowest place at rest."""
    filling = flow.filled(boat.water.attitudes[0])
    skin = np.flatnonzero(flow.floors.piece == SKIN)
    deepest = int(skin[filling.bed[skin].argmin()])
    label = filling.pools
    litres = float(filling.held[label == label[deepest]].sum()) / LITRE
    at = np.array([flow.floors.x[deepest], 0.0, flow.floors.z[deepest]])
    at[2] = float(boat.hull.bottom(at[0], 0.0))
    what = f"nothing takes water out of the bilge: {volume_told(litres, boat.units)} before she runs over"
    cure = f"a drain plug or a pump at {where_told(at, boat.units)}, under `water: drains:` or `fixtures:`"
    return Finding("drain", ("hull",), what, cure, at)


def _barred(boat: Boat) -> list[Finding]:
    """Drains that come down on a member."""
    found = []
    for drain in boat.water.drains:
        start = holder_height(boat, drain.of, drain.at)
        end = -np.inf if drain.to in (BILGE, OVERBOARD) else holder_height(boat, drain.to, drain.at)
        floors = [boat.panels[i].name for i in passed(boat.panels, drain)] or [drain.of]
        if start is None or drain.of == HULL:
            continue
        for member in boat.members:
            low, high = member.box
            reach = drain.diameter / 2.0
            beside = any(drain.at[k] < low[k] - reach or drain.at[k] > high[k] + reach for k in (0, 1))
            if beside or low[2] > start or high[2] < (-np.inf if end is None else end) or member.is_cut_away:
                continue
            footprint = shapely.MultiPoint(member.corners.reshape(-1, 3)[:, :2]).convex_hull
            if footprint.distance(shapely.Point(drain.at)) < reach and high[2] > start - DEEP:
                at = np.array([*drain.at, start])
                what, cure = "the drain comes down on the member below it", "move the drain clear of it"
                found.append(Finding("drain", (floors[0], member.name), what, cure, at, drain.place))
    return found


def water_findings(boat: Boat, found: Sequence[Pond]) -> tuple[Finding, ...]:
    """One finding for each piece on which more water stands than may, however the boat lies."""
    allowed = _allowed(boat)
    worst: dict[tuple[str, str], list[Pond]] = {}
    for pond in found:
        if pond.litres > boat.water.allow and not allowed(pond.on):
            worst.setdefault((pond.on, _behind(boat, pond)), []).append(pond)
    most = sorted(worst.values(), key=lambda own: -max(pond.litres for pond in own))
    told = [_finding(boat, own) for own in most]
    return tuple(told)


def _behind(boat: Boat, pond: Pond) -> str:
    """What holds the water back; ribs and stringers, which came with the boat, are told together."""
    through = "" if pond.cure is None else pond.cure.through
    return RIBS if through in _stiffeners(boat) else through


def _stiffeners(boat: Boat) -> list[str]:
    return [*(rib.name for rib in boat.hull.ribs), *(bar.name for bar in boat.hull.stringers)]


def _allowed(boat: Boat) -> Callable[[str], bool]:
    """Whether a piece may hold water."""
    known = holder_names(boat)
    names = {holder(name, known) or name for name in boat.water.let_stand}

    def allowed(piece: str) -> bool:
        return any(piece == name or piece.startswith(f"{name}/") for name in names)

    return allowed


def _finding(boat: Boat, own: Sequence[Pond]) -> Finding:
    """The largest of the waters on a piece, with how the boat lies when it stands there."""
    pond = max(own, key=lambda p: p.litres)
    lies = list(dict.fromkeys(p.attitude for p in own))
    amount = volume_told(pond.litres, boat.units)
    deep = length_told(pond.depth, boat.units)
    what = f"{amount} stand {' and '.join(lies)}, {deep} deep"
    others = [p for p in own if p.attitude == pond.attitude and p is not pond]
    what += f", and in {len(others)} more place{'s'[: len(others) > 1]}" if others else ""
    what += f" (the next {where_told(others[0].lowest, boat.units)})" if others else ""
    pieces = tuple(dict.fromkeys((pond.on, *(p.cure.through for p in own if p.cure is not None))))
    place = boat.place(pieces[-1]) or boat.place(pond.on)
    cure, shown = _cure_told(boat, pond), _shown(pond)
    # no length is lacking that a dimension could give: what cures it is a hole
    return Finding("water", pieces, what, cure, pond.lowest, place, shown=shown)


def _shown(pond: Pond) -> tuple[Shown, ...]:
    """The water as a body to draw."""
    return (Shown(f"water on {pond.on}", pond.mesh),) if len(pond.mesh.faces) else ()


def _cure_told(boat: Boat, pond: Pond) -> str:
    cure = pond.cure
    if cure is None:
        return "make a way out at its lowest point"
    where = where_told(cure.at, boat.units)
    if cure.kind == "limber":
        size = length_told(boat.water.limber, boat.units)
        told = f"a limber hole of {size} through {cure.through} at {where}"
        had = "; holes that ribs have already go under `water: rib_limbers:`"
        return told + had if cure.through in _stiffeners(boat) else told
    lead = f", which leads to {cure.below}" if cure.below else ", led overboard, or a pump there"
    return f"a drain of 1 in through {cure.through} at {where}{lead}"


__all__ = ["WaterReport", "check_water"]
