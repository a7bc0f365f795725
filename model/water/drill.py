"""Limber holes by rule: members that lie on a floor across the way of the water are drilled.

A member dams a floor when it lies about level, its underside on a deck or on the skin, and across the way
that water takes there as the boat lies at rest. Its hole goes from side to side, as low as the flat of its
walls allows, at its lower end or, where neither end is lower, at its middle. No hole takes more than half of
the face.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely

from model.geometry import Array
from model.hole import Hole
from model.hull import Hull
from model.layout.records import Layout
from model.member import Member, member_axes
from model.water.columns import TIGHT
from model.water.settings import WaterSettings

STEEP = 0.5
"""Members that rise more than this (sine) do not lie on a floor."""

ACROSS = 0.35
"""A member dams where the way of the water crosses it at more than about 20 degrees (sine)."""

DROP = 2.0
"""An end that lies lower by this, mm, is where the water gathers."""

LARGEST = 0.5
"""Most of the face that a hole may take: common practice."""

CLEAR = 0.5
"""What a drill stays clear of the inside of the wall below the hole, mm."""

LEAST = 6.0
"""A smaller hole, mm, is stopped by a leaf: common practice."""


def drilled(
    members: Sequence[Member], layout: Layout, hull: Hull, water: WaterSettings
) -> tuple[Member, ...]:
    """The members, those that dam a floor with limber holes in them."""
    if not (water.drill and members):
        return tuple(members)
    found = list(members)
    for i, slope in _lying(members, layout, hull, water):
        hole = _hole(members[i], slope, water.limber)
        if hole is not None:
            found[i] = replace(members[i], holes=(*members[i].holes, hole))
    return tuple(found)


def _lying(
    members: Sequence[Member], layout: Layout, hull: Hull, water: WaterSettings
) -> list[tuple[int, Array]]:
    """Members that lie on something, with the rise of the water's bed there, forward and to port, `(2,)`."""
    a, b = np.array([m.a for m in members]), np.array([m.b for m in members])
    axes = member_axes(a, b, np.array([m.roll for m in members]))
    half = np.array([(m.section.width / 2.0, m.section.height / 2.0) for m in members])
    middle = (a + b) / 2.0
    foot = middle[:, 2] - np.abs(axes[:, 1, 2]) * half[:, 0] - np.abs(axes[:, 2, 2]) * half[:, 1]
    level = np.abs(axes[:, 0, 2]) < STEEP
    up = water.attitudes[0].up
    lean = up[:2] / up[2]
    found: dict[int, Array] = {}
    for deck in layout.decks.values():
        low, high = deck.height_at(deck.plan_area().bounds[0]), deck.height_at(deck.plan_area().bounds[2])
        near = level & (foot > min(low, high) - TIGHT) & (foot < max(low, high) + TIGHT)
        for i in np.flatnonzero(near):
            x, y = middle[i, :2].tolist()
            if abs(foot[i] - deck.height_at(x)) < TIGHT and shapely.contains_xy(deck.plan_area(), x, y):
                found[int(i)] = lean + np.array([deck.frame.x[2] / deck.frame.x[0], 0.0])
    skin = hull.bottom(middle[:, 0], middle[:, 1])
    for i in np.flatnonzero(level & (foot - skin < TIGHT)):  # nan, outside the hull, is never on it
        n = hull.normal_at(middle[i, 0], middle[i, 1])
        found.setdefault(int(i), lean - n[:2] / n[2])
    return sorted(found.items(), key=lambda pair: pair[0])


def _hole(member: Member, slope: Array, size: float) -> Hole | None:
    """The hole of a member on a floor that rises so; None where the water runs along it, or no hole fits."""
    frame, section = member.frame, member.section
    across, upward = (frame.y, frame.z) if abs(frame.z[2]) > abs(frame.y[2]) else (frame.z, frame.y)
    rise = float(np.hypot(*slope))
    if rise < 1e-9 or abs(across[:2] @ slope) < ACROSS * rise:
        return None
    face = section.height if upward is frame.z else section.width
    rest = max(section.radius, section.wall) + CLEAR
    diameter = min(size, LARGEST * face, face - 2.0 * rest)
    if diameter < LEAST or section.is_round or not section.holes:
        return None
    prism = member.prism
    near, far = float(prism.near_short[0]), float(prism.far_short[0])
    inset = section.width / 2.0 + diameter
    along = (near + far) / 2.0
    fall = float(frame.x[:2] @ slope + 0.0) * (far - near)
    if far - near > 4.0 * inset and abs(fall) > DROP:
        along = near + inset if fall > 0.0 else far - inset
    sense = math.copysign(1.0, upward[2])
    off = -sense * (face / 2.0 - rest - diameter / 2.0)
    return Hole(along, off, "width" if upward is frame.z else "height", diameter)
