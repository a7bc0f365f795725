"""What water loses on its way through hose and fittings. Millimetres and seconds: flow in mm3/s, heads in mm.

Hose by Darcy and Weisbach, h = f L/D v2/2g, with the friction factor of Colebrook's law in turbulent flow and
64/Re in laminar; fittings by h = K v2/2g. Factor and K are those of the `fluids` library, which has sources.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

GRAVITY = 9806.65
"""Standard gravity, mm/s2 (NIST SP 811, appendix B.8)."""

VISCOSITY = 1.307
"""Kinematic viscosity of fresh water at 10 degrees C, mm2/s (tables of water, from memory)."""

TAIL = 0.85
"""Bore of the tail that a hose is pushed on, as a share of the hose's (from memory)."""

TYPICAL = 3e4
"""Reynolds number at which the loss in bends is taken: 8 l/min in 3/4 in hose is 7e3, 60 l/min 5e4."""


@dataclass(frozen=True)
class Stretch:
    """Hose of one bore with what is on it.

    Attributes:
        bore: inside diameter, mm.
        length: mm.
        roughness: of the bore, mm.
        losses: sum of the K of its bends and fittings, by the speed in this bore.
    """

    bore: float
    length: float
    roughness: float
    losses: float = 0.0

    @property
    def area(self) -> float:
        """Of the bore, mm2."""
        return math.pi / 4.0 * self.bore**2

    def speed(self, flow: float) -> float:
        """Of the water, mm/s, at a flow in mm3/s."""
        return flow / self.area

    def lost(self, flow: float) -> float:
        """Head that a flow loses in it, mm."""
        if flow <= 0.0:
            return 0.0
        speed = self.speed(flow)
        factor = friction_factor(speed * self.bore / VISCOSITY, self.roughness / self.bore)
        return (factor * self.length / self.bore + self.losses) * speed**2 / (2.0 * GRAVITY)


def head_lost(stretches: Sequence[Stretch], flow: float) -> float:
    """Head that a flow of mm3/s loses in stretches one after the other, mm."""
    return sum(stretch.lost(flow) for stretch in stretches)


def friction_factor(reynolds: float, roughness: float) -> float:
    """Darcy's friction factor; `roughness` as a share of the bore."""
    from fluids.friction import friction_factor as factor

    return float(factor(Re=reynolds, eD=roughness))


def bend_loss(bore: float, radius: float, angle: float, roughness: float) -> float:
    """K of a bend of a hose, its middle line on a radius in mm, turned by an angle in rad.

    The bend's own length is part of the hose's, so that only what it loses beyond a straight hose is counted.
    """
    from fluids.fittings import bend_rounded

    if angle < math.radians(1.0):
        return 0.0
    factor = friction_factor(TYPICAL, roughness / bore)
    whole = bend_rounded(Di=bore, angle=math.degrees(angle), fd=factor, rc=max(radius, bore))
    return max(0.0, float(whole) - factor * angle * radius / bore)


def tail_loss(bore: float) -> float:
    """K of one tail that the hose is pushed on: in at a narrower bore and out of it again."""
    return narrowing_loss(bore, TAIL * bore)


def narrowing_loss(bore: float, narrow: float) -> float:
    """K, by the speed in `bore`, of a place where the water passes a narrower bore and widens again."""
    from fluids.fittings import contraction_sharp, diffuser_sharp

    if narrow >= bore:
        return 0.0
    own = float(contraction_sharp(bore, narrow)) + float(diffuser_sharp(narrow, bore))
    return own * (bore / narrow) ** 4


def elbow_loss(bore: float) -> float:
    """K of an elbow of 90 degrees: thirty friction factors of rough pipe (Crane TP-410)."""
    from fluids.fittings import ft_Crane

    return 30.0 * float(ft_Crane(bore / 1000.0))


def valve_loss(bore: float, own: float) -> float:
    """K of an open ball valve of `own` bore in hose of `bore`, by the speed in the hose (Crane TP-410)."""
    from fluids.fittings import K_ball_valve_Crane

    return float(K_ball_valve_Crane(min(own, bore) / 1000.0, bore / 1000.0, 30.0))


def entrance_loss() -> float:
    """K of a sharp-edged way into a hose from a well or the sea."""
    from fluids.fittings import entrance_sharp

    return float(entrance_sharp())


EXIT = 1.0
"""K of a free end: all the speed is lost."""
