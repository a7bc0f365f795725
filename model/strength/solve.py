"""Each part of the skeleton that hangs together, held where the hull holds it, solved for many loads."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy import sparse
from scipy.sparse.csgraph import connected_components
from scipy.sparse.linalg import SuperLU, splu

from model.geometry import Array
from model.strength.network import Ids, Network
from model.strength.ties import Tie

LOOSE = 1e-4
"""A frame that one newton moves by more than ten metres, N/mm, is a mechanism."""

LITTLE = 1e-6
"""Stiffness put to every node so that a loose frame can be asked how it moves, N/mm."""

AS_MUCH = 0.5
"""Members that move at least so much as the one that moves most are named."""


@dataclass(frozen=True, eq=False)
class Part:
    """Members that hang together and stand.

    Attributes:
        nodes: their numbers in the network, rising, `(m,)`.
        free: places of the free movements among the part's own 6 m.
        factor: of the stiffness of these.
    """

    nodes: Ids
    free: Ids
    factor: SuperLU

    def moved(self, down: Array) -> Array:
        """Movements under downward forces on the nodes of the network.

        Args:
            down: `(n, p)`, N, p loads.

        Returns:
            `(6 m, p)`, mm and rad.
        """
        force = np.zeros((6 * len(self.nodes), down.shape[1]))
        force[2::6] = -down[self.nodes]
        found = np.zeros_like(force)
        found[self.free] = self.factor.solve(np.ascontiguousarray(force[self.free]))
        return found


@dataclass(frozen=True, eq=False)
class Unheld:
    """Members that hang together and do not stand: `moving` are those that move most, worst first."""

    nodes: Ids
    members: tuple[str, ...]
    moving: tuple[str, ...]
    supported: bool


def parted(net: Network, matrix: sparse.csr_matrix, ties: Sequence[Tie]) -> tuple[list[Part], list[Unheld]]:
    """The skeleton in the parts that hang together: those that stand, and those that do not.

    Args:
        net: the skeleton.
        matrix: its stiffness with that of the ties.
        ties: by which parts stand on each other and on the hull.
    """
    labels = _labels(net, ties)
    held = np.zeros(len(net.points), dtype=np.bool_)
    held[list(net.supports)] = True
    touching = held.copy()
    touching[[tie.node for tie in ties if not len(tie.below)]] = True
    stand, fall = [], []
    for label in range(int(labels.max()) + 1 if len(labels) else 0):
        nodes = np.flatnonzero(labels == label)
        part = _part(net, matrix, nodes, held, bool(touching[nodes].any()))
        if isinstance(part, Part):
            stand.append(part)
        else:
            fall.append(part)
    return stand, fall


def _labels(net: Network, ties: Sequence[Tie]) -> Ids:
    """The part each node belongs to, `(n,)`."""
    pairs = [net.stubs, *(np.stack([line.nodes[:-1], line.nodes[1:]], axis=1) for line in net.lines)]
    pairs += [np.stack([np.full(len(tie.below), tie.node), tie.below], axis=1) for tie in ties]
    i, j = np.concatenate(pairs).T
    count = len(net.points)
    graph = sparse.csr_matrix((np.ones(len(i)), (i, j)), shape=(count, count))
    return connected_components(graph, directed=False)[1].astype(np.int64)


def _part(
    net: Network, matrix: sparse.csr_matrix, nodes: Ids, held: npt.NDArray[np.bool_], supported: bool
) -> Part | Unheld:
    dofs = (6 * nodes[:, None] + np.arange(6)).ravel()
    fixed = np.zeros((len(nodes), 6), dtype=np.bool_)
    fixed[held[nodes], :3] = True
    free = np.flatnonzero(~fixed.ravel())
    own = matrix[dofs[free]][:, dofs[free]].tocsc()
    if supported:
        try:
            factor = _factored(own)
        except RuntimeError:  # exactly singular
            factor = None
        if factor is not None and _least(factor, len(free))[0] >= LOOSE:
            return Part(nodes, free, factor)
    way = np.zeros(6 * len(nodes))
    way[free] = _least(_factored(own + LITTLE * sparse.identity(len(free), format="csc")), len(free))[1]
    return _unheld(net, nodes, way, supported)


def _factored(matrix: sparse.csc_matrix) -> SuperLU:
    return splu(matrix, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.01, options={"SymmetricMode": True})


def _least(factor: SuperLU, size: int) -> tuple[float, Array]:
    """About the least stiffness of a frame, N/mm, and the way it gives: a few steps of inverse iteration."""
    way = np.random.default_rng(1).normal(size=size)
    stiff = np.inf
    for _ in range(4):
        way = way / np.linalg.norm(way)
        moved = factor.solve(way)
        length = float(np.linalg.norm(moved))
        if not np.isfinite(length):
            return 0.0, way
        stiff, way = 1.0 / max(length, 1e-300), moved
    return stiff, way / np.linalg.norm(way)


def _unheld(net: Network, nodes: Ids, way: Array, supported: bool) -> Unheld:
    """The members of a part that does not stand, and which of them move most."""
    move = np.linalg.norm(way.reshape(-1, 6)[:, :3], axis=1)
    if not move.max() > 0:
        move = np.abs(way.reshape(-1, 6)).max(axis=1)
    place = {int(node): k for k, node in enumerate(nodes)}
    own = [k for k, line in enumerate(net.lines) if int(line.nodes[0]) in place]
    worst = {k: max(float(move[place[int(n)]]) for n in net.lines[k].nodes) for k in own}
    top = max(worst.values(), default=0.0)
    order = sorted(own, key=lambda k: -worst[k])
    moving = [net.members[k].name for k in order if worst[k] >= AS_MUCH * top]
    return Unheld(nodes, tuple(net.members[k].name for k in own), tuple(moving), supported)
