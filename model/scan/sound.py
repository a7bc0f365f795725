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


def is_sound(lines: Lines, x: float, inset: float, without: frozenset[int] = frozenset()) -> bool:
    """Whether no point of the section lies below the one under it, or draws in only to stand out again."""
    at = np.array([x])
    shares = bowed_shares(lines.both)
    for shape in shapes(lines, inset).values():
        points = []
        for k, corner in enumerate(shape.corners(at)[0]):
            if k not in without:
                points.append(corner)
            if not {k, k + 1} & without:
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


def lost_at(lines: Lines, x: float, inset: float) -> frozenset[int] | None:
    """The lines between keel and gunwale that cannot be told at x; None if that leaves no section either."""
    at = np.array([x])
    sides = list(shapes(lines, inset).values())
    errors = np.max([shape.fit.errors(at)[0].max(axis=1) for shape in sides], axis=0)
    if errors[[0, -1]].max() > UNSURE:
        return None
    inner = range(1, len(errors) - 1)
    gone = {k for k in inner if errors[k] > SLIGHT}
    while not (is_sound(lines, x, inset, frozenset(gone)) and _apart(lines, x, inset, gone) > THINNEST):
        left = [k for k in inner if k not in gone]
        if not left:
            return None
        gone.add(max(left, key=lambda k: float(errors[k])))
    return frozenset(gone)


def _apart(lines: Lines, x: float, inset: float, without: set[int]) -> float:
    """The least distance between neighbouring lines at x, mm."""
    kept = [k for k in range(len(lines.names)) if k not in without]
    corners = [shape.corners(np.array([x]))[0, kept] for shape in shapes(lines, inset).values()]
    return min(float(np.hypot(*np.diff(corner, axis=0).T).min()) for corner in corners)


def with_sound_end(lines: Lines, inset: float) -> tuple[Lines, float]:
    """The lines ended where their section is still known, and how much was given up, mm.

    In a stem the panels close to nothing, and with them the points that tell where they meet. A bow plate
    stays.
    """
    if lines.aligned.bow is not None:
        return lines, 0.0
    end = lines.span[1]
    for x in np.arange(end, end - FARTHEST, -STEP):
        if lost_at(lines, float(x), inset) is not None:
            return replace(lines, span=(lines.span[0], float(x))), float(end - x)
    return lines, 0.0


def run_out(lines: Lines, stations: tuple[float, ...], inset: float) -> dict[float, frozenset[int]]:
    """The lines left out at each station: those that cannot be told there nor anywhere forward of there."""
    found: dict[float, frozenset[int]] = {}
    gone: frozenset[int] = frozenset(range(1, len(lines.names) - 1))
    for station in reversed(stations):
        gone = gone & (lost_at(lines, station, inset) or frozenset())
        found[station] = gone
    return found
