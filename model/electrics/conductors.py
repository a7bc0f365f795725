"""Copper conductors: areas, what current they may carry, and what voltage they lose.

Sources: areas by ASTM B258 (No. 36 is 0.0050 in, No. 0000 is 0.4600 in, 39 steps between them); currents
33 CFR 183.425 Table 5; voltage drop CM = K I L / E with K = 10.75 (ABYC E-11, 11.14.2.6, as quoted).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

K = 10.75
"""Resistance of copper, ohm circular mils per foot."""

FOOT = 304.8
LEAST_SINGLE, LEAST_SHEATHED = "16", "18"
"""33 CFR 183.425(c), (d): single conductors from 16, in a sheath of several from 18."""

INSULATIONS = (60, 75, 80, 90, 105, 125, 200)
GAUGES = ("18", "16", "14", "12", "10", "8", "6", "4", "3", "2", "1", "1/0", "2/0", "3/0", "4/0")
"""From the thinnest."""

_TABLE_5 = {
    "18": (10, 10, 15, 20, 20, 25, 25),
    "16": (15, 15, 20, 25, 25, 30, 35),
    "14": (20, 20, 25, 30, 35, 40, 45),
    "12": (25, 25, 35, 40, 45, 50, 55),
    "10": (40, 40, 50, 55, 60, 70, 70),
    "8": (55, 65, 70, 70, 80, 90, 100),
    "6": (80, 95, 100, 100, 120, 125, 135),
    "4": (105, 125, 130, 135, 160, 170, 180),
    "3": (120, 145, 150, 155, 180, 195, 210),
    "2": (140, 170, 175, 180, 210, 225, 240),
    "1": (165, 195, 210, 210, 245, 265, 280),
    "1/0": (195, 230, 245, 245, 285, 305, 325),
    "2/0": (225, 265, 285, 285, 330, 355, 370),
    "3/0": (260, 310, 330, 330, 385, 410, 430),
    "4/0": (300, 360, 385, 385, 445, 475, 510),
}
"""33 CFR 183.425 Table 5, amperes by insulation rating, outside engine spaces."""

_ENGINE_SPACE = {60: 0.58, 75: 0.75, 80: 0.78, 90: 0.82, 105: 0.85, 125: 0.89, 200: 1.0}
"""Table 5, note 1: 105 C as found, the others from memory."""

_BUNDLES = ((25, 0.4), (7, 0.5), (4, 0.6), (3, 0.7))
"""Table 5, note 2: conductors in a bundle from so many, and the factor (from memory)."""

_SAE_MILS = {
    "18": 1537, "16": 2336, "14": 3702, "12": 5833, "10": 9343, "8": 14810, "6": 24538, "4": 37360,
    "3": 48300, "2": 62450, "1": 77790, "1/0": 98980, "2/0": 125100, "3/0": 158600, "4/0": 205500,
}  # fmt: skip
"""Automotive stranded wire, circular mils: 12 as found, the others from memory; 3 lies
between its neighbours (geometric mean)."""

RULED_VOLTS = 50.0
"""From here bundles are derated and fuses held to the table itself (33 CFR 183.425, 183.455)."""


def gauge_of(told: str | int) -> str | None:
    """The name of a size as in `GAUGES`, from 12, '12', '2/0', '00'; None where there is none such."""
    text = str(told).strip()
    if len(text) > 1 and set(text) == {"0"}:
        text = f"{len(text)}/0"
    text = "1/0" if text == "0" else text
    return text if text in GAUGES else None


def diameter_inches(gauge: str) -> float:
    """Diameter of the bare copper as one solid wire, in (ASTM B258)."""
    number = 1 - int(gauge[0]) if gauge.endswith("/0") else int(gauge)
    return float(0.005 * 92.0 ** ((36 - number) / 39.0))


def circular_mils(gauge: str, copper: str = "awg") -> float:
    """Area of the copper, circular mils; `copper` is awg or sae."""
    return float(_SAE_MILS[gauge]) if copper == "sae" else (1000.0 * diameter_inches(gauge)) ** 2


def outside_diameter(gauge: str) -> float:
    """Over the insulation, mm, to tell how large a bundle is.

    Stranding makes the copper about an eighth thicker, insulation adds 0.8 mm all round, and 1.6 mm
    from 6 up (from memory of wire lists).
    """
    wall = 0.8 if GAUGES.index(gauge) < GAUGES.index("6") else 1.6
    return 1.13 * 25.4 * diameter_inches(gauge) + 2.0 * wall


def table_amps(gauge: str, insulation: int) -> float:
    """33 CFR 183.425 Table 5, amperes."""
    return float(_TABLE_5[gauge][INSULATIONS.index(insulation)])


def bundle_factor(count: int) -> float:
    """What is left of a conductor's current in a bundle of `count` (Table 5, note 2; from memory)."""
    return next((factor for least, factor in _BUNDLES if count >= least), 1.0)


@dataclass(frozen=True)
class Laid:
    """How a conductor is laid.

    Attributes:
        insulation: its rating, degrees C.
        engine_space: whether it passes one.
        bundle: conductors that lie together with it, itself among them.
        volts: of the circuit.
        always: whether bundles are derated below 50 V too, which the rule does not ask.
    """

    insulation: int = 105
    engine_space: bool = False
    bundle: int = 1
    volts: float = 12.0
    always: bool = False

    @property
    def factor(self) -> float:
        """What is left of Table 5."""
        hot = _ENGINE_SPACE[self.insulation] if self.engine_space else 1.0
        derated = self.always or self.volts >= RULED_VOLTS
        return hot * (bundle_factor(self.bundle) if derated else 1.0)


def ampacity(gauge: str, laid: Laid) -> float:
    """What a conductor may carry as it is laid, amperes (33 CFR 183.425 Table 5 with its notes)."""
    return table_amps(gauge, laid.insulation) * laid.factor


def drop(gauge: str, amps: float, length: float, copper: str = "awg") -> float:
    """Volts lost along `length` mm of conductor, there and back counted both."""
    return K * amps * (length / FOOT) / circular_mils(gauge, copper)


def mils_needed(amps: float, length: float, volts: float) -> float:
    """Circular mils that lose no more than `volts` along `length` mm, there and back; inf for no volts."""
    return K * amps * (length / FOOT) / volts if volts > 0.0 else math.inf
