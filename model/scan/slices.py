"""Sections of thinned points, cut at many places along the hull, and the corners that part their panels.

A section is taken as a curve about a point on the centreline at the height of the gunwale: for each direction
from there the distance at which most points lie. The skin is one thin layer, so that what stands in the boat
or about her does not outweigh it. Corners part the curve into as many pieces, each a quadratic, as leave the
least squares; found by dynamic programming, exactly, then once more held to where their neighbours have them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.ndimage import binary_dilation, grey_closing, median_filter, uniform_filter, uniform_filter1d

from model.geometry import Array
from model.scan.cloud import Bools, Ints
from model.scan.fit_skin import SHARES, Cells
from model.scan.skin_model import Skin

RAYS = 84
LAYER = 12.0
LEAP = 0.08
"""What a step of one layer costs against a crowded ray, by its square."""
NOTCH = 11
"""Rays; what stands proud over fewer is a stiffener and no panel."""
WIDE = 120.0
"""Millimetres along the hull that a section gathers: three ribs' width, so that skin outweighs ribs."""
GATHERED, WIDEST = 350.0, 300.0
"""Points that a section should hold; where they are few it is taken as wide as this."""
ALONG = 5
"""Sections, the middle one of which is believed."""
NEAR = 14.0
"""Millimetres from where the most crowded layer runs within which a point makes the section."""
PLACES = 48
TOGETHER = 7
"""Sections that find their corners together: a weak corner shows in many where noise hides it in one."""
RAY_NOISE = 2.0
ASIDE = 0.25
ROUNDS = 3
HUGE = 1e12
LEAST = 4
"""Places that a piece between two corners takes at least."""


@dataclass(frozen=True, eq=False, slots=True)
class Section:
    """A section: at `x`, a curve `(n, 2) float` of half-breadth and height from the keel up, mm."""

    x: float
    curve: Array


@dataclass(frozen=True, eq=False, slots=True)
class _Slab:
    """The points about x, half-breadth and height, both sides laid on one another; size of the section."""

    x: float
    flat: Array
    breadth: float
    top: float


def sections(points: Array, x: Array) -> list[Section]:
    """The sections of points `(n, 3)`, spread evenly, at each x where enough was seen."""
    dense = len(points) / max(float(np.ptp(points[:, 0])), 1.0)
    wide = float(np.clip(GATHERED / dense, WIDE, WIDEST))
    slabs = [slab for slab in (_slab(points, float(at), wide) for at in x) if slab is not None]
    if len(slabs) < 4:
        return []
    tops = median_filter(np.array([slab.top for slab in slabs]), ALONG, mode="nearest")
    rays = [_rays(slab, top) for slab, top in zip(slabs, tops, strict=True)]
    layers = np.array([_crowded(*ray) for ray in rays])
    # Stiffeners along the hull are notches in the distance, narrower than a panel: closing fills them.
    proud = grey_closing(layers, (1, NOTCH), mode="nearest") - layers > 1.5 * LAYER
    proud = binary_dilation(proud, np.ones((1, 3), dtype=np.bool_))
    layers = median_filter(layers, (ALONG, 3), mode="nearest")
    found = []
    for slab, ray, layer, out in zip(slabs, rays, layers, proud, strict=True):
        curve = _curve(slab, *ray, layer, out)
        if len(curve) >= RAYS // 2:
            found.append(Section(slab.x, curve))
    return found


def _slab(points: Array, x: float, wide: float) -> _Slab | None:
    here = points[np.abs(points[:, 0] - x) < wide / 2.0]
    if len(here) < 60:
        return None
    flat = np.stack([np.abs(here[:, 1]), here[:, 2]], axis=1)
    breadth = float(np.quantile(flat[:, 0], 0.97))
    side = flat[flat[:, 0] > 0.75 * breadth]
    return _Slab(x, flat, breadth, float(np.quantile(side[:, 1], 0.97)))


def _rays(slab: _Slab, top: float) -> tuple[Array, Array]:
    """Direction of each point in rays, and its distance, from the centreline at the height of the top."""
    arm = slab.flat - [0.0, top]
    return np.arctan2(arm[:, 0], -arm[:, 1]) / (np.pi / 2.0) * RAYS, np.hypot(*arm.T)


def _crowded(ray: Array, radius: Array) -> Array:
    """The distance of the most crowded layer of each ray, `(RAYS,) float`, led from ray to ray without leaps.

    A bunk of the trailer or a leg is crowded too, but only over a few rays and a leap away from the skin.
    """
    inside = (ray >= 0.0) & (ray < RAYS)
    which = ray[inside].astype(np.int64)
    layer = (radius[inside] / LAYER).astype(np.int64)
    count = np.zeros((RAYS, int(layer.max(initial=0)) + 2))
    # A point far off stands for more of the skin within its ray than one nearby.
    np.add.at(count, (which, layer), radius[inside])
    count = uniform_filter(count, (3, 3), mode="nearest")
    crowd = np.minimum(count / max(float(np.median(count.max(axis=1))), 1e-9), 1.5)
    apart = np.subtract.outer(np.arange(count.shape[1]), np.arange(count.shape[1]))
    leap = LEAP * apart.astype(np.float64) ** 2
    best, back = crowd[0], []
    for row in crowd[1:]:
        through = best[:, None] - leap
        back.append(np.argmax(through, axis=0))
        best = np.max(through, axis=0) + row
    at = int(np.argmax(best))
    path = [at]
    for choice in reversed(back):
        at = int(choice[at])
        path.append(at)
    return (np.array(path[::-1], dtype=np.float64) + 0.5) * LAYER


def _curve(slab: _Slab, ray: Array, radius: Array, layer: Array, out: Bools) -> Array:
    """The mean of the points near the layer in each ray, `(n, 2)`, without rays left out."""
    inside = (ray >= 0.0) & (ray < RAYS)
    at = np.interp(ray, np.arange(RAYS) + 0.5, layer)
    close = inside & (np.abs(radius - at) < NEAR)
    which = ray[close].astype(np.int64)
    number = np.bincount(which, minlength=RAYS)
    sums = [np.bincount(which, slab.flat[close, k], RAYS) for k in (0, 1)]
    seen = (number >= 2) & ~out
    found: Array = np.stack([s[seen] / number[seen] for s in sums], axis=1)
    return found


def girth(curve: Array) -> Array:
    """Length along the curve at each of its points, mm; of the curve smoothed, so that noise adds none."""
    smooth = uniform_filter(curve, (5, 1), mode="nearest")
    found: Array = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(smooth, axis=0).T))])
    return found


def tracked(found: Sequence[Section], count: int) -> Array:
    """The lines that run through `count` corners of all sections, `(sections, count + 2, 2) float`.

    The first and the last line are the ends of the curves.
    """
    curves = np.array([_evenly(section.curve) for section in found])
    lines = _parting(curves, np.full(curves.shape[:2], 1.0 / RAY_NOISE**2), count)
    lines[:, 0, 0] = 0.0
    return lines


def sharpened(skin: Skin, cells: Cells, count: int, noise: float) -> tuple[Array, Array]:
    """The lines through the corners of a fitted skin as its cells have it, not as its panels were taken.

    Points laid against a skin gather over a long way without smearing what they show, so that a corner of a
    few degrees stands out. The first and the last line stay.

    Returns:
        x `(k,)` and lines `(k, count + 2, 2)` there.
    """
    row = np.floor((cells.x - skin.knots.start) / WIDE).astype(np.int64)
    places = (skin.count - 1) * SHARES
    rows = int(row.max(initial=0)) + 1
    at = (row * (skin.count - 1) + cells.panel) * SHARES
    at += np.clip(cells.share * SHARES, 0, SHARES - 1).astype(np.int64)
    total = np.bincount(at, cells.weight, rows * places)
    seen = total > 3.0
    safe = np.where(seen, total, 1.0)
    middle = np.tile((np.arange(SHARES) + 0.5) / SHARES, rows * (skin.count - 1))
    off = np.where(seen, np.bincount(at, cells.weight * cells.off, len(total)) / safe, 0.0)
    share = np.where(seen, np.bincount(at, cells.weight * cells.share, len(total)) / safe, middle)
    panel = np.repeat(np.arange(skin.count - 1), SHARES)
    x = skin.knots.start + (np.arange(rows) + 0.5) * WIDE
    seen, off, share = (values.reshape(rows, places) for values in (seen, off, share))
    curves = np.array([skin.curve(float(x[k]), panel, share[k], off[k]) for k in range(rows)])
    full = seen.sum(axis=1) > places // 2
    if full.sum() < 4:
        return np.zeros(0), np.zeros((0, count + 2, 2))
    known = np.where(seen, total.reshape(rows, places), 0.0) / noise**2
    lines = _parting(curves[full], known[full], count)
    lines[:, [0, -1]] = skin.at(x[full])[0][:, [0, -1]]
    return x[full], lines


def _parting(curves: Array, weights: Array, count: int) -> Array:
    """Ends and `count` corners of curves `(rows, n, 2)` whose places mean alike, `(rows, count + 2, 2)`."""
    rows, n = weights.shape
    costs = np.array([_costs(curve, weight) for curve, weight in zip(curves, weights, strict=True)])
    joint = uniform_filter1d(costs, min(TOGETHER, rows), axis=0, mode="nearest")
    places = np.array([_parted(cost, count) for cost in joint]).reshape(rows, count)
    low = _followed(costs, median_filter(places, (min(15, rows), 1), mode="nearest").astype(np.int64))
    row = np.arange(rows)[:, None]
    middle = (curves[row, low] + curves[row, np.minimum(low + 1, n - 1)]) / 2.0
    return np.concatenate([curves[:, :1], middle, curves[:, -1:]], axis=1)


def _followed(costs: Array, places: Ints) -> Ints:
    """Each corner in turn led along the rows at the least cost (Viterbi), the corners beside it held.

    To step aside costs `ASIDE` times the square of the step, so that a corner that a few sections do not show
    runs on as its neighbours have it.
    """
    rows, n = costs.shape[:2]
    row = np.arange(rows)
    found = np.concatenate([np.full((rows, 1), -1), places, np.full((rows, 1), n - 1)], axis=1)
    step = ASIDE * np.subtract.outer(np.arange(n), np.arange(n)) ** 2.0
    for _ in range(ROUNDS):
        for k in range(1, found.shape[1] - 1):
            own = costs[row, found[:, k - 1] + 1]
            rest = costs[row, :, found[:, k + 1]]
            own = np.minimum(own + np.concatenate([rest[:, 1:], np.full((rows, 1), HUGE)], axis=1), HUGE)
            best, back = own[0], []
            for cost in own[1:]:
                through = best[:, None] + step
                back.append(np.argmin(through, axis=0))
                best = np.min(through, axis=0) + cost
            at = int(np.argmin(best))
            found[-1, k] = at
            for j in range(rows - 2, -1, -1):
                at = int(back[j][at])
                found[j, k] = at
    return found[:, 1:-1]


def _evenly(curve: Array) -> Array:
    """The curve at `PLACES` even shares of its girth."""
    s = girth(curve)
    share = np.linspace(0.0, s[-1], PLACES)
    return np.stack([np.interp(share, s, curve[:, k]) for k in (0, 1)], axis=1)


def _parted(cost: Array, count: int) -> Array:
    """The last places of the pieces before `count` corners, by dynamic programming."""
    best, back = cost[0], []
    for _ in range(count):
        through = best[:-1, None] + cost[1:]
        back.append(np.argmin(through, axis=0))
        best = np.min(through, axis=0)
    at, found = len(cost) - 1, []
    for choice in reversed(back):
        at = int(choice[at])
        found.append(float(at))
    return np.array(found[::-1])


def _costs(curve: Array, weight: Array) -> Array:
    """Squares left by a parabola over the chord from place i to j, `(n, n) float`; huge where too near."""
    n = len(curve)
    i, j = np.triu_indices(n, LEAST)
    chord = curve[j] - curve[i]
    length = np.maximum(np.hypot(*chord.T), 1e-6)
    way = chord / length[:, None]
    shift = np.einsum("pk,pk->p", curve[i], way)
    one = ((np.arange(n) >= i[:, None]) & (np.arange(n) <= j[:, None])) * weight
    u = (way @ curve.T - shift[:, None]) / length[:, None]
    square = np.stack([-way[:, 1], way[:, 0]], axis=1)
    v = square @ curve.T - np.einsum("pk,pk->p", curve[i], square)[:, None]
    powers = [one, one * u, one * u * u]
    moments = [power.sum(axis=1) for power in powers]
    moments += [np.einsum("pn,pn->p", powers[2], u), np.einsum("pn,pn->p", powers[2], u * u)]
    matrix = np.stack([np.stack([moments[a + b] for b in range(3)], axis=1) for a in range(3)], axis=1)
    right = np.stack([np.einsum("pn,pn->p", power, v) for power in powers], axis=1)
    solved = np.linalg.solve(matrix + 1e-6 * np.eye(3), right[..., None])[..., 0]
    left = np.einsum("pn,pn->p", one, v * v) - np.einsum("pk,pk->p", right, solved)
    found = np.full((n, n), HUGE)
    found[i, j] = np.maximum(left, 0.0)
    return found
