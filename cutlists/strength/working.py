"""The working of the worst member, bay and foot: numbers with their formulas and where these are from."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterable
from typing import TYPE_CHECKING

from model.findings import Finding
from model.strength.allowable import (
    SHEAR,
    UNKNOWN,
    allowed,
    knows_welds,
    resistance,
    soft_share,
    wall_factor,
)
from model.strength.bays import BayUse
from model.strength.check import StrengthReport
from model.strength.plate import Plate
from model.strength.records import FootUse, MemberUse
from model.strength.settings import GRAVITY, StrengthSettings
from model.strength.words import spot_told

if TYPE_CHECKING:
    from model.boat import Boat
    from model.member import Member

WIDTH = 96
CAUTIONS = (
    "This is not approved engineering. It is a builder's reckoning by published formulas; the codes where "
    "the boat is built and used govern, and licensed practice signs for what carries people.",
    "It is as good as its welds: full size, sound, in the alloy and filler of the catalogue, by a qualified "
    "procedure. Fatigue, impact, corrosion and cracks are not in it.",
    "The hull is taken as rigid where posts, brackets and faces stand on it. Whether skin, ribs and "
    "stringers bear that is not asked. Lids and what is bought are rated by their makers.",
)
TAKEN = (
    "Frame: linear analysis in space by PyNite's stiffness of members welded stiff to each other; stubs "
    "from axis to axis where they pass; feet on the hull and brackets of ledgers held but free to turn.",
    "Upright faces carry in their own plane, from member to member; bulkheads and locker walls are left "
    "out, to be safe.",
    "A load on a deck goes to the members round it along two crossed strips, each by the lever rule, "
    "shared as strips of those spans would sag alike (Grashof, Rankine): tributary width.",
    "Where sheet is welded down along a bar its upper part counts as softened: F = Fn - Aw/Ag (Fn - Fw) "
    "(Aluminum Design Manual). Within 1 in of other welds the whole section is.",
    "Hats between members, and flanges of deck sheet that run from member to member, count as bars of their "
    "own metal; the sheet they are one with, which helps them, is left out. Other flanges are not counted.",
)


def working(report: StrengthReport, boat: Boat) -> str:
    """The text of `working.txt`."""
    title = f"{boat.title}: strength of frame and decks"
    lines = [title, "=" * len(title), "", *_wrapped(CAUTIONS, "- "), "", *_asked(report.settings), ""]
    lines += ["How it is reckoned", "", *_wrapped(TAKEN, "- "), "", *_decks(report, boat), ""]
    if report.bent.not_counted:
        lines += [*_wrapped([f"not counted: {', '.join(report.bent.not_counted)}"], "- "), ""]
    if report.members:
        lines += _member(max(report.members, key=lambda m: m.use), boat, report)
    if report.bays:
        lines += ["", *_bay(max(report.bays, key=lambda b: b.use), boat, report.settings)]
    if report.feet:
        lines += ["", *_foot(max(report.feet, key=lambda f: f.use), boat, report.settings)]
    lines += ["", "Findings", ""]
    told = [f"{finding}{_spot(finding, boat)}" for finding in report.findings] or ["none"]
    return "\n".join([*lines, *_wrapped(told, "- ")]) + "\n"


def _spot(finding: Finding, boat: Boat) -> str:
    return "" if finding.where is None else f" ({spot_told(finding.where, boat.units)})"


def _wrapped(texts: Iterable[str], first: str) -> list[str]:
    rest = " " * len(first)
    return [
        line
        for text in texts
        for line in textwrap.wrap(text, WIDTH, initial_indent=first, subsequent_indent=rest)
    ]


def _asked(s: StrengthSettings) -> list[str]:
    weight = s.person * GRAVITY
    return [
        "What is asked",
        "",
        f"- one person of {s.person:.1f} kg, {weight:.0f} N, on a square of {s.foot:.0f} mm, anywhere",
        f"- he jumps: {s.jump:g} times his weight; or two such people stand on one deck",
        f"- gear, fixtures and frame press down {s.slam:g} times their weight when the hull slams",
        f"- margins: {s.ultimate_margin:g} on tensile strength, {s.yield_margin:g} on yield "
        "(Aluminum Design Manual, building type)",
        f"- sag under one who stands still: members span/{s.member_limit:g}, sheet span/{s.sheet_limit:g} "
        f"(IBC table 1604.3), neither more than {s.most_sag:.2f} mm (platforms)",
    ]


def _decks(report: StrengthReport, boat: Boat) -> list[str]:
    lines = ["The worst of each deck", ""]
    for deck in boat.layout.decks:
        worst = report.worst(deck)
        if worst is not None:
            name, use, where = worst
            lines += _wrapped([f"{deck}: {use:.2f} at {name}, {spot_told(where, boat.units)}"], "- ")
    return lines


def _member(use: MemberUse, boat: Boat, report: StrengthReport) -> list[str]:
    s = report.settings
    member = next(m for m in (*boat.members, *report.bent.members) if m.name == use.name)
    force, section = use.force, member.section
    n, vy, vz, t, my, mz = (float(v) for v in force.resultants)
    r = resistance(section)
    straight = abs(n) / r.area + abs(my) / r.bend_y + abs(mz) / r.bend_z
    shear = math.hypot(vy / r.shear_y, vz / r.shear_z) + abs(t) / r.twist
    lines = [
        f"The worst member: {use.name} ({boat.marks.get(use.name, 'no mark')}), {section.name}, "
        f"{section.alloy.name}",
        "",
        f"  at {spot_told(force.where, boat.units)}; load: {force.case}, "
        f"{'within 1 in of a weld' if force.soft else 'away from welds'}",
        f"  N = {n:.0f} N, Vy = {vy:.0f} N, Vz = {vz:.0f} N, T = {t:.0f} Nmm, My = {my:.0f} Nmm, "
        f"Mz = {mz:.0f} Nmm",
        f"  A = {r.area:.0f} mm2, Sy = {r.bend_y:.0f} mm3, Sz = {r.bend_z:.0f} mm3",
        *_allowed_lines(use, member, s),
        f"  stress along it: |N|/A + |My|/Sy + |Mz|/Sz = {straight:.1f} N/mm2",
        f"  shear: V/(2 t h) + T/(2 Am t) = {shear:.1f} N/mm2 (walls along the force; Bredt)",
        f"  use = root of squares of {straight:.1f}/{force.allowed:.1f} and {shear:.1f}/"
        f"{SHEAR * force.allowed:.1f} (von Mises) = {force.use:.3f}"
        + (
            f"; N is held against {force.post:.1f} for buckling"
            if n < 0 and force.post < force.allowed
            else ""
        ),
    ]
    if member.holes:
        lines.append("  holes drilled in it are taken off A, S and the walls where they lie")
    if use.sag:
        lines.append(
            f"  sag {use.sag.sag:.2f} mm over a span of {use.sag.span:.0f} mm, limit "
            f"{s.member_sag(use.sag.span):.2f} mm: use {use.sag.use:.3f}"
        )
    return lines


def _allowed_lines(use: MemberUse, member: Member, s: StrengthSettings) -> list[str]:
    alloy, force = member.section.alloy, use.force
    known = allowed(alloy, s)
    plain = (
        f"  F plain = min({alloy.ultimate.value:g}/{s.ultimate_margin:g}, {alloy.yields.value:g}/"
        f"{s.yield_margin:g}) = {known.plain:.1f} N/mm2 (Kissell and Ferry, eq. 5.2)"
    )
    if knows_welds(alloy):
        weld = alloy.beside_weld("member design")
        beside = (
            f"  F beside a weld = min({weld.ultimate.value:g}/{s.ultimate_margin:g}, {weld.yields.value:g}/"
            f"{s.yield_margin:g}) = {known.beside:.1f} N/mm2"
        )
        sources = [f"    plain: {alloy.yields.source}", f"    beside a weld: {weld.yields.source}"]
    else:
        beside = f"  F beside a weld: not known; {UNKNOWN:g} of plain, {known.beside:.1f} N/mm2"
        sources = [f"    plain: {alloy.yields.source}"]
    if force.soft:
        return [plain, beside, *sources, f"  here F = {force.allowed:.1f} N/mm2"]
    share, walls = soft_share(member, s), wall_factor(member.section)
    return [
        plain, beside, *sources,
        f"  here F = ({known.plain:.1f} - {share:.2f} x {known.plain - known.beside:.1f}) x {walls:.2f} "
        f"= {force.allowed:.1f} N/mm2 (sheet welded along it; walls)",
    ]  # fmt: skip


def _bay(use: BayUse, boat: Boat, s: StrengthSettings) -> list[str]:
    bay, jumped, stood = use.bay, use.jumped, use.stood
    plate = Plate(bay.length, bay.width, bay.sheet.thickness, bay.sheet.alloy.e)
    known = allowed(bay.sheet.alloy, s)
    edge = known.beside if s.sheet_welded else known.plain
    taken = (
        "" if bay.shape == "rectangle" else ", an odd shape taken as a strip of its greatest circle's width"
    )
    reach = min(s.foot, plate.length) + plate.short
    return [
        f"The worst bay of sheet: {bay.name}, {bay.sheet.name}",
        "",
        f"  {bay.length:.0f} by {bay.width:.0f} mm clear{taken}, at {spot_told(bay.where, boat.units)}",
        f"  he jumps on its middle: by bending alone W0 = {jumped.bent_only:.1f} mm (Navier's series, "
        "Timoshenko, arts. 28 to 30)",
        f"  held at its edges: W + r W^3 = W0, r = {plate.hanging(reach, s.sheet_held):.4f} 1/mm2, "
        f"W = {jumped.sag:.2f} mm (von Karman, one term; arts. 101, 102)",
        f"  the sheet beyond holds its edges by {s.sheet_held:g} of fast (k)",
        f"  middle: bending {jumped.bending:.1f} + pull 3.92 k E (W/b)^2 = {jumped.pull:.1f} N/mm2 over "
        f"{known.plain:.1f}: {use.middle:.3f}",
        f"  edge: pull pi^2/(4(1 - nu^2)) k E (W/b)^2 = {jumped.pull_edge:.1f} over {edge:.1f}"
        f"{' beside the weld' if s.sheet_welded else ''}: {use.edge:.3f}",
        f"  he stands still: sag {stood.sag:.2f} mm, limit {s.sheet_sag(plate.short):.2f} mm: {use.sag:.3f}",
    ]


def _foot(use: FootUse, boat: Boat, s: StrengthSettings) -> list[str]:
    sheet = boat.layout.decks[use.deck].sheet
    plain = allowed(sheet.alloy, s).plain
    return [
        f"The worst foot on bare sheet: {use.name} on {use.deck}, {sheet.name}",
        "",
        f"  presses with {use.force:.0f} N; the sheet bears 2 pi F t^2/4 = 2 pi {plain:.1f} "
        f"x {sheet.thickness:.2f}^2 / 4 = {use.bears:.0f} N (yield lines; from memory)",
        f"  use {use.use:.3f}",
    ]
