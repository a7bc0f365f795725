"""How much is still lacking of one finding in another boat, without measuring everything again."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

from model.clearance.bodies import boat_bodies
from model.clearance.check import FitReport
from model.clearance.contacts import thing_of, things_of
from model.clearance.heights import heights
from model.clearance.kinds import FIXED, ON_HULL
from model.clearance.lids import hung_lids
from model.clearance.report import Clash, clearance_findings
from model.clearance.settings_file import FitSettings
from model.clearance.swing import SPARE, opened
from model.findings import Finding

if TYPE_CHECKING:
    from model.boat import Boat


def still_short(boat: Boat, asked: FitSettings, finding: Finding, report: FitReport) -> float:
    """How much of a finding of the report is left in another boat, in its own measure; 0 where it is gone.

    Args:
        boat: the other boat.
        asked: gaps and heights.
        finding: of `report`.
        report: of the boat that it was found in.

    Returns:
        nan where a piece is there no more.
    """
    if finding.kind == "lid":
        return _lid(boat, finding)
    if finding.kind == "height":
        return _height(boat, asked, finding, report)
    clash = next((c for c in report.clearances.clashes if c.finding.pieces == finding.pieces), None)
    return math.nan if clash is None else _clash(boat, asked, clash)


def _clash(boat: Boat, asked: FitSettings, clash: Clash) -> float:
    """The worst shortfall among pieces of the same two things: numbers of pieces alike may have changed."""
    first, second = clash.nearness.first, clash.nearness.second
    things = things_of(first, second)
    metal = all(body.kind in (*FIXED, *ON_HULL) for body in (first, second))
    bodies = [body for body in boat_bodies(boat) if thing_of(body, metal) in things]
    if {thing_of(body, metal) for body in bodies} != things:
        return math.nan
    settings = replace(asked.clearances, exempt=(*asked.clearances.exempt, *boat.exempt))
    left = clearance_findings(boat, settings, bodies=bodies).clashes
    shorts = [c.finding.short for c in left if things_of(c.nearness.first, c.nearness.second) == things]
    return max((short for short in shorts if short is not None), default=0.0)


def _lid(boat: Boat, finding: Finding) -> float:
    lid = next((lid for lid in hung_lids(boat) if lid.name == finding.pieces[0]), None)
    motion = None if lid is None else lid.motion()
    if lid is None or motion is None:
        return math.nan
    touch = opened(lid, motion, boat_bodies(boat))[0]
    return 0.0 if touch is None or touch.at > motion.limit - SPARE else motion.limit - touch.at


def _height(boat: Boat, asked: FitSettings, finding: Finding, report: FitReport) -> float:
    kind = next((h.kind for h in report.heights if h.pieces == finding.pieces and h.wrong), None)
    found = heights(boat, asked.heights, boat_bodies(boat))
    same = [h for h in found if h.kind == kind and h.pieces[0] == finding.pieces[0]]
    return math.nan if kind is None or not same else max(h.short for h in same)
