"""Runs among what is shown: in the GLB under their group, in the preview, and on the drawing."""

from __future__ import annotations

import io
import re

import numpy as np
import pytest

from app.preview.later_work import extras
from cutlists.drawing.runs_drawing import runs_svg
from cutlists.mesh_files import glb_bytes
from cutlists.run_pieces import with_runs
from cutlists.scene import Scene
from model.ways.check import check_ways
from model.ways.run import Run
from tests.model.ways.punts import punt

RUNS = (
    Run("wires.lamp", "wire", np.array([[200.0, 0, 100], [700, 0, 100], [700, 300, 100]]), 6.0),
    Run("wires.horn", "wire", np.array([[200.0, 0, 100], [700, 0, 100], [700, -300, 100]]), 6.0),
    Run("hoses.fill", "hose", np.array([[150.0, 200, 60], [150, 400, 300]]), 26.0),
)


def test_runs_stand_in_the_glb_by_name_where_they_lie():
    import trimesh

    report = check_ways(punt(), RUNS, hands=False)
    data = glb_bytes(with_runs(Scene("punt", ()), report))
    read = trimesh.load(io.BytesIO(data), file_type="glb")
    assert {"wires.lamp", "wires.horn", "hoses.fill"} <= set(read.graph.nodes)
    transform, geometry = read.graph["hoses.fill"]
    points = trimesh.transform_points(read.geometry[geometry].vertices, transform)
    # glTF: x to port, y up, z forward, metres; a tube of 26 mm that leans in the y, z plane
    assert points[:, 2].min() == pytest.approx(0.150 - 0.013, abs=0.7e-3)
    assert points[:, 0].max() == pytest.approx(0.400, abs=0.013)


def test_a_boat_without_runs_has_the_scene_it_had():
    scene = Scene("punt", ())
    assert with_runs(scene, None) is scene
    assert with_runs(scene, check_ways(punt(), ())) is scene


def test_the_preview_shows_them_as_groups_of_the_tree():
    sections, pieces = extras(punt(), "ways", check_ways(punt(), RUNS, hands=False))
    assert sections == {}
    assert {name: piece.told["path"] for name, piece in pieces.items()} == {
        "wires.lamp": ["wires"], "wires.horn": ["wires"], "hoses.fill": ["hoses"],
    }  # fmt: skip


def test_every_run_is_numbered_in_both_views_and_no_number_lies_on_another():
    svg = runs_svg(punt(), RUNS, (280.0, 200.0))
    texts = re.findall(r'<text x="([\d.]+)" y="([\d.]+)"[^>]*>([^<]*)</text>', svg)
    numbers = [(float(x), float(y), told) for x, y, told in texts if re.fullmatch(r"[\d -]+", told)]
    told = " ".join(told for _, _, told in numbers)
    assert sorted(set(re.findall(r"\d", told))) == ["1", "2", "3"]
    for i, (x, y, one) in enumerate(numbers):
        for u, v, other in numbers[:i]:
            assert abs(x - u) > 0.6 * (len(one) + len(other)) or abs(y - v) > 2.2
    key = [line for _, _, line in texts if "lamp" in line or "horn" in line or "fill" in line]
    # 500 + 300 mm of wire
    assert key[0] == "1  lamp, 800.0 mm"
    assert len(key) == 3


def test_a_chase_is_shown_and_a_hole_is_not():
    boat = punt(
        "passages:\n  chase: {points: [[1100, 0, 100], [1900, 0, 100]], diameter: 30}\n"
        "  hole: {at: [1000, 0, 100], through: [deck.aft/riser.forward.1], diameter: 30}\n"
    )
    scene = with_runs(Scene("punt", ()), check_ways(boat, ()))
    assert [(piece.name, piece.path) for piece in scene.pieces] == [("passage.chase", ("passages",))]
    low, high = scene.pieces[0].mesh.box
    assert (low[0], high[0]) == pytest.approx((1100.0, 1900.0))
    assert np.ptp([low[2], high[2]]) == pytest.approx(34.0, rel=0.06)  # ten sides, walls of 2 mm
