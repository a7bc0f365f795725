"""Most that a hull displaces before water comes in, and the sizes that the rules ask of her."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from model.geometry import Array, Plane
from model.hull import Hull
from model.hull_volume import immersed
from model.hydrostatics.rim import Rim
from model.shell import Shell
from model.survey import SIDES

FOOT, INCH = 304.8, 25.4
MARGIN = 0.05
"""Taken off a displacement worked out from measured lines, for what the tape missed (the handbook)."""


@dataclass(frozen=True, eq=False)
class FloatPlane:
    """The plane of water at the deepest level immersion.

    Attributes:
        plane: of the water in the boat.
        volume: below it, outside of the skin, mm3.
        through: what it touches first.
        how: which attitude it is, in words.
    """

    plane: Plane
    volume: float
    through: str
    how: str


def float_planes(shell: Shell, rim: Rim) -> tuple[FloatPlane, FloatPlane]:
    """The two attitudes that count as level, each lowered to the lowest place where water comes in.

    By 33 CFR 183.35(c) (from memory) the boat is level athwart, and either the sheer is as far from the water
    at the stem as at the top of the transom, or the bow is not below that lowest place; of the latter the
    attitude in which she was surveyed is taken.
    """
    rise = rim.stem - rim.transom
    even = np.array([-rise[2], 0.0, rise[0]]) / float(np.hypot(rise[0], rise[2]))
    found = []
    for normal, how in ((even, "sheer even at stem and transom"), (np.array([0.0, 0.0, 1.0]), "as surveyed")):
        offset = float((rim.points @ normal).min())
        plane = Plane(normal, offset)
        name = rim.lowest(plane)[2]
        found.append(FloatPlane(plane, immersed(shell, plane).volume, name, how))
    return found[0], found[1]


def section_areas(shell: Shell, plane: Plane, count: int = 5) -> tuple[Array, float]:
    """Areas below a plane of even sections from the stem to the transom, mm2, and the length, mm.

    What a builder measures for Simpson's rule: the transom's own area is the last one.
    """
    low, high = shell.span
    x = np.linspace(high - 1e-3, low + 1e-3, count)
    section = shell.chain.at(x)
    height = plane.normal[1] * section[..., 0] + plane.normal[2] * section[..., 1]
    height = height + (plane.normal[0] * x - plane.offset)[:, None]
    areas = [_below(points, own) for points, own in zip(section, height, strict=True)]
    return np.array(areas), float(high - low)


def _below(points: Array, height: Array) -> float:
    """Area of a closed section where its height over the water is below zero."""
    kept = []
    for i in range(len(points)):
        a, b, ha, hb = points[i - 1], points[i], height[i - 1], height[i]
        if (ha <= 0.0) != (hb <= 0.0):
            kept.append(a + (b - a) * ha / (ha - hb))
        if hb <= 0.0:
            kept.append(b)
    if len(kept) < 3:
        return 0.0
    ring = np.array(kept)
    y, z = ring[:, 0], ring[:, 1]
    return abs(float(y @ np.roll(z, -1) - z @ np.roll(y, -1))) / 2.0


@dataclass(frozen=True)
class RuleSizes:
    """Sizes of a boat as 33 CFR 183.3 and 183.53 measure them, mm."""

    length: float
    beam: float
    transom: float
    has_full_transom: bool


def rule_sizes(hull: Hull) -> RuleSizes:
    """Length over the deck, beam between outer sides, width of the transom, all over the outside of the skin.

    Rails, handles and rolled gunwales are not in the survey, and the rule leaves most of them out.
    """
    rim = Rim.of(hull)
    thick = hull.thickness
    length = float(rim.points[:, 0].max() - rim.points[:, 0].min()) + 2.0 * thick
    x = np.linspace(*hull.span, 200)
    widths = sum(np.abs(hull.section(x, side)[..., 0]).max(axis=1) for side in SIDES) + 2.0 * thick
    low, high = hull.span
    aft = widths[x <= low + 0.02 * (high - low)]
    quarter = widths[x <= low + 0.25 * (high - low)]
    beam, transom = float(np.max(widths)), float(np.max(aft))
    full = transom > beam / 2.0
    return RuleSizes(length, beam, transom if full else float(np.max(quarter)), full)
