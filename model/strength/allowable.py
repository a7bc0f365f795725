"""What stress is allowed in aluminium: away from welds, beside them, where part of a section is softened."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from model.member import Member
from model.strength.settings import StrengthSettings
from parts.alloy import Alloy
from parts.section import Section

SHEAR = 1 / math.sqrt(3)
"""Yield in shear over yield in tension (von Mises; the Aluminum Design Manual's Fsy)."""

UNKNOWN = 0.3
"""Share of an alloy's strength counted beside a weld where none is known: less than any here keeps."""

POST_MARGIN = 1.95
"""On elastic buckling (Aluminum Design Manual, building type, columns; from memory)."""

STOUT, THIN = 21.0, 33.0
"""Flat walls up to `STOUT` times their thickness yield before they buckle; above `THIN` they buckle while
elastic (6061-T6, both edges held; Aluminum Design Manual 2005, table 2-21, from memory)."""


@dataclass(frozen=True)
class Allowed:
    """Stresses of one alloy, N/mm2: `plain` away from welds, `beside` within the softened zone."""

    plain: float
    beside: float

    def partly(self, share: float) -> float:
        """Where `share` of the section is softened: Fn - Aw/Ag (Fn - Fw) (Aluminum Design Manual)."""
        return self.plain - share * (self.plain - self.beside)


def allowed(alloy: Alloy, settings: StrengthSettings) -> Allowed:
    """The lesser of yield and tensile strength over their margins, plain and beside a weld.

    Kissell and Ferry, Aluminum Structures, eq. 5.2. Strengths beside a weld are those for member design; an
    alloy for which none are known counts with `UNKNOWN` of its own.
    """

    def least(ultimate: float, yields: float) -> float:
        return min(ultimate / settings.ultimate_margin, yields / settings.yield_margin)

    plain = least(alloy.ultimate.value, alloy.yields.value)
    if not knows_welds(alloy):
        return Allowed(plain, UNKNOWN * plain)
    weld = alloy.beside_weld("member design")
    return Allowed(plain, min(least(weld.ultimate.value, weld.yields.value), plain))


def knows_welds(alloy: Alloy) -> bool:
    """Whether strengths beside a weld, for member design, are known of an alloy."""
    return any(found.convention == "member design" for found in alloy.welded)


def soft_share(member: Member, settings: StrengthSettings) -> float:
    """Share of a bar's section that is softened where sheet is welded along both edges of its upper face."""
    if not settings.sheet_welded or abs(float(member.axis[2])) > 0.5:
        return 0.0
    section = member.section
    upright = abs(float(member.frame.z[2])) > 0.7
    width, depth = (section.width, section.height) if upright else (section.height, section.width)
    if section.kind != "rect":
        return min(settings.zone / depth, 1.0)
    t = section.wall
    sides = 2 * t * max(min(settings.zone, depth) - t, 0.0)
    bottom = t * width if settings.zone >= depth else 0.0
    return min((t * width + sides + bottom) / section.area, 1.0)


def buckling(section: Section, length: float, e: float) -> float:
    """Allowed compression of a post by elastic buckling, pinned ends: pi^2 E / (n (L/r)^2), N/mm2."""
    slender = max(length / section.weak_gyration, 1e-9)
    return math.pi**2 * e / (POST_MARGIN * slender**2)


@dataclass(frozen=True)
class Resistance:
    """Moduli of a section about its principal axes, mm3, and areas, mm2.

    Attributes:
        bend_y, bend_z: elastic moduli.
        area: of the metal.
        shear_y, shear_z: areas that carry shear along y and z.
        twist: torque over shear stress, mm3.
    """

    bend_y: float
    bend_z: float
    area: float
    shear_y: float
    shear_z: float
    twist: float


def resistance(section: Section) -> Resistance:
    """What a section resists with.

    A rectangular tube: shear in the two walls along it, and Bredt's thin-walled torsion, tau = T / 2 Am t.
    Any other: half the area for shear, T t / J for torsion.
    """
    straight = abs(section.iyz) <= 1e-6 * max(section.iy, section.iz)
    bends = (
        (section.modulus_y, section.modulus_z) if straight else (section.strong_modulus, section.weak_modulus)
    )
    area, t = section.area, section.wall
    if section.kind == "rect" and section.holes:
        w, h = section.width, section.height
        return Resistance(*bends, area, 2 * t * w, 2 * t * h, 2 * (w - t) * (h - t) * t)
    return Resistance(*bends, area, area / 2, area / 2, section.torsion / t)


def wall_factor(section: Section) -> float:
    """By how much less a tube or hat bears away from welds since its widest wall may buckle; 1 if stout.

    27.3 - 0.291 b/t ksi up to `THIN`, 580 / (b/t) ksi above, over the 21.2 ksi of stout walls (6061-T6; as
    `STOUT`).
    """
    if section.kind == "hat":  # its sides and feet are held by the sheet they are welded to
        ahead = np.roll(section.outer.points, -1, axis=0) - section.outer.points
        straight = np.hypot(ahead[:, 0], ahead[:, 1])[section.outer.bulges == 0.0]
        ratio = float(straight.max()) / section.wall
    elif section.kind == "rect" and section.holes:
        ratio = (max(section.width, section.height) - 2 * section.wall) / section.wall
    else:
        return 1.0
    if ratio <= STOUT:
        return 1.0
    return (27.3 - 0.291 * ratio if ratio <= THIN else 580 / ratio) / 21.2
