"""Springs between a node and what carries it: other nodes by shares, or the hull."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import sparse

from model.geometry import Array
from model.strength.network import Ids

FIRM = 1e5
"""Stiffness of metal on metal, and of sheet in its own plane, N/mm: as good as rigid beside bent tube."""


@dataclass(frozen=True, eq=False)
class Tie:
    """A node tied along one direction to the shared movement of others.

    Attributes:
        node: which node.
        way: unit direction in the boat, `(3,)`.
        below: nodes that carry it, `(k,)`; none, and it stands on the hull.
        shares: of its load, one each, adding up to one, `(k,)`.
        stiff: N/mm.
    """

    node: int
    way: Array
    below: Ids
    shares: Array
    stiff: float

    def row(self, count: int) -> sparse.csr_matrix:
        """How far the node moves along the way past what carries it: a row over all nodes' movements."""
        nodes = np.concatenate([[self.node], self.below])
        parts = np.concatenate([[1.0], -self.shares])
        columns = (6 * nodes[:, None] + np.arange(3)).ravel()
        values = (parts[:, None] * self.way).ravel()
        return sparse.csr_matrix((values, (np.zeros(len(values), dtype=int), columns)), shape=(1, 6 * count))


def tied(matrix: sparse.csr_matrix, ties: Sequence[Tie]) -> sparse.csr_matrix:
    """The stiffness with the ties' own added."""
    if not ties:
        return matrix
    count = matrix.shape[0] // 6
    rows = sparse.vstack([tie.row(count) for tie in ties]).tocsr()
    stiff = sparse.diags([tie.stiff for tie in ties])
    return sparse.csr_matrix(matrix + rows.T @ stiff @ rows)
