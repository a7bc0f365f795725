"""Sheet between members as a plate: simply supported all round, with the pull in its own plane as it sags.

Small deflection: Navier's series for a rectangular plate under a load spread over a rectangle (Timoshenko and
Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed., articles 28 to 30). Its edges are held to the frame,
so that from half the thickness on the sheet hangs between them as well: bending and pull share the load as
W + r W^3 = W0, W0 the sag of bending alone (one-term solution of von Karman's equations for edges that cannot
draw in; same book, articles 101 and 102). Simple supports leave the edge's own bending out: where it yields
beside the weld the plate is no worse off than this (limit analysis).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

POISSON = 0.33
"""Of aluminium alloys (physicsforums.com 574901, and common handbooks)."""

TERMS = 61
"""Terms of the series each way; odd and even, for loads off the middle."""

PULL_MIDDLE = 3.92
"""Pull in the middle of a square sheet without stiffness, over E (W/a)^2: from W = 0.318 a (q a/E t)^(1/3)
and stress 0.396 (q^2 E a^2/t^2)^(1/3) (Timoshenko and Woinowsky-Krieger, article 101)."""


@dataclass(frozen=True)
class Plate:
    """A rectangle of sheet: `length` and `width` between its supports, `thickness`, mm; `e`, N/mm2."""

    length: float
    width: float
    thickness: float
    e: float

    @property
    def rigidity(self) -> float:
        """D = E t^3 / 12 (1 - nu^2), Nmm."""
        return self.e * self.thickness**3 / (12 * (1 - POISSON**2))

    @property
    def short(self) -> float:
        """The shorter side, mm."""
        return min(self.length, self.width)

    def bent(
        self, pressure: float, patch: tuple[float, float], at: tuple[float, float]
    ) -> tuple[float, float]:
        """Sag and greatest bending stress under the middle of a load, by bending alone.

        Args:
            pressure: N/mm2 over the patch.
            patch: its sides along the length and the width, mm, on the plate altogether.
            at: its middle, mm from a corner of the plate.

        Returns:
            (mm, N/mm2).
        """
        m = np.arange(1, TERMS + 1)[:, None]
        n = np.arange(1, TERMS + 1)[None, :]
        a, b = self.length, self.width
        at_x, at_y = np.sin(m * np.pi * at[0] / a), np.sin(n * np.pi * at[1] / b)
        spread = np.sin(m * np.pi * patch[0] / (2 * a)) * np.sin(n * np.pi * patch[1] / (2 * b))
        load = 16 * pressure / (np.pi**2 * m * n) * at_x * at_y * spread
        p, q = (m / a) ** 2, (n / b) ** 2
        terms = load / (p + q) ** 2 * at_x * at_y / np.pi**4
        sag = float(terms.sum()) / self.rigidity
        along = float((terms * (p + POISSON * q)).sum()) * np.pi**2
        across = float((terms * (q + POISSON * p)).sum()) * np.pi**2
        return sag, 6 * max(along, across) / self.thickness**2

    def hanging(self, reach: float, held: float = 1.0) -> float:
        """The r of W + r W^3 = W0, 1/mm2.

        Args:
            reach: the length that sags along the longer side, mm.
            held: share of the hold of edges that cannot draw in.
        """
        a, b = min(max(self.length, self.width), max(reach, self.short)), self.short
        fourth, square = 1 / a**4 + 1 / b**4, 1 / a**2 + 1 / b**2
        pull = (3 - POISSON**2) * fourth + 4 * POISSON / (a * b) ** 2
        return held * 12 * pull / (16 * self.thickness**2 * square**2)


@dataclass(frozen=True)
class Sagged:
    """A plate under a load.

    Attributes:
        sag: mm.
        bent_only: the sag if it did not hang between its edges, mm.
        bending: greatest bending stress, N/mm2.
        pull: in the sheet's plane in the middle, N/mm2.
        pull_edge: the same where it meets the member, N/mm2.
    """

    sag: float
    bent_only: float
    bending: float
    pull: float
    pull_edge: float

    @property
    def stress(self) -> float:
        """Bending and pull together in the middle, N/mm2."""
        return self.bending + self.pull


def sagged(plate: Plate, force: float, patch: tuple[float, float], held: float = 1.0) -> Sagged:
    """A plate under a load spread over a rectangle on its middle.

    Args:
        plate: the sheet.
        force: over the whole patch, N.
        patch: its sides along the plate's length and width, mm; what does not fit on the plate bears on the
            members beside it.
        held: share of the hold of edges that cannot draw in.
    """
    pressure = force / (patch[0] * patch[1])
    own = min(patch[0], plate.length), min(patch[1], plate.width)
    flat, bending = plate.bent(pressure, own, (plate.length / 2, plate.width / 2))
    along = own[0] if plate.length >= plate.width else own[1]
    sag = _cubic(flat, plate.hanging(along + plate.short, held))
    strain = held * (sag / plate.short) ** 2
    # Across a long strip pi^2 W^2 / 4 b^2 of strain, held both ways: E / (1 - nu^2) of stress.
    edge = np.pi**2 / (4 * (1 - POISSON**2)) * plate.e * strain
    share = sag / flat if flat > 0 else 1.0
    return Sagged(sag, flat, bending * share, PULL_MIDDLE * plate.e * strain, edge)


def sag_under(plate: Plate, force: float, side: float, at: tuple[float, float], held: float = 1.0) -> float:
    """Sag under a small square load anywhere on a plate, mm; `at` from a corner of the plate."""
    patch = min(side, plate.length), min(side, plate.width)
    flat, _ = plate.bent(force / (patch[0] * patch[1]), patch, at)
    return _cubic(flat, plate.hanging(side + plate.short, held))


def _cubic(flat: float, r: float) -> float:
    """The one real root of W + r W^3 = flat."""
    # W = 2 / sqrt(3 r) sinh(asinh(1.5 sqrt(3 r) flat) / 3): the hyperbolic form of Cardano's root.
    root = np.sqrt(3 * r)
    return float(2 / root * np.sinh(np.arcsinh(1.5 * root * flat) / 3))
