"""Where the skin ends above, the gunwale: by the likelihood of points that are dense up to an edge and end.

With noise s points lie at u on skin that ends at e with a density that goes as Phi((e - u) / s), beside a
thin haze of outliers; the e under which the points of a window are likeliest is the edge.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from scipy.special import ndtr

from model.geometry import Array
from model.scan.fit_skin import chunks
from model.scan.skin_model import Skin, lay

WINDOW = 50.0
ENOUGH, MOST = 60.0, 6
"""Points that a window should hold; of so many short ones it is made at most."""
BELOW, ABOVE = 140.0, 160.0
"""Millimetres below and above the edge as it stands within which it is sought."""
STEP = 1.0
BIN = 2.0
HAZE = 0.005
LEAST = 25
STIFF, STIFFEST, SMOOTH = 0.05, 3.0, 1.0
STRAY = 40.0
"""Millimetres by which the edge of a window may stray before it loses its say."""


def edge_shift(skin: Skin, points: Array, noise: float) -> tuple[Array, Array]:
    """How far the upper edge lies above the highest line of the skin, along it.

    Args:
        skin: of this side, fitted.
        points: `(n, 3) float`, half-breadths positive.
        noise: of the points, mm.

    Returns:
        x `(k,)` of windows that tell, and the edge above the line there `(k,)`, mm.
    """
    low, rows = skin.knots.start, int(skin.knots.spans * skin.knots.step / WINDOW) + 1
    bins = int((BELOW + ABOVE) / BIN)
    counts, sums = np.zeros((rows, bins)), np.zeros(rows)
    for some in chunks(points):
        near = some[np.abs(some[:, 0] - low) < WINDOW * rows]
        if not len(near):
            continue
        laid = lay(skin, near)
        above = (laid.share - 1.0) * laid.chord
        own = (laid.panel == skin.count - 2) & (np.abs(laid.off) < 3.5 * noise)
        own &= (above > -BELOW) & (above < ABOVE)
        row = ((near[own, 0] - low) / WINDOW).astype(np.int64)
        good = (row >= 0) & (row < rows)
        column = ((above[own][good] + BELOW) / BIN).astype(np.int64)
        np.add.at(counts, (row[good], np.clip(column, 0, bins - 1)), 1.0)
        sums += np.bincount(row[good], near[own, 0][good], rows)
    # Where points are few, windows are longer.
    many = max(1, min(MOST, int(np.ceil(ENOUGH / max(float(np.median(counts.sum(axis=1))), 1.0)))))
    rows = -(-rows // many)
    full = np.zeros((rows * many, bins))
    full[: len(counts)] = counts
    counts = full.reshape(rows, many, bins).sum(axis=1)
    sums = np.concatenate([sums, np.zeros(rows * many - len(sums))]).reshape(rows, many).sum(axis=1)
    # A window at an end is not seen on its whole length: it tells of where its points are.
    x = sums / np.maximum(counts.sum(axis=1), 1.0)
    found = np.array([likeliest(count, noise) for count in counts])
    told = np.isfinite(found)
    return x[told], found[told]


def likeliest(count: Array, noise: float) -> float:
    """The edge of one window's points, mm above the line; nan where too few are there."""
    if count.sum() < LEAST:
        return float("nan")
    u = -BELOW + (np.arange(len(count)) + 0.5) * BIN
    s = np.hypot(noise, BIN / np.sqrt(12.0))
    edges = np.arange(-BELOW + 60.0, ABOVE - 20.0, STEP)
    inside = ndtr((edges[:, None] - u) / s)
    density = (1.0 - HAZE) * inside / (inside.sum(axis=1, keepdims=True)) + HAZE / len(u)
    likelihood = np.log(density) @ count
    best = int(np.clip(np.argmax(likelihood), 1, len(edges) - 2))
    a, b, c = likelihood[best - 1 : best + 2]
    bend = a - 2.0 * b + c
    return float(edges[best] + (0.5 * STEP * (a - c) / bend if bend < 0.0 else 0.0))


def with_edge(skin: Skin, x: Array, shift: Array) -> tuple[Skin, float]:
    """The skin with its highest line moved along it by a smooth curve through the shifts, robustly.

    Returns:
        The skin, and the standard error of that curve along the skin, mm.
    """
    knots = skin.knots
    first, weights = knots.weights(x)
    basis = np.zeros((len(x), knots.count))
    np.put_along_axis(basis, first[:, None] + np.arange(4), weights, axis=1)
    rough = np.diff(np.eye(knots.count), 2, axis=0)
    trust: Array = np.ones(len(x))
    moved: Array = np.zeros(knots.count)
    stiff = STIFF
    away = shift
    smoother: Array = np.zeros((knots.count, len(x)))
    for _ in range(10):
        scaled = basis * trust[:, None]
        held = scaled.T @ basis + stiff * rough.T @ rough + 1e-9 * np.eye(knots.count)
        smoother = np.asarray(np.linalg.solve(held, scaled.T), dtype=np.float64)
        moved[:] = smoother @ shift
        away = np.abs(shift - basis @ moved)
        # The edge is smooth, to about a millimetre of second difference; windows stray as points are few.
        stiff = float(np.clip((1.4826 * float(np.median(away)) / SMOOTH) ** 2, STIFF, STIFFEST))
        reach = max(6.0 * 1.4826 * float(np.median(away)), STRAY)
        trust = np.clip(1.0 - (away / reach) ** 2, 1e-4, None) ** 2
    way = skin.lines[:, -1] - skin.lines[:, -2]
    way /= np.hypot(*way.T)[:, None]
    lines = skin.lines.copy()
    lines[:, -1] += moved[:, None] * way
    # The curve is a weighed sum of the windows' edges, and strays with them.
    gains = np.sqrt(np.mean(np.sum((basis @ smoother) ** 2, axis=1)))
    return replace(skin, lines=lines), float(1.4826 * np.median(away) * gains)
