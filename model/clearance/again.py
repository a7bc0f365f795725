"""How much is still lacking of one finding in another boat, without measuring everything again."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from model.clearance.bodies import Body, boat_bodies
from model.clearance.check import FitReport
from model.clearance.heights import heights
from model.clearance.lids import hung_lids
from model.clearance.pairs import measure
from model.clearance.report import Clash
from model.clearance.settings_file import FitSettings
from model.clearance.swing import SPARE, opened
from model.clearance.words import least_move
from model.findings import Finding

if TYPE_CHECKING:
    from model.boat import Boat

FAR = 300.0
"""Pieces further apart than this, mm, are apart."""


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
    return math.nan if clash is None else _clash(boat, clash)


def _clash(boat: Boat, clash: Clash) -> float:
    bodies: dict[str, Body] = {body.name: body for body in boat_bodies(boat)}
    first, second = (bodies.get(body.name) for body in (clash.nearness.first, clash.nearness.second))
    if first is None or second is None:
        return math.nan
    near = measure(first, second, [(a, b) for a in first.solids for b in second.solids], FAR)
    if near is None:
        return 0.0
    if near.shared is None:
        return max(0.0, clash.least - near.gap)
    return least_move(near, clash.least).distance


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
