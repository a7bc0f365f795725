"""Ribs and stringers told from the skin: what stands proud of the bottom in bands athwart and fore and aft.

The skin is the outer envelope; what lies inboard of it by more than the noise is counted, in cells of the
bottom, against all that was seen there. A stringer is a row in which most of a long run stands proud, a rib a
column in which most of the breadth does.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from model.geometry import Array
from model.scan.cloud import Bools
from model.scan.fit_skin import chunks
from model.scan.lines import Lines, between_ends
from model.scan.skin_model import lay

ALONG, ACROSS = 5.0, 12.0
"""Millimetres: the cells, fore and aft, and athwart; where points are few they are up to `LONGEST` long."""
LONGEST = 16.0
EACH = 12.0
"""Points that a stretch of the bottom one cell long should hold."""
TALLEST = 150.0
PROUD = 3.5
"""Times the noise that a stiffener stands proud, and never less than `LOWEST` mm."""
LOWEST = 6.0
MOST_OF = 0.5
LONG = 0.2
"""Least length of a stringer over the hull's."""
WIDEST = 130.0
NARROWEST = 8.0
CLEAR_OF_BOW = 60.0
REGULAR = 12.0
"""Millimetres by which ribs of one run may stand off their even places."""


@dataclass(frozen=True, slots=True)
class RibRun:
    """Ribs alike: the middle of the first, distance from one to the next (0 for a lone one), how many, mm.

    `low` and `high` are the lines they run between; `missed` of the run were not seen.
    """

    at: float
    every: float
    count: int
    height: float
    width: float
    low: str
    high: str
    missed: int = 0

    @property
    def until(self) -> float:
        """The middle of the last."""
        return self.at + (self.count - 1) * self.every


@dataclass(frozen=True, slots=True)
class StringerSeen:
    """A stringer on both sides: its middle off the centreline, ends, height above the skin, and width; mm."""

    off: float
    aft: float
    forward: float
    height: float
    width: float


@dataclass(frozen=True, eq=False, slots=True)
class _Bottom:
    """Points of the bottom: x, half-breadth, and height above the skin, mm."""

    x: Array
    y: Array
    up: Array

    @property
    def along(self) -> float:
        """Length of a cell, mm."""
        return float(np.clip(EACH * np.ptp(self.x) / len(self.x), ALONG, LONGEST))


def stiffeners(lines: Lines) -> tuple[tuple[RibRun, ...], tuple[StringerSeen, ...]]:
    """Runs of ribs and stringers that stand on the inside of the bottom, from what was seen."""
    bottom = _bottom(lines)
    proud = max(PROUD * lines.both.noise, LOWEST)
    if len(bottom.x) < 2_000:
        return (), ()
    length = lines.span[1]
    breadth = float(np.quantile(bottom.y, 0.98))
    total, raised = _counted(bottom, proud, length, breadth)
    stringers = tuple(_stringers(bottom, total, raised, proud, length))
    clear = _clear_rows(total.shape[1], stringers, proud)
    ribs = list(_ribs(bottom, total[:, clear], raised[:, clear], proud, stringers))
    high = lines.names[1]
    return tuple(_runs(ribs, lines.names[0], high)), stringers


def _bottom(lines: Lines) -> _Bottom:
    """The points near the lowest panel, starboard laid on port, clear of its edges."""
    found: list[Array] = []
    scan = lines.aligned
    for some in chunks(scan.points[between_ends(scan)]):
        folded = some.copy()
        folded[:, 1] = np.abs(folded[:, 1])
        folded = folded[(folded[:, 0] > 20.0) & (folded[:, 0] < lines.span[1] - CLEAR_OF_BOW)]
        if not len(folded):
            continue
        laid = lay(lines.skin, folded)
        own = (laid.panel == 0) & (laid.share > 0.0) & (laid.share < 0.97)
        own &= (laid.off > -15.0) & (laid.off < TALLEST) & (laid.normal[:, 1] > 0.5)
        up = laid.off[own] / laid.normal[own, 1]
        found.append(np.stack([folded[own, 0], folded[own, 1], up], axis=1))
    rows = np.concatenate(found) if found else np.zeros((0, 3))
    return _Bottom(rows[:, 0], rows[:, 1], rows[:, 2])


def _counted(bottom: _Bottom, proud: float, length: float, breadth: float) -> tuple[Array, Array]:
    """All points and those that stand proud, by cell, `(along, across) float`."""
    edges = (np.arange(0.0, length + bottom.along, bottom.along), np.arange(0.0, breadth + ACROSS, ACROSS))
    total, _, _ = np.histogram2d(bottom.x, bottom.y, edges)
    up = bottom.up > proud
    raised, _, _ = np.histogram2d(bottom.x[up], bottom.y[up], edges)
    return total, raised


def _stringers(
    bottom: _Bottom, total: Array, raised: Array, proud: float, length: float
) -> Iterator[StringerSeen]:
    """Rows across that stand proud over a long run."""
    wide = max(3, round(60.0 / bottom.along))
    rows = len(total) // wide * wide
    many = total[:rows].reshape(-1, wide, total.shape[1]).sum(axis=1)
    up = raised[:rows].reshape(-1, wide, total.shape[1]).sum(axis=1)
    share = up / np.maximum(many, 1.0)
    run = np.sum((share > MOST_OF) & (many >= 3), axis=0) * wide * bottom.along
    for a, b in _bands(run > LONG * length):
        low, high = a * ACROSS, b * ACROSS
        inside = (bottom.y > low) & (bottom.y < high) & (bottom.up > proud)
        height = float(np.quantile(bottom.up[inside], 0.6))
        tall = inside & (bottom.up > 0.5 * height)
        middle = float(np.median(bottom.y[tall]))
        run = (bottom.x > np.quantile(bottom.x[tall], 0.02)) & (bottom.x < np.quantile(bottom.x[tall], 0.98))
        width = _width(bottom.y[run], bottom.up[run] > 0.5 * height, middle, high - low + ACROSS)
        if not NARROWEST <= width <= WIDEST or low <= 0.0:
            continue
        x = bottom.x[tall]
        aft, forward = _ends(x)
        top = tall & (np.abs(bottom.y - middle) < 0.35 * width)
        yield StringerSeen(middle, aft, forward, float(np.median(bottom.up[top])), width)


def _ends(x: Array) -> tuple[float, float]:
    """Where a long band begins and ends: the first and last stretch of 20 mm as full as half the others."""
    edges = np.arange(x.min(), x.max() + 20.0, 20.0)
    count, _ = np.histogram(x, edges)
    full = np.flatnonzero(count > 0.5 * np.median(count[count > 0]))
    inside = x[(x >= edges[full[0]]) & (x <= edges[full[-1] + 1])]
    return float(inside.min()), float(inside.max())


def _width(where: Array, tall: Bools, middle: float, reach: float) -> float:
    """Width of a band about `middle`: the share of tall points, summed across it.

    What noise carries out over an edge it carries in as well, so that the sum stays.
    """
    near = np.abs(where - middle) < reach
    edges = np.arange(middle - reach, middle + reach + 1.0, 4.0)
    every, _ = np.histogram(where[near], edges)
    up, _ = np.histogram(where[near & tall], edges)
    return float(4.0 * np.sum(up / np.maximum(every, 1)))


def _clear_rows(count: int, stringers: tuple[StringerSeen, ...], proud: float) -> Bools:
    """The rows of cells that lie clear of stringers, of the keel and of the chine."""
    y = (np.arange(count) + 0.5) * ACROSS
    clear: Bools = (y > 2.0 * ACROSS) & (y < y[-1] - 2.0 * ACROSS)
    for bar in stringers:
        clear &= np.abs(y - bar.off) > bar.width / 2.0 + ACROSS
    return clear


def _ribs(
    bottom: _Bottom, total: Array, raised: Array, proud: float, stringers: tuple[StringerSeen, ...]
) -> Iterator[tuple[float, float, float]]:
    """Middle, height and width of each rib."""
    many, up = total.sum(axis=1), raised.sum(axis=1)
    share = up / np.maximum(many, 1.0)
    clear = np.ones(len(bottom.x), dtype=np.bool_)
    for bar in stringers:
        clear &= np.abs(bottom.y - bar.off) > bar.width / 2.0 + ACROSS
    for a, b in _bands((share > MOST_OF) & (many >= 4.0)):
        low, high = a * bottom.along, b * bottom.along
        inside = (
            clear & (bottom.x > low - bottom.along) & (bottom.x < high + bottom.along) & (bottom.up > proud)
        )
        if inside.sum() < 25 or high - low > WIDEST:
            continue
        middle = float(np.median(bottom.x[inside]))
        height = float(np.quantile(bottom.up[inside], 0.6))
        tall = inside & (bottom.up > 0.5 * height)
        width = _width(
            bottom.x[clear], bottom.up[clear] > 0.5 * height, middle, high - low + 2.0 * bottom.along
        )
        top = tall & (np.abs(bottom.x - middle) < 0.35 * width)
        if top.sum() > 8 and width >= NARROWEST:
            yield middle, float(np.median(bottom.up[top])), width


def _bands(full: Bools) -> list[tuple[int, int]]:
    """Runs of true, a gap of one closed: first and one past the last."""
    closed = full.copy()
    closed[1:-1] |= full[:-2] & full[2:]
    step = np.diff(np.concatenate([[0], closed.astype(np.int8), [0]]))
    return list(zip(np.flatnonzero(step == 1).tolist(), np.flatnonzero(step == -1).tolist(), strict=True))


def _runs(ribs: list[tuple[float, float, float]], low: str, high: str) -> Iterator[RibRun]:
    """Ribs at even distances as one run, with those that were not seen between; others alone."""
    if not ribs:
        return
    x = np.array([rib[0] for rib in ribs])
    height = float(np.median([rib[1] for rib in ribs]))
    width = float(np.median([rib[2] for rib in ribs]))
    if len(ribs) >= 3:
        step = float(np.median(np.diff(x)))
        number = np.rint((x - x[0]) / step)
        every, at = (float(value) for value in np.polyfit(number, x, 1))
        even = np.abs(x - at - every * number) < REGULAR
        if even.all() and every > 2.0 * width:
            count = int(number[-1]) + 1
            yield RibRun(at, every, count, height, width, low, high, count - len(ribs))
            return
    for middle, tall, wide in ribs:
        yield RibRun(middle, 0.0, 1, tall, wide, low, high)
