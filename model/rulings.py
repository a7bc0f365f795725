"""The rulings along which a plate between two edges bends most nearly without twisting."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from model.geometry import Array

_GRID = 120
"""Steps along each edge in the first search."""
_GRAZING = 0.1
"""A ruling that leaves its edge at less than this sine is avoided: its triangles would be slivers."""


def developable_rulings(edge_a: Array, edge_b: Array, count: int = 61) -> tuple[Array, Array]:
    """Both edges resampled so that point i of one and point i of the other end one ruling.

    A ruled surface is developable where the tangents of both edges and the ruling lie in one plane. Of
    all pairings that run forward on both edges, from end to end, the one with the least squared sine
    between the two planes (tangent, ruling), summed over the way, is found by dynamic programming;
    then it is refined between the points of the grid. The end rulings join the given ends.

    Args:
        edge_a: `(n, 3) float`, mm, a polyline.
        edge_b: `(m, 3) float`, mm, a polyline running the same way.
        count: number of rulings wanted.

    Returns:
        Two `(count, 3) float` arrays, mm.
    """
    u = np.linspace(0.0, 1.0, 2 * _GRID + 1)
    lead = _refined(edge_a, edge_b, u, _smoothed(_best_lead(edge_a, edge_b)))
    wanted = np.linspace(0.0, 1.0, count)
    shift = np.interp(wanted, u, lead)
    return _Edge(edge_a).at(wanted + shift), _Edge(edge_b).at(wanted - shift)


class _Edge:
    """A polyline asked by its share of length, 0 to 1."""

    def __init__(self, points: Array) -> None:
        steps = np.sqrt((np.diff(points, axis=0) ** 2).sum(axis=1))
        length = np.concatenate([[0.0], np.cumsum(steps)])
        even = np.linspace(0.0, 1.0, len(points))
        self._share = length / length[-1] if length[-1] > 0 else even
        self._points = points

    def at(self, share: Array) -> Array:
        """Points `(..., 3)` at shares `(...)` of the length."""
        return np.stack([np.interp(share, self._share, axis) for axis in self._points.T], axis=-1)

    def tangent(self, share: Array) -> Array:
        """Directions `(..., 3)`, of no set length, over half a grid step either way."""
        h = 0.5 / _GRID
        return self.at(np.minimum(share + h, 1.0)) - self.at(np.maximum(share - h, 0.0))


def _twist(edge_a: _Edge, edge_b: _Edge, share_a: Array, share_b: Array) -> Array:
    """Squared sine between the plate's planes at both ends of each ruling, shares broadcast."""
    share_a, share_b = np.broadcast_arrays(share_a, share_b)
    ruling = edge_b.at(share_b) - edge_a.at(share_a)
    tangent_a, tangent_b = edge_a.tangent(share_a), edge_b.tangent(share_b)
    normal_a, normal_b = np.cross(tangent_a, ruling), np.cross(tangent_b, ruling)
    size_a, size_b = (np.sqrt((n * n).sum(axis=-1)) for n in (normal_a, normal_b))
    across = np.cross(normal_a, normal_b)
    with np.errstate(divide="ignore", invalid="ignore"):
        sine2 = (across * across).sum(axis=-1) / (size_a * size_b) ** 2
        reach = np.sqrt((ruling * ruling).sum(axis=-1))
        lean_a = size_a / (reach * np.sqrt((tangent_a * tangent_a).sum(axis=-1)))
        lean_b = size_b / (reach * np.sqrt((tangent_b * tangent_b).sum(axis=-1)))
    grazing = np.fmax(0.0, _GRAZING - np.fmin(lean_a, lean_b))
    # An edge that is one point (the tip of a cone) has no tangent and so no twist.
    found: Array = np.nan_to_num(sine2, nan=0.0, posinf=1.0) + grazing
    return found


def _best_lead(edge_a: Array, edge_b: Array) -> Array:
    """Half the lead of edge a over edge b (shares) at each u, their mean, from the grid's best path."""
    share = np.linspace(0.0, 1.0, _GRID + 1)
    node = _twist(_Edge(edge_a), _Edge(edge_b), share[:, None], share[None, :])
    node = node + 1e-6 * (share[:, None] - share[None, :]) ** 2  # flat plates: any pairing bends as well
    back = _swept(node)
    i = j = _GRID
    path = [(i, j)]
    while i or j:
        step = back[i, j]
        i, j = i - (step != 1), j - (step != 0)
        path.append((i, j))
    pairs = np.array(path[::-1]) / _GRID
    u = np.linspace(0.0, 1.0, 2 * _GRID + 1)
    return np.interp(u, pairs.mean(axis=1), (pairs[:, 0] - pairs[:, 1]) / 2)


def _swept(node: Array) -> npt.NDArray[np.int8]:
    """For each node the way into it on the cheapest path: 0 along a, 1 along b, 2 along both."""
    size = len(node)
    total = np.full((size + 1, size + 1), np.inf)  # row and column 0 lie outside
    total[1, 1] = 0.0
    back = np.zeros((size, size), dtype=np.int8)
    for diagonal in range(1, 2 * size - 1):
        i = np.arange(max(0, diagonal - size + 1), min(diagonal, size - 1) + 1)
        j = diagonal - i
        here = node[i, j]
        ways = np.stack([total[i, j + 1] + here, total[i + 1, j] + here, total[i, j] + 2 * here])
        best = ways.argmin(axis=0)
        total[i + 1, j + 1] = ways[best, np.arange(len(i))]
        back[i, j] = best
    return back


def _smoothed(lead: Array) -> Array:
    """The lead averaged over two grid steps; its ends stay 0 and it never grows faster than u."""
    width = 5
    padded = np.pad(lead, width // 2, mode="reflect", reflect_type="odd")
    return np.convolve(padded, np.full(width, 1 / width), mode="valid")


def _refined(edge_a: Array, edge_b: Array, u: Array, lead: Array) -> Array:
    """The lead with the least twist within a grid step of the first, forward on both edges."""
    a, b = _Edge(edge_a), _Edge(edge_b)
    offsets = np.linspace(-1.5, 1.5, 31) / _GRID
    trial = lead[:, None] + offsets
    trial[[0, -1]] = 0.0
    trial = np.clip(trial, -np.minimum(u, 1 - u)[:, None], np.minimum(u, 1 - u)[:, None])
    cost = _twist(a, b, u[:, None] + trial, u[:, None] - trial)
    step = u[1] - u[0]
    total = cost[0]
    back = np.zeros(trial.shape, dtype=np.intp)
    for k in range(1, len(u)):
        change = trial[k][None, :] - trial[k - 1][:, None]
        # A little is asked for each change of lead, so that noise does not move the rulings to and fro.
        ways = total[:, None] + 1e-3 * change**2 + np.where(np.abs(change) > step * (1 + 1e-9), np.inf, 0.0)
        back[k] = ways.argmin(axis=0)
        total = ways[back[k], np.arange(len(offsets))] + cost[k]
    found = np.empty(len(u))
    at = int(total.argmin())
    for k in range(len(u) - 1, -1, -1):
        found[k] = trial[k, at]
        at = int(back[k, at])
    return found
