"""The outside of the skin, which is what the water sees: the surveyed inside moved out by the thickness."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from model.geometry import Array
from model.hull import Hull
from model.shell import Shell
from model.skin import Cubics, strip_normal

KEENEST = 0.6
"""Least squared length of the sum of two normals at a corner; a keener one, as at a stem, is blunted."""
STEEPEST = 0.3
"""Least part of a normal that lies in its section; where the skin faces forward more, it is held to this."""

_SHARES = np.array([0.0, 1.0, 2.0, 3.0]) / 3.0
_FIT = np.linalg.inv(np.vander(_SHARES, 4))


def outer_shell(hull: Hull) -> Shell:
    """The closed outside of a hull: every strip and both ends `hull.thickness` farther out.

    Each piece of each line is a cubic again, through four points that were moved out square to the strips
    beside them (a strip at t from its old place stands t / s off within its section, s being the length of
    the part of its unit normal that lies in the section). A box is moved exactly.
    """
    if hull.thickness <= 0.0:
        return Shell(hull.chain, hull.line_rows, hull.span, hull.ends)
    ends = tuple(end.moved(hull.thickness) for end in hull.ends)
    chain = _extended(hull)
    breaks = chain.breaks
    x = breaks[:-1, None] + np.diff(breaks)[:, None] * _SHARES
    points, slopes = _each_piece(chain, x)
    moved = points + hull.thickness * _outward(points, slopes)
    step = np.diff(breaks)
    power = step[None, :] ** -np.arange(3.0, -1.0, -1.0)[:, None]
    fitted = np.einsum("ps,mskc->pmkc", _FIT, moved) * power[:, :, None, None]
    span = (float(breaks[0]), float(breaks[-1]))
    return Shell(Cubics(breaks, fitted), hull.line_rows, span, ends)


def _extended(hull: Hull) -> Cubics:
    """The hull's lines run on past ends that are closed by a plane, as far as the outside reaches."""
    breaks = hull.chain.breaks.copy()
    beyond = 2.0 * hull.thickness
    breaks[0] -= beyond
    if hull.bow is not None:
        breaks[-1] += beyond
    return hull.chain.on(breaks)


def _each_piece(chain: Cubics, x: Array) -> tuple[Array, Array]:
    """Points and slopes of every curve at x `(m, s)` of its own piece, `(m, s, n, 2) float` each."""
    step = (x - chain.breaks[:-1, None])[..., None, None]
    a, b, c, d = chain.coefficients[:, :, None]
    return ((a * step + b) * step + c) * step + d, (3.0 * a * step + 2.0 * b) * step + c


def _outward(points: Array, slopes: Array) -> Array:
    """For each corner the step in its section that is one unit off both strips beside it, `(..., n, 2)`."""
    normal = strip_normal((slopes[..., 1:, :] + slopes[..., :-1, :]) / 2.0, np.diff(points, axis=-2))
    within = np.hypot(normal[..., 1], normal[..., 2])
    there = within > 0.0
    safe = np.where(there, within, 1.0)
    facing = _filled(normal[..., 1:] / safe[..., None], there)
    off = _filled((1.0 / np.maximum(safe, STEEPEST))[..., None], there)[..., 0]
    left = np.concatenate([facing[..., :1, :], facing], axis=-2)
    right = np.concatenate([facing, facing[..., -1:, :]], axis=-2)
    both = left + right
    size = np.maximum(np.einsum("...i,...i->...", both, both), KEENEST)
    width = np.concatenate([off[..., :1], off], axis=-1) + np.concatenate([off, off[..., -1:]], axis=-1)
    found: Array = both * (width / size)[..., None]
    for end, strip in ((0, 0), (-1, -1)):
        # the sheet ends level at the gunwale, so that its top edge is no lower outside than inside
        across = facing[..., strip, 0]
        upright = np.abs(across) > STEEPEST
        level = off[..., strip] / np.where(upright, across, 1.0)
        found[..., end, 0] = np.where(upright, level, found[..., end, 0])
        found[..., end, 1] = np.where(upright, 0.0, found[..., end, 1])
    return found


def _filled(values: Array, there: npt.NDArray[np.bool_]) -> Array:
    """Values of strips `(..., k, c)`; one without width takes those of the nearest one before or after."""
    count = there.shape[-1]
    at = np.arange(count)
    before = np.maximum.accumulate(np.where(there, at, -1), axis=-1)
    after = np.minimum.accumulate(np.where(there, at, count)[..., ::-1], axis=-1)[..., ::-1]
    nearest = np.where((before < 0) | ((after < count) & (after - at < at - before)), after, before)
    some = nearest < count
    found = np.take_along_axis(values, np.where(some, nearest, 0)[..., None], axis=-2)
    return np.where(some[..., None], found, 0.0)
