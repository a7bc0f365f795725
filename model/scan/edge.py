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

WINDOW = 100.0
BELOW, ABOVE = 140.0, 160.0
"""Millimetres below and above the edge as it stands within which it is sought."""
STEP = 1.0
BIN = 2.0
HAZE = 0.02
LEAST = 25


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
    counts = np.zeros((rows, bins))
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
    x = low + (np.arange(rows) + 0.5) * WINDOW
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


def with_edge(skin: Skin, x: Array, shift: Array) -> Skin:
    """The skin with its highest line moved along the skin by a smooth curve through the shifts, robustly."""
    knots = skin.knots
    first, weights = knots.weights(x)
    basis = np.zeros((len(x), knots.count))
    np.put_along_axis(basis, first[:, None] + np.arange(4), weights, axis=1)
    rough = np.diff(np.eye(knots.count), 2, axis=0)
    trust: Array = np.ones(len(x))
    moved: Array = np.zeros(knots.count)
    for _ in range(10):
        scaled = basis * trust[:, None]
        moved[:] = np.linalg.solve(
            scaled.T @ basis + 0.05 * rough.T @ rough + 1e-9 * np.eye(knots.count), scaled.T @ shift
        )
        away = np.abs(shift - basis @ moved)
        reach = max(4.0 * 1.4826 * float(np.median(away)), 3.0)
        trust = np.clip(1.0 - (away / reach) ** 2, 1e-4, None) ** 2
    way = skin.lines[:, -1] - skin.lines[:, -2]
    way /= np.hypot(*way.T)[:, None]
    lines = skin.lines.copy()
    lines[:, -1] += moved[:, None] * way
    return replace(skin, lines=lines)
