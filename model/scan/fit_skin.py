"""A skin fitted to points by least squares; outliers, ribs and clutter lose their weight as it closes in.

Gauss-Newton with Tukey's weights. Points are gathered in cells along the hull and across its panels, so
that a step costs the same for two million points as for twenty thousand once they are laid on the skin.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np
from scipy.linalg import cho_factor, cho_solve
from scipy.sparse import csr_array

from model.geometry import Array
from model.scan.cloud import Bools, Ints, spread
from model.scan.skin_model import Knots, Laid, Skin, bow_slopes, bowing, lay

CHUNK = 100_000
CELL = 30.0
SHARES = 20
SMOOTH = 4.0
"""Millimetres of third difference of a line's coefficients that are usual."""
BOWED = (40.0, 15.0, 15.0)
"""Millimetres of bow, of its skew and of its flatness, that are usual."""
STRAIGHT = 0.01
SHY = 2.5
HOLD = 40.0
"""Millimetres that a corner may wander along the skin from where the sections had it."""
EDGE_HOLD = 0.05
SEEN = 0.5
LEAST_NOISE = 1.0
"""Millimetres; a mesh without noise still strays from so smooth a skin by as much."""


@dataclass(frozen=True, eq=False)
class Fit:
    """A fitted skin.

    Attributes:
        skin: the skin.
        noise: standard deviation of the points about it, square to it, mm.
        covariance: of all its coefficients, mm squared: those of the lines, then those of the bows.
        count: points that told.
        bends: by panel, how many shapes of bow it was free to take: 0 is straight.
        edge: standard error of the upper edge along the skin, mm.
    """

    skin: Skin
    noise: float
    covariance: Array
    count: int
    bends: tuple[int, ...]
    edge: float = 0.0

    def errors(self, x: Array) -> Array:
        """Standard error of the half-breadth and height of each line at x, mm, `(n, lines, 2) float`."""
        skin = self.skin
        first, weights = skin.knots.weights(x)
        found = np.zeros((len(x), skin.count, 2))
        for line in range(skin.count):
            for axis in (0, 1):
                at = ((first[:, None] + np.arange(4)) * skin.count + line) * 2 + axis
                block = self.covariance[at[:, :, None], at[:, None, :]]
                found[:, line, axis] = np.sqrt(
                    np.maximum(np.einsum("nk,nkl,nl->n", weights, block, weights), 0.0)
                )
        corners, _ = skin.at(x)
        way = corners[:, -1] - corners[:, -2]
        found[:, -1] = np.hypot(found[:, -1], self.edge * way / np.hypot(*way.T)[:, None])
        return found

    def bow_sizes(self, x: Array) -> Array:
        """Root mean square over x of each panel's shapes of bow, less their errors, mm, `(lines - 1, 3)`."""
        skin = self.skin
        first, weights = skin.bow_knots.weights(x)
        inner = skin.bows[0].size
        square = (skin.bow_knots.at(x, skin.bows) ** 2).reshape(len(x), inner)
        for k in range(inner):
            at = skin.lines.size + (first[:, None] + np.arange(4)) * inner + k
            block = self.covariance[at[:, :, None], at[:, None, :]]
            square[:, k] -= np.einsum("nk,nkl,nl->n", weights, block, weights)
        found: Array = np.sqrt(np.maximum(square.mean(axis=0), 0.0)).reshape(skin.bows.shape[1:])
        return found


def started_skin(x: Array, lines: Array, span: tuple[float, float], step: float) -> Skin:
    """A skin through lines `(n, k, 2)` at x `(n,)`, smoothed, over a span of x."""
    spans = max(4, int(np.ceil((span[1] - span[0]) / step)))
    knots = Knots(span[0], (span[1] - span[0]) / spans, spans)
    wide = max(2, spans // 2)
    bow_knots = Knots(span[0], (span[1] - span[0]) / wide, wide)
    first, weights = knots.weights(x)
    basis = np.zeros((len(x), knots.count))
    np.put_along_axis(basis, first[:, None] + np.arange(4), weights, axis=1)
    third, second = (np.diff(np.eye(knots.count), k, axis=0) for k in (3, 2))
    # Where no section was cut lines run on nearly straight; where some were, these outweigh that.
    rough = 0.5 * third.T @ third + 0.02 * second.T @ second
    flat = lines.reshape(len(x), -1)
    trust = np.ones(flat.shape)
    found = np.zeros((knots.count, flat.shape[1]))
    for _ in range(6):
        for k in range(flat.shape[1]):
            scaled = basis * trust[:, k : k + 1]
            found[:, k] = np.linalg.solve(scaled.T @ basis + rough, scaled.T @ flat[:, k])
        # A section whose corner was taken wrongly loses its say (Huber's weights).
        away = np.abs(flat - basis @ found)
        trust = np.minimum(1.0, np.maximum(2.0 * np.median(away, axis=0), 3.0) / np.maximum(away, 1e-9))
    coefficients = found.reshape(knots.count, *lines.shape[1:])
    coefficients[:, 0, 0] = 0.0
    return Skin(knots, coefficients, bow_knots, np.zeros((bow_knots.count, lines.shape[1] - 1, 3)))


def fitted_skin(
    skin: Skin, points: Array, reaches: tuple[float, ...], bends: tuple[int, ...], noise: float
) -> Fit:
    """The skin fitted to points of its side.

    Args:
        skin: where to begin.
        points: `(n, 3) float`, half-breadths positive.
        reaches: distance beyond which a point counts nothing, mm, for each step; 0 for as the noise has it.
        bends: by panel, how many shapes of bow it may take, up to 3.
        noise: of the points, mm, to begin with.
    """
    held = skin
    count, factor = 0, (np.eye(skin.lines.size + skin.bows.size), True)
    for reach in reaches:
        far = reach or 4.7 * noise
        cells, count, noise = gathered(skin, points, far, noise)
        skin, factor = _stepped(skin, held, cells, bends, noise)
    covariance = cho_solve(factor, np.eye(len(factor[0])))
    return Fit(skin, noise, covariance, count, bends)


@dataclass(frozen=True, eq=False, slots=True)
class Cells:
    """Points gathered: weight, mean distance off, mean x and share of the chord, and panel of each cell."""

    weight: Array
    off: Array
    x: Array
    share: Array
    panel: Ints

    def seen(self, panel: int) -> Array:
        """The x at which a panel was seen, rising, one for each `CELL` of the length in which it was."""
        own = (self.panel == panel) & (self.x >= 0.0)
        row = (self.x[own] / CELL).astype(np.int64)
        total = np.bincount(row, self.weight[own])
        full = np.flatnonzero(total > SEEN)
        found: Array = np.bincount(row, self.weight[own] * self.x[own])[full] / total[full]
        return found


def chunks(points: Array) -> Iterator[Array]:
    """The points a lot at a time, so that memory stays bounded."""
    for start in range(0, len(points), CHUNK):
        yield points[start : start + CHUNK]


def gathered(
    skin: Skin, points: Array, far: float, noise: float, shy: float = SHY
) -> tuple[Cells, int, float]:
    """The cells of all points within `far` of the skin, how many these are, and their noise.

    Points nearer to a corner than `shy` times the noise may belong to either panel, and are left out.
    """
    low, panels = float(skin.knots.start), skin.count - 1
    rows = int(skin.knots.spans * skin.knots.step / CELL) + 2
    sums = np.zeros((4, rows * panels * SHARES))
    count, offs = 0, []
    for some in chunks(points):
        laid = lay(skin, some)
        square = laid.off * laid.lean
        weight = np.clip(1.0 - (square / far) ** 2, 0.0, None) ** 2
        weight[~_tells(laid, panels, shy * noise, some[:, 0], skin)] = 0.0
        offs.append(square[weight > 0.0])
        count += len(offs[-1])
        weight *= laid.lean**2
        row = np.clip((some[:, 0] - low) / CELL, 0, rows - 1).astype(np.int64)
        column = np.clip(laid.share * SHARES, 0, SHARES - 1).astype(np.int64)
        cell = (row * panels + laid.panel) * SHARES + column
        for k, value in enumerate((np.ones(len(some)), laid.off, some[:, 0], laid.share)):
            sums[k] += np.bincount(cell, weight * value, sums.shape[1])
    full = np.flatnonzero(sums[0] > 1e-9)
    total = sums[0, full]
    means = sums[1:, full] / total
    panel = (full // SHARES) % panels
    return (
        Cells(total, means[0], means[1], means[2], panel),
        count,
        max(spread(np.concatenate(offs)), LEAST_NOISE),
    )


def _tells(laid: Laid, panels: int, near: float, x: Array, skin: Skin) -> Bools:
    """Whether each point tells of its panel: on its chord, not so near a corner that it may be another's."""
    from_low, from_high = laid.share * laid.chord, (1.0 - laid.share) * laid.chord
    shy = np.minimum(near, 0.2 * laid.chord)
    low = np.where(laid.panel == 0, 0.0, shy)
    high = np.where(laid.panel == panels - 1, 0.0, shy)
    inside = (x >= skin.knots.start) & (x <= skin.knots.start + skin.knots.step * skin.knots.spans)
    found: Bools = inside & (from_low >= low) & (from_high >= high)
    return found


def _stepped(
    skin: Skin, held: Skin, cells: Cells, bends: tuple[int, ...], noise: float
) -> tuple[Skin, tuple[Array, bool]]:
    """One step of Gauss-Newton, and Cholesky's factor of what the coefficients are known by."""
    rows = _slopes(skin, cells)
    weight = cells.weight / noise**2
    scaled = rows.multiply(weight[:, None]).tocsr()
    matrix = (rows.T @ scaled).toarray()
    right = -(scaled.T @ cells.off)
    for block, off in _priors(skin, held, bends):
        matrix += (block.T @ block).toarray()
        right -= block.T @ off
    factor = cho_factor(matrix, lower=True)
    step = cho_solve(factor, right)
    split = skin.lines.size
    return replace(
        skin,
        lines=skin.lines + step[:split].reshape(skin.lines.shape),
        bows=skin.bows + step[split:].reshape(skin.bows.shape),
    ), factor


def _slopes(skin: Skin, cells: Cells) -> csr_array:
    """How the distances of cells change with the coefficients, one row a cell."""
    corners, bows = skin.at(cells.x)
    row = np.arange(len(cells.x))
    chord = corners[row, cells.panel + 1] - corners[row, cells.panel]
    length = np.hypot(*chord.T)[:, None]
    # As an end of a chord moves along it, so does the bow below a point.
    steep = np.einsum("nk,nk->n", bows[row, cells.panel], bow_slopes(cells.share))[:, None]
    normal = (np.stack([-chord[:, 1], chord[:, 0]], axis=1) - steep * chord / length) / length
    columns, values = [], []
    first, weights = skin.knots.weights(cells.x)
    for end, share in ((0, 1.0 - cells.share), (1, cells.share)):
        for axis in (0, 1):
            at = (first[:, None] + np.arange(4)) * skin.count + (cells.panel + end)[:, None]
            columns.append(at * 2 + axis)
            values.append(-weights * (share * normal[:, axis])[:, None])
    first, weights = skin.bow_knots.weights(cells.x)
    shapes = bowing(cells.share)
    for k in range(3):
        at = (first[:, None] + np.arange(4)) * (skin.count - 1) + cells.panel[:, None]
        columns.append(skin.lines.size + at * 3 + k)
        values.append(-weights * shapes[:, k : k + 1])
    column, value = np.concatenate(columns, axis=1), np.concatenate(values, axis=1)
    start = np.arange(0, column.size + 1, column.shape[1])
    return csr_array(
        (value.ravel(), column.ravel(), start), shape=(len(row), skin.lines.size + skin.bows.size)
    )


def _priors(skin: Skin, held: Skin, bends: tuple[int, ...]) -> Iterator[tuple[csr_array, Array]]:
    """What is known beforehand: rows over the coefficients and how far off these are, in usual deviations."""
    yield _smooth(skin.knots.count, skin.lines, 0, SMOOTH, skin)
    # The lowest line lies on the centreline.
    count, size = skin.count, skin.lines.size + skin.bows.size
    keel = np.arange(skin.knots.count) * count * 2
    yield _rows(keel[:, None], np.full((len(keel), 1), 1.0 / 0.01), size), skin.lines[:, 0, 0] / 0.01
    yield _smooth(skin.bow_knots.count, skin.bows, skin.lines.size, SMOOTH, skin)
    usual = np.array([[*BOWED[:free], *[STRAIGHT] * (3 - free)] for free in bends])
    at = skin.lines.size + np.arange(skin.bows.size)
    scale = np.broadcast_to(1.0 / usual, skin.bows.shape).ravel()
    yield _rows(at[:, None], scale[:, None], size), skin.bows.ravel() * scale
    for line in range(1, count):
        yield _hold(skin, held, line, EDGE_HOLD if line == count - 1 else HOLD)


def _smooth(n: int, coefficients: Array, start: int, usual: float, skin: Skin) -> tuple[csr_array, Array]:
    """Third differences along the hull of every spline."""
    inner = coefficients.size // n
    first = start + np.arange((n - 3) * inner)
    columns = first[:, None] + inner * np.arange(4)
    values = np.tile(np.array([-1.0, 3.0, -3.0, 1.0]) / usual, (len(first), 1))
    off = np.diff(coefficients.reshape(n, inner), 3, axis=0).ravel() / usual
    return _rows(columns, values, skin.lines.size + skin.bows.size), off


def _hold(skin: Skin, held: Skin, line: int, usual: float) -> tuple[csr_array, Array]:
    """A line stays, along the skin, where the sections had it."""
    low, step = skin.knots.start, skin.knots.step
    x: Array = low + step * np.arange(2.0 * skin.knots.spans + 1.0) / 2.0
    corners, _ = held.at(x)
    way = corners[:, line] - corners[:, line - 1]
    if line < skin.count - 1:
        way = way + corners[:, line + 1] - corners[:, line]
    way = way / np.hypot(*way.T)[:, None]
    first, weights = skin.knots.weights(x)
    at = ((first[:, None] + np.arange(4)) * skin.count + line) * 2
    columns = np.concatenate([at, at + 1], axis=1)
    values = np.concatenate([weights * way[:, :1], weights * way[:, 1:]], axis=1) / usual
    off = np.einsum("nk,nk->n", skin.at(x)[0][:, line] - corners[:, line], way) / usual
    return _rows(columns, values, skin.lines.size + skin.bows.size), off


def _rows(columns: Ints, values: Array, size: int) -> csr_array:
    start = np.arange(0, columns.size + 1, columns.shape[1])
    return csr_array((values.ravel(), columns.ravel(), start), shape=(len(columns), size))


Tell = Callable[[str], None]
