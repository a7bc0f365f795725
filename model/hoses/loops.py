"""High loops made by rule: a hose that lets out near the water is led up over it and down to its fitting."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from model.geometry import Array
from model.hoses.on_skin import inward
from model.hoses.plan import PUMPED, HosePlan, PlumbingPlan
from model.hoses.waters import Waters

SPARE = 5.0
"""A loop made by rule rises higher than is asked by this, mm."""

LEG = 1.05
"""Legs of a loop stand apart by so many times twice the bend radius."""


@dataclass(frozen=True, eq=False)
class Loop:
    """A loop before the end of a hose.

    Attributes:
        top: height of the middle of the hose at its top, mm.
        foot: `(3,)` where the leg begins that the water goes up.
        corners: `(n, 3)` from there to before the end.
    """

    top: float
    foot: Array
    corners: Array


def loop_of(plan: HosePlan, start: Array, end: Array, waters: Waters, asked: PlumbingPlan) -> Loop | None:
    """The loop that the file gives or the rule makes; None where there is none, or its points are given.

    Args:
        plan: of the hose.
        start: `(3,)` of the hose, mm.
        end: likewise.
        waters: about the boat.
        asked: what is asked of hoses.
    """
    if plan.points or plan.wants_no_loop:
        return None
    apart = LEG * 2.0 * plan.hose.bend_radius
    inside = inward(plan.end.where)
    # the bend into the fitting must be over before the hose would touch the skin
    near = end + inside * (LEG * plan.hose.bend_radius + plan.hose.outside / 2.0)
    far = near + apart * _along(start - near, inside)
    top = plan.loop
    if top is None and wants_loop(plan, end, waters, asked.near_water):
        top = _top_over(waters, (far, near), asked.loop_height + plan.hose.inside / 2.0 + SPARE)
    return None if top is None else _made(top, far, near, apart)


def wants_loop(plan: HosePlan, end: Array, waters: Waters, near: float) -> bool:
    """Whether a hose is a pump's discharge that ends near the water or below it."""
    if plan.end.group != "skin" or plan.kind not in PUMPED:
        return False
    least = waters.least(end)
    return least is not None and least[0] <= near


def _made(top: float, far: Array, near: Array, apart: float) -> Loop:
    """Up the far leg, across, and down the near one, which turns into the fitting where there is room."""
    foot = far.copy()
    foot[2] = max(far[2], top - 1.25 * apart)
    corners = [[far[0], far[1], top], [near[0], near[1], top]]
    if top - near[2] > apart:
        corners.append([near[0], near[1], near[2]])
    return Loop(top, foot, np.array(corners, dtype=np.float64))


def _top_over(waters: Waters, legs: tuple[Array, Array], least: float) -> float:
    """Least height at which both legs lie so far over the water in every case, mm."""
    return max(
        float(leg[2] + (least - plane.height(leg)) / plane.normal[2])
        for leg in legs
        for plane in waters.planes.values()
    )


def _along(way: Array, inside: Array) -> Array:
    """The level way to where a hose comes from, along the skin, unit `(3,)`."""
    along: Array = way * np.array([1.0, 1.0, 0.0])
    along = along - inside * float(inside @ along)
    size = float(np.linalg.norm(along))
    return along / size if size > 1.0 else np.array([-inside[1], inside[0], 0.0])
