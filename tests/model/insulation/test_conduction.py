"""Shape factors and melting ice against finite differences, the classic tables and published exercises."""

import math

import numpy as np
import pytest
import scipy.sparse as sparse
from scipy.sparse.linalg import cg

from model.insulation.conduction import CORNER, cuboid_factor, edge_factor, in_series
from model.insulation.heat import BoxHeat, FaceHeat
from model.insulation.walls import Wall


def laplace_energy(cold, hot, h):
    """Heat per unit of conductivity and temperature between two sets of nodes of a grid, by differences.

    Nodes at the rim of the grid that are neither mirror what is inside: the grid is a part of a symmetric
    whole. The sum over links of (difference)^2 h^(n - 2), half or quarter links at mirrored rims, is twice
    the energy, which is the conductance itself where the difference of temperature is 1.
    """
    free = ~(cold | hot)
    number = -np.ones(cold.shape, dtype=int)
    number[free] = np.arange(free.sum())
    rows, cols, vals, rhs = [], [], [], np.zeros(free.sum())
    diag = np.zeros(free.sum())
    weights = []
    for axis in range(cold.ndim):
        weight = np.ones([n - 1 if k == axis else n for k, n in enumerate(cold.shape)])
        for other in range(cold.ndim):
            if other != axis:
                last = [slice(None)] * cold.ndim
                last[other] = -1  # a plane of symmetry halves the links that lie in it
                weight[tuple(last)] *= 0.5
        weights.append(weight)
        low = [slice(None)] * cold.ndim
        high = list(low)
        low[axis], high[axis] = slice(None, -1), slice(1, None)
        for a, b in ((tuple(low), tuple(high)), (tuple(high), tuple(low))):
            here, there, w = number[a].ravel(), number[b].ravel(), weight.ravel()
            own = here >= 0
            np.add.at(diag, here[own], w[own])
            both = own & (there >= 0)
            rows.append(here[both])
            cols.append(there[both])
            vals.append(-w[both])
            warm = own & hot[b].ravel()
            np.add.at(rhs, here[warm], w[warm])
    matrix = sparse.csr_matrix(
        (np.concatenate(vals), (np.concatenate(rows), np.concatenate(cols))), shape=(len(rhs),) * 2
    ) + sparse.diags(diag)
    solved, info = cg(matrix, rhs, rtol=1e-9, M=sparse.diags(1.0 / diag))
    assert info == 0
    field = hot.astype(float)
    field[free] = solved
    total = sum((weights[axis] * np.diff(field, axis=axis) ** 2).sum() for axis in range(cold.ndim))
    return total * h ** (cold.ndim - 2)


def edge_by_differences(a, b, cells):
    """What the edge of an L-shaped wall adds, by finite differences, legs four thicknesses long."""
    h = min(a, b) / cells
    leg = 4.0 * max(a, b)
    x = np.arange(-b, leg + h / 2, h)[:, None]
    y = np.arange(-a, leg + h / 2, h)[None, :]
    cold = (x > -h / 2) & (y > -h / 2)
    hot = (x < -b + h / 2) | (y < -a + h / 2)
    return laplace_energy(cold, hot, h) - leg / a - leg / b


@pytest.mark.parametrize(("a", "b"), [(1.0, 1.0), (1.0, 1.5), (1.0, 3.0)])
def test_edge_against_finite_differences(a, b):
    # at a re-entrant corner the error falls as h^(4/3): two grids give the limit
    coarse, fine = (edge_by_differences(a, b, cells) for cells in (8, 16))
    limit = fine + (fine - coarse) / (2.0 ** (4.0 / 3.0) - 1.0)
    assert edge_factor(a, b) == pytest.approx(limit, abs=2e-3)
    assert edge_factor(a, b) == pytest.approx(edge_factor(b, a), rel=1e-12)


def test_edge_against_the_classic_table():
    # Langmuir, Adams and Meikle 1913, as in tables of shape factors: 0.54 for an edge of equal walls, by
    # experiment; the conformal map gives 1 - (2 / pi) ln 2
    assert edge_factor(2.0, 2.0) == pytest.approx(1.0 - 2.0 / math.pi * math.log(2.0), rel=1e-12)
    assert edge_factor(2.0, 2.0) == pytest.approx(0.54, rel=0.04)


def cuboid_by_differences(sides, wall, cells):
    """Shape factor of a whole box with equal walls, from an eighth of it."""
    h = wall / cells
    at = [np.arange(-wall, side / 2 + h / 2, h) for side in sides]
    x, y, z = np.meshgrid(*at, indexing="ij")
    cold = (x > -h / 2) & (y > -h / 2) & (z > -h / 2)
    hot = (x < -wall + h / 2) | (y < -wall + h / 2) | (z < -wall + h / 2)
    return 8.0 * laplace_energy(cold, hot, h)


def test_whole_box_against_finite_differences_in_three_dimensions():
    sides, wall = (0.4, 0.3, 0.2), 0.05
    coarse, fine = (cuboid_by_differences(sides, wall, cells) for cells in (3, 6))
    limit = fine + (fine - coarse) / (2.0 ** (4.0 / 3.0) - 1.0)
    # corners are 8 x 0.15 x wall of it, 0.5 %; the table gives them to two digits
    assert cuboid_factor(sides, (wall,) * 6) == pytest.approx(limit, rel=3e-3)


def test_box_lies_between_its_inside_and_outside():
    # heat that could only go straight passes the inside area, heat that need not spread the outside one
    sides, walls = (0.5, 0.3, 0.4), (0.03, 0.05, 0.03, 0.04, 0.06, 0.02)
    inner = outer = 0.0
    for k in range(3):
        i, j = (k + 1) % 3, (k + 2) % 3
        wide = [sides[n] + walls[2 * n] + walls[2 * n + 1] for n in (i, j)]
        inner += sum(sides[i] * sides[j] / wall for wall in walls[2 * k : 2 * k + 2])
        outer += sum(wide[0] * wide[1] / wall for wall in walls[2 * k : 2 * k + 2])
    assert inner < cuboid_factor(sides, walls) < outer
    assert cuboid_factor(sides, walls) > inner + 8 * CORNER * min(walls)


def test_edge_without_a_wall_is_refused():
    with pytest.raises(ValueError, match="two walls with thickness"):
        edge_factor(0.0, 1.0)


def heat_of(conductance):
    wall = Wall("all", 1.0, 1.0, 1.0, 1.0, 1.0, 0.0, 0.0)
    return BoxHeat((FaceHeat(wall, 0.0, 0.0, conductance),), (), 0.0)


def test_published_ice_chest():
    # a worked exercise of a textbook of heat transfer: 45 kg of ice, chest 30 x 40 x 50 cm outside, 3 cm of
    # polystyrene foam of 0.033 W/(m K), bottom left out; resistances printed 1.5927 and 0.07508, sum 1.6678
    # C/W, latent heat 333.7 kJ/kg; its film of 18 W/(m2 K) and room of 28 C are from memory
    inside = 2 * (0.24 * 0.34 + 0.24 * 0.44) + 0.34 * 0.44
    outside = 2 * (0.3 * 0.4 + 0.3 * 0.5) + 0.4 * 0.5
    mean = 0.5708  # the area that the exercise uses for the wall
    assert inside < mean < outside
    chest = in_series(0.033 * mean / 0.03, 18.0 * outside)
    assert 1.0 / chest == pytest.approx(1.6678, abs=2e-4)
    assert heat_of(chest).days(45.0, 28.0) == pytest.approx(8.94e5 / 86400.0, rel=2e-3)


def test_published_foam_icebox():
    # a school exercise: a cube of 30 cm, 5 cm of foam of 0.01 W/(m K), 4 kg of ice, 6 hours at 45 C; what is
    # left is 3.7 kg (its answer, from memory). It takes 335 kJ/kg and the outside of the cube
    melts_in = heat_of(0.01 * 6 * 0.3**2 / 0.05).days(4.0, 45.0) * 24.0 * 335.0 / 333.7
    assert 4.0 * (1.0 - 6.0 / melts_in) == pytest.approx(3.7, abs=0.05)


def test_nothing_melts_in_the_cold():
    assert heat_of(0.5).days(1.0, 0.0) == math.inf
    assert in_series(0.0, 1.0) == 0.0
