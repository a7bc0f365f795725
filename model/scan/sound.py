"""Whether sections can be surveyed: lines in their order, and each found well enough."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from model.geometry import Array
from model.scan.lines import Lines
from model.scan.to_survey import DRAWN, bowed_shares, shapes

STEP = 10.0
FARTHEST = 400.0
"""Millimetres of the forward end that may be given up."""
UNSURE = 15.0
SLIGHT = 40.0
"""Likewise for lines between, which may lie some way along the skin."""
THINNEST = 12.0
"""Millimetres between two lines at an end; where they are nearer they run together."""


def is_sound(lines: Lines, x: float, inset: float) -> bool:
    """Whether no point of the section lies below the one under it, or draws in only to stand out again."""
    at = np.array([x])
    shares = bowed_shares(lines.both)
    for shape in shapes(lines, inset).values():
        points = []
        for k, corner in enumerate(shape.corners(at)[0]):
            points.append(corner)
            points += [shape.between(at, k, share)[0] for share in shares.get(k, ())]
        if not _in_order(np.array(points)):
            return False
    return True


def _in_order(corners: Array) -> bool:
    rise, out = np.diff(corners[:, 1]), np.diff(corners[:, 0])
    if rise.min() < -DRAWN or corners[:, 0].min() < -DRAWN:
        return False
    draws_in = np.flatnonzero(out < -DRAWN)
    return not len(draws_in) or bool((out[draws_in[0] :] < DRAWN).all())


def with_sound_end(lines: Lines, inset: float) -> tuple[Lines, float]:
    """The lines ended where their section is still known, and how much was given up, mm.

    In a stem the panels close to nothing, and with them the points that tell where they meet. A bow plate
    stays.
    """
    if lines.aligned.bow is not None:
        return lines, 0.0
    end = lines.span[1]
    for x in np.arange(end, end - FARTHEST, -STEP):
        at = np.array([float(x)])
        good = is_sound(lines, float(x), inset)
        for shape in shapes(lines, inset).values():
            apart = np.hypot(*np.diff(shape.corners(at)[0], axis=0).T)
            errors = shape.fit.errors(at)[0].max(axis=1)
            good &= bool(errors[[0, -1]].max() < UNSURE and errors.max() < SLIGHT and apart.min() > THINNEST)
        if good:
            return replace(lines, span=(lines.span[0], float(x))), float(end - x)
    return lines, 0.0
