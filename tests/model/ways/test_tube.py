"""The mesh of a run: closed, as long and thick as it should be, by trimesh and closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from model.ways.tube import SIDES, tube

SHARE = SIDES / 2.0 * math.sin(2.0 * math.pi / SIDES) / math.pi
"""Area of the regular polygon in a circle over that of the circle."""


@settings(max_examples=25, deadline=None)
@given(
    steps=st.lists(
        st.tuples(st.floats(40, 400), st.floats(-0.9, 0.9), st.floats(-0.5, 0.5)), min_size=1, max_size=8
    ),
    diameter=st.floats(4, 20),
)
def test_any_tube_is_closed_and_its_volume_is_area_by_length(steps, diameter):
    """The centreline passes through the area's centroid at every mitre: volume is area by length (Pappus)."""
    import trimesh

    path = [np.zeros(3)]
    for length, turn, rise in steps:
        way = np.array([math.cos(turn) * math.cos(rise), math.sin(turn) * math.cos(rise), math.sin(rise)])
        path.append(path[-1] + length * way)
    points = np.array(path)
    mesh = tube(points, diameter)
    judged = trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)
    assert judged.is_watertight
    assert judged.is_winding_consistent
    total = float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())
    assert judged.volume == pytest.approx(SHARE * math.pi / 4.0 * diameter**2 * total, rel=1e-6)


def test_a_path_without_length_is_refused():
    with pytest.raises(ValueError, match="some length"):
        tube(np.zeros((3, 3)), 6.0)
