"""Findings of strength in words: what is too weak, by how much, where, and what would cure it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from model.findings import Finding
from model.geometry import Array
from model.member import Member
from model.strength.allowable import UNKNOWN, knows_welds, wall_factor
from model.strength.bays import BayUse, bay_use, widest_bay
from model.strength.network import Network
from model.strength.records import FootUse, MemberUse
from model.strength.settings import StrengthSettings
from model.strength.solve import Unheld
from parts.catalogue import starter
from parts.lengths import format_length
from parts.section import Section
from parts.sheet import Sheet

if TYPE_CHECKING:
    from model.boat import Boat

KIND = "strength"

NEAR_HOLD = 60.0
"""The worst place of a member no further than this from what holds it, mm, is at it."""


def spot_told(point: Array, units: str) -> str:
    """A place for people: forward of the transom, off the middle."""
    x, y = float(point[0]), float(point[1])
    side = "port" if y >= 0 else "starboard"
    return f"{format_length(x, units)} forward, {format_length(abs(y), units)} to {side}"


def unheld_finding(part: Unheld, boat: Boat) -> Finding:
    """A part of the frame that does not stand."""
    if not part.supported:
        what = f"nothing holds it up: {len(part.members)} member(s) have no path to the hull"
    else:
        what = "it can move freely: what holds it does not keep it from swinging or sliding"
    cure = "set a post, a ledger along the hull or an upright face under it, or join it to what stands"
    where = next((m.centre for m in boat.members if m.name in part.moving), None)
    return Finding(KIND, part.moving[:4], what, cure, where, boat.place(part.moving[0]))


def alloy_findings(boat: Boat) -> list[Finding]:
    """Alloys of members and deck sheet of which no strength beside a weld is known."""
    used = {m.section.alloy.name: (m.section.alloy, m.name) for m in reversed(boat.members)}
    used |= {d.sheet.alloy.name: (d.sheet.alloy, d.name) for d in boat.layout.decks.values()}
    return [
        Finding(
            KIND,
            (piece,),
            f"no strength of {alloy.name} beside a weld is known; {UNKNOWN:g} of its own is counted",
            "add `member design` strengths under `welded` of that alloy in the catalogue, with their source",
            place=boat.place(piece),
        )
        for alloy, piece in used.values()
        if not knows_welds(alloy)
    ]


def member_finding(use: MemberUse, boat: Boat, net: Network) -> Finding:
    """A member whose use is above one."""
    k = next(k for k, m in enumerate(net.members) if m.name == use.name)
    member, units = net.members[k], boat.units
    if use.limit == "sag" and use.sag is not None:
        sag = use.sag
        what = (
            f"use {use.use:.2f}: sags {sag.sag:.1f} mm over a span of {format_length(sag.span, units)} "
            "under one person"
        )
    else:
        beside = "beside a weld" if use.force.soft else "between welds"
        what = f"use {use.use:.2f}: overstressed {beside} by {use.force.case}"
    cure = _member_cure(use, member, net, k, units)
    return Finding(KIND, (use.name,), what, cure, use.force.where, boat.place(use.name), use.use - 1.0, "")


def _member_cure(use: MemberUse, member: Member, net: Network, k: int, units: str) -> str:
    stouter = stouter_section(member.section, use.force.use, use.sag.use if use.sag else 0.0)
    section = f"a section such as {stouter.name}" if stouter else "a stouter section"
    if member.section.kind == "hat":
        section = "a higher hat, or one of thicker sheet"
    if abs(float(member.axis[2])) > 0.5:
        return f"take {section}, or stand it over a member so that it is pressed and not bent"
    line = net.lines[k]
    held = line.at[line.held]
    gap = float(np.abs(held - use.force.at).min()) if len(held) else np.inf
    if gap > NEAR_HOLD:
        return f"set a post under it at {spot_told(use.force.where, units)}, or take {section}"
    return f"halve the longer span beside that place with a post, or take {section}"


def stouter_section(section: Section, strength: float, sag: float) -> Section | None:
    """The lightest section of the catalogue, of the same alloy, that would bring both uses below one.

    Reckoned by its moduli alone: the build that follows has the last word. What is sized in inches is
    replaced by such, if there is one.
    """
    known = [
        s
        for s in starter().sections.values()
        if s.kind == "rect"
        and s.alloy.name == section.alloy.name
        and min(s.modulus_y / section.modulus_y, s.modulus_z / section.modulus_z) * wall_factor(s)
        >= strength * wall_factor(section)
        and s.iy / section.iy >= sag
    ]
    inches = _in_inches(section)
    return min(known, key=lambda s: (_in_inches(s) != inches, s.mass_per_m, s.name), default=None)


def _in_inches(section: Section) -> bool:
    """Whether a section is sized in sixteenths of an inch."""
    return abs(section.width / 1.5875 - round(section.width / 1.5875)) < 1e-6


def bay_findings(uses: Sequence[BayUse], boat: Boat, settings: StrengthSettings) -> list[Finding]:
    """Bays whose use is above one, a finding for each deck: its worst bay, and how many more there are."""
    over = sorted((use for use in uses if use.use > 1.0), key=lambda use: -use.use)
    by_deck: dict[str, list[BayUse]] = {}
    for use in over:
        by_deck.setdefault(use.bay.deck, []).append(use)
    return [_bay_finding(own[0], len(own) - 1, boat, settings) for own in by_deck.values()]


def _bay_finding(use: BayUse, others: int, boat: Boat, settings: StrengthSettings) -> Finding:
    bay, units = use.bay, boat.units
    why = {
        "middle": f"stress {use.jumped.stress:.0f} N/mm2 in its middle when one jumps there",
        "edge": f"pull of {use.jumped.pull_edge:.0f} N/mm2 on its edges when one jumps there",
        "sag": f"sags {use.stood.sag:.1f} mm under one person",
    }[use.limit]
    size = f"{format_length(bay.length, units)} by {format_length(bay.width, units)}"
    what = f"use {use.use:.2f}: {why}; the sheet spans {size} clear"
    if others:
        what += f"; so are {others} more bays of it" if others > 1 else "; so is one more bay of it"
    widest = widest_bay(bay.sheet, bay.length, settings)
    cure = f"set members no more than {format_length(widest, units)} apart in the clear"
    thicker = _thicker(use, settings)
    cure += f", or take {thicker.name} there" if thicker else ""
    return Finding(KIND, (bay.name,), what, cure, bay.where, boat.place(bay.deck), use.use - 1.0, "")


def _thicker(use: BayUse, settings: StrengthSettings) -> Sheet | None:
    """The thinnest sheet of the catalogue, of the same alloy, that would carry a bay."""
    bay = use.bay
    for sheet in sorted(starter().sheets.values(), key=lambda s: s.thickness):
        if sheet.thickness > bay.sheet.thickness and sheet.alloy.name == bay.sheet.alloy.name:
            same = type(bay)(**{**vars(bay), "sheet": sheet})
            if bay_use(same, settings).use <= 1.0:
                return sheet
    return None


def foot_finding(use: FootUse, boat: Boat) -> Finding:
    """A post on bare sheet that presses too hard."""
    what = f"use {use.use:.2f}: presses with {use.force:.0f} N on bare sheet that bears {use.bears:.0f} N"
    cure = f"put a member of {use.deck} under it, or move it over one"
    post = use.name.rpartition("/")[0]
    return Finding(KIND, (post,), what, cure, use.where, boat.place(post), use.use - 1.0, "")
