"""Where a scanned hull is surveyed: stations as asked, or as many as its lines need; what was not seen."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy.interpolate import make_interp_spline

from model.geometry import Array
from model.scan.fit_skin import Cells
from model.scan.lines import Lines

FAIR = 2.0
"""Millimetres by which fair curves through the stations may miss the fitted lines between them."""
MOST = 16
APART = 180.0
FINE = 20.0
SHORT = 150.0
"""Millimetres of a panel without points that are worth telling."""
ABOUT = 100.0
FEWEST = 6.0
FEW = 25.0


@dataclass(frozen=True, slots=True)
class Gap:
    """A stretch of a panel that was not seen: lines beside it, from and to, mm."""

    panel: str
    aft: float
    forward: float


def gaps(lines: Lines) -> tuple[Gap, ...]:
    """The stretches of each panel in which no point was seen."""
    found: list[Gap] = []
    cells, end = lines.cells, lines.span[1]
    for panel, (low, high) in enumerate(pairwise(lines.names)):
        x = cells.seen(panel)
        x = np.concatenate([[0.0], x[x < end], [end]])
        wide = np.flatnonzero(np.diff(x) > SHORT)
        found += [Gap(f"{low}>{high}", float(x[k]), float(x[k + 1])) for k in wide]
    return tuple(found)


def seen_near(cells: Cells, line: int, x: float, count: int) -> float:
    """Points of the panels beside a line, on their near halves, within `ABOUT` of x."""
    near = np.abs(cells.x - x) < ABOUT
    below = (cells.panel == line - 1) & (cells.share > 0.5)
    above = (cells.panel == line) & (cells.share < 0.5)
    sides = [
        float(cells.weight[near & own].sum())
        for k, own in ((line, below), (count - 1 - line, above))
        if k > 0
    ]
    # A line is where its panels meet: it is known no better than the less seen of them.
    return min(sides)


def chosen(
    lines: Lines, listed: tuple[float, ...] | None, spacing: float | None, unit: float
) -> tuple[float, ...]:
    """The stations from the transom to the forward end, mm; those not listed lie on whole units of length.

    Args:
        lines: of the scan.
        listed: as asked for; those that the scan does not reach are left out, its ends put in.
        spacing: or how far apart.
        unit: mm that stations are rounded to.
    """
    end = float(np.floor(lines.span[1] / (unit / 100.0)) * (unit / 100.0))
    if listed is not None:
        inner = [x for x in listed if 0.0 < x < end - 1.0]
    elif spacing is not None:
        inner = list(np.arange(spacing, end - 0.3 * spacing, spacing).tolist())
    else:
        inner = _fair(lines, unit)
    return (0.0, *sorted(inner), end)


def _fair(lines: Lines, unit: float) -> list[float]:
    """As few stations as let a fair curve through them follow the lines, put in where it misses most."""
    end = lines.span[1]
    x = np.arange(0.0, end, FINE)
    wanted = np.concatenate([_curves(lines, side, x) for side in ("port", "starboard")], axis=1)
    free = np.ones(len(x), dtype=np.bool_)
    for gap in gaps(lines):
        free &= (x <= gap.aft) | (x >= gap.forward)
    free &= (x > 2.0 * unit) & (x < end - max(2.0 * unit, 120.0))
    at = [0, len(x) // 4, len(x) // 2, 3 * len(x) // 4, len(x) - 1]
    while len(at) < MOST - 1:
        miss = np.abs(make_interp_spline(x[at], wanted[at], k=3)(x) - wanted).max(axis=1)
        apart = np.min(np.abs(x[:, None] - x[at][None]), axis=1) > APART
        miss = np.where(free & apart, miss, 0.0)
        if miss.max() < FAIR:
            break
        at = sorted({*at, int(np.argmax(miss))})
    rounded = {round(float(x[k]) / unit) * unit for k in at[1:-1] if free[k]}
    return [value for value in rounded if unit < value < end - 2.0 * unit]


def _curves(lines: Lines, side: str, x: Array) -> Array:
    found: Array = lines.fit(side).skin.at(x)[0].reshape(len(x), -1)
    return found
