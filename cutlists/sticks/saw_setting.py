"""How the saw is set for a cut of a stick, and how the stick lies for it.

A cut may be made with the stick rolled as its section allows, so that both slants of one mitre are one
setting: the stick is turned over and the saw stays. Among the ways to lie, and the face that is down, the
one with a plain mitre is taken, then the smaller tilt, then no turning over.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from cutlists.saw_list import lies
from model.end_cut import PLAIN, saw_angles
from model.geometry import Array
from parts.section import Section


@dataclass(frozen=True, slots=True)
class Setting:
    """A setting: `face` down ("width", "height" or "round"), `mitre` and `bevel` in rad, `roll` of the stick.

    `mitre` is from 0 up; `bevel` is positive or negative, which is a setting of its own. `roll` is how far
    the stick is rolled about its length from how it is drawn, degrees, positive from the far edge up.
    """

    face: str
    mitre: float
    bevel: float
    roll: float

    @property
    def key(self) -> tuple[str, int, int]:
        """What must be equal for the saw to stay as it is; a square cut does not mind the face."""
        mitre, bevel = round(math.degrees(self.mitre) * 100), round(math.degrees(self.bevel) * 100)
        return ("" if mitre == bevel == 0 else self.face, mitre, bevel)

    @property
    def is_square(self) -> bool:
        """Whether neither angle is set."""
        return self.key[1:] == (0, 0)

    def words(self, section: Section) -> str:
        """The setting in words: `mitre 44.26, flat`, `mitre 31.62, tilt 33.86, edge`, `square`."""
        if self.is_square:
            return "square"
        _, mitre, bevel = self.key
        told = [f"mitre {mitre / 100:.2f}"] if mitre else []
        told += [f"tilt {abs(bevel) / 100:.2f} {'right' if bevel > 0 else 'left'}"] if bevel else []
        return ", ".join([*told, *([] if self.face == "round" else [lies(section, self.face)])])


SQUARE = Setting("width", 0.0, 0.0, 0.0)


def setting_of(section: Section, slope: Array) -> Setting:
    """The setting for a cut plane of this slope `(2,)` in stick axes."""
    tilt = math.hypot(*slope)
    if math.atan(tilt) < PLAIN:
        return SQUARE
    if section.is_round:
        # Any roll is allowed; the long point is turned to the far edge.
        roll = math.degrees(math.atan2(-slope[1], -slope[0]))
        return Setting("round", math.atan(tilt), 0.0, -roll + 0.0)
    normal = np.array([1.0, *slope]) / math.sqrt(1.0 + tilt * tilt)
    found = []
    for turn in section.symmetries:
        roll = round(math.degrees(math.atan2(turn[1, 0], turn[0, 0])))
        rolled = np.concatenate([normal[:1], turn @ normal[1:]])
        for face in ("width", "height"):
            mitre, bevel = saw_angles(rolled, face)
            if abs(mitre) < PLAIN:
                mitre = 0.0
            if abs(bevel) < PLAIN:
                bevel = 0.0
            if mitre > 0.0 or (mitre == 0.0 and bevel > 0.0):
                found.append(Setting(face, mitre, bevel, float(roll)))
    if not found:
        # A section that cannot be rolled takes the table the other way.
        mitre, bevel = saw_angles(normal, "width")
        return Setting("width", mitre, bevel, 0.0)
    return min(found, key=lambda s: (s.bevel != 0.0, round(abs(s.bevel), 6), s.face != "width", abs(s.roll)))
