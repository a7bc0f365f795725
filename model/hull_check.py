"""Whether lines that were measured in order stay in order between the stations."""

from __future__ import annotations

import numpy as np

from model.hull import Hull
from model.survey import SIDES, Side
from parts.faults import FaultList, Place

SLACK = 1.0
"""Millimetres by which fair lines may stray past one another unnoticed: no more than the tape does."""
SAMPLES = 400


def check_lofted(hull: Hull, place: Place, faults: FaultList) -> None:
    """Notes where, between stations, heights fall going up the lines or half-breadths turn negative."""
    sides: tuple[Side, ...] = SIDES[:1] if hull.symmetrical else SIDES
    for side in sides:
        x = np.linspace(*hull.span, SAMPLES)
        section = hull.skins[side].section(x)
        points = np.concatenate([np.broadcast_to(x[:, None, None], (*section.shape[:2], 1)), section], axis=2)
        inside = np.all([end.height(points) <= 0.0 for end in hull.ends], axis=0)
        fall = np.where(inside[:, 1:] & inside[:, :-1], -np.diff(section[..., 1], axis=1), 0.0)
        in_breadth = np.where(inside, -section[..., 0], 0.0)
        for depth, what in (
            (fall, "the heights of the lines fall going up"),
            (in_breadth, "a half-breadth turns negative"),
        ):
            if depth.max() > SLACK:
                at = float(x[int(np.argmax(depth.max(axis=1)))])
                faults.add(
                    place,
                    f"between stations {what}, to {side} by {depth.max():.1f} mm"
                    f" at {at:.0f} mm ({at / 25.4:.1f} in)",
                    "look for a mis-measured point near there, or measure a station in between",
                )
