"""How the saw is set for a cut of a stick, and how the stick is laid for it.

A stick is drawn as it lies flat, its left end to the left of whoever stands at its near edge. For a
cut it may be rolled about its length, as its section allows, or laid on its height face. A cut plane
x = a - m . (y, z) of the stick as it then lies is made with the table turned by atan(m_y), the far end of the
blade to the left, and the blade tilted by asin(n_z), its top to the left. Of the ways to lie the one is taken
that the saw reaches, then a plain mitre, then the smaller tilt, then the table turned to the left, then the
least rolling: so both slants of a mitre are one setting, with the stick turned over between them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from model.end_cut import PLAIN, SawLimits, past_saw, saw_angles
from model.geometry import Array
from parts.section import Section

SCALE = 0.1
"""A saw is set no finer than this, degrees (common practice): 0.05 degrees off are 0.04 mm across 2 in."""
ALMOST = math.radians(SCALE / 2.0)
"""An end this close to square is cut square, rad."""
QUARTERS = (0, 180, 90, -90)
"""Rolls in degrees, those first that are rather taken."""


@dataclass(frozen=True, slots=True)
class Setting:
    """A setting of the saw, and how the stick is laid.

    Attributes:
        mitre: turn of the table, rad; positive with the far end of the blade to the left.
        tilt: of the blade, rad; positive with its top to the left.
        roll: how far the stick is rolled about its length from how it is drawn, degrees; positive lifts the
            far edge.
        flags: what of the cut is past the saw, in words.
    """

    mitre: float = 0.0
    tilt: float = 0.0
    roll: float = 0.0
    flags: tuple[str, ...] = ()

    @property
    def key(self) -> tuple[int, int]:
        """What must be equal for the saw to stay as it is: both angles as its scale tells them."""
        return round(math.degrees(self.mitre) / SCALE), round(math.degrees(self.tilt) / SCALE)

    @property
    def is_square(self) -> bool:
        """Whether neither angle is set."""
        return self.key == (0, 0)

    @property
    def saw(self) -> str:
        """The saw in words: `square`, `mitre 44.3`, `mitre 31.6, tilt 33.9 left`."""
        mitre, tilt = self.key
        told = [f"mitre {abs(mitre) * SCALE:.1f}{' right' if mitre < 0 else ''}"] if mitre else []
        told += [f"tilt {abs(tilt) * SCALE:.1f} {'left' if tilt > 0 else 'right'}"] if tilt else []
        return ", ".join(told) or "square"

    @property
    def lies(self) -> str:
        """The stick in words: empty as it is drawn, `turned over`, `far edge up`, `near edge up`."""
        if self.is_square:
            return ""
        turned = round(self.roll, 1) % 360
        words = {0.0: "", 90.0: "far edge up", 180.0: "turned over", 270.0: "near edge up"}
        return words.get(turned, f"far edge lifted {turned:.1f} deg")


SQUARE = Setting()


def setting_of(section: Section, slope: Array, limits: SawLimits | None = None) -> Setting:
    """The setting for a cut plane of this slope `(2,)` in stick axes."""
    y, z = float(slope[0]), float(slope[1])
    if math.atan(math.hypot(y, z)) < ALMOST:
        return SQUARE
    saw = limits or SawLimits()
    if section.is_round:
        # Any roll is allowed: the long point of what is left of the cut comes to the near edge.
        mitre = math.atan(math.hypot(y, z))
        roll = -math.degrees(math.atan2(z, y)) + 0.0
        return Setting(mitre, 0.0, roll, past_saw(section, "round", mitre, 0.0, saw))
    return min(_ways(section, y, z, saw), key=_trouble)


def _ways(section: Section, y: float, z: float, saw: SawLimits) -> Iterator[Setting]:
    """The ways to lay the stick for a cut: rolled as the section allows, then on its width or height face."""
    steep = math.sqrt(1.0 + y * y + z * z)
    own = {round(math.degrees(math.atan2(turn[1, 0], turn[0, 0]))) % 360 for turn in section.symmetries}
    for roll in QUARTERS:
        if roll % 360 not in own and (roll + 90) % 360 not in own:
            continue
        c, s = ((1, 0), (0, 1), (-1, 0), (0, -1))[roll // 90 % 4]
        lain = np.array([1.0, c * y - s * z, s * y + c * z]) / steep
        mitre, tilt = (0.0 if abs(angle) < PLAIN else angle for angle in saw_angles(lain, "width"))
        face = "height" if roll % 180 else "width"
        yield Setting(mitre, tilt, float(roll), past_saw(section, face, mitre, tilt, saw))


def _trouble(way: Setting) -> tuple[bool, bool, float, bool, int]:
    """What makes a way worse, gravest first."""
    upright = way.tilt == 0.0
    return (
        bool(way.flags),
        not upright,
        round(abs(way.tilt), 6),
        way.mitre < 0.0,
        QUARTERS.index(int(way.roll)),
    )
