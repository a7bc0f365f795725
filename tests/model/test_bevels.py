"""Bevels of sheet edges along the hull: closed forms of flat sides, the triangles of a demo hull."""

from __future__ import annotations

import math

import numpy as np
import pytest
import trimesh
from scipy.spatial import cKDTree

from model.bevels import bevel_runs, skin_normals
from model.hull_mesh import skin_mesh
from tests.model.boats import BOX, FLARE, FLARED, GAP, build, demo

DECK = {"height": 300, "aft": 200, "forward": 2800}


def runs_of(boat, name):
    return [run for panel in boat.panels if panel.name == name for run in bevel_runs(panel, boat.hull, GAP)]


@pytest.mark.parametrize(("hull", "lean"), [(BOX, 0.0), (FLARED, math.atan(FLARE))])
def test_a_deck_between_flat_sides_has_their_lean_all_along(hull, lean):
    runs = runs_of(build(hull=hull, decks={"main": DECK}), "deck.main/sheet.1")
    assert len(runs) == 2
    for run in runs:
        assert run.length == pytest.approx(2600, abs=1)
        assert run.bevel == pytest.approx(np.full(len(run.at), lean), abs=1e-6)
        assert np.diff(run.at).max() <= 150 * 1.26
        assert run.points[0, 0] < run.points[-1, 0]


def test_an_upright_sheet_across_a_straight_hull_needs_no_bevel():
    boat = build(hull=FLARED, bulkheads={"mid": {"at": 1500, "top": 450}})
    runs = runs_of(boat, "bulkhead.mid/sheet")
    assert runs
    for run in runs:
        assert np.abs(run.bevel).max() < 1e-6


def test_a_sheet_clear_of_the_hull_has_no_card():
    inboard = {**DECK, "port": 200, "starboard": -200}
    assert runs_of(build(decks={"main": inboard}), "deck.main/sheet.1") == []


@pytest.mark.parametrize("name", ["lake16", "vee18"])
def test_normals_of_a_measured_hull_against_its_triangles(name):
    """The finest mesh of the same hull (trimesh finds the nearest triangle): within a degree."""
    boat = demo(name)
    mesh = skin_mesh(boat.hull)
    skin = trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)
    deck = next(p for p in boat.panels if p.name.startswith("deck.front/sheet"))
    runs = bevel_runs(deck, boat.hull, boat.layout.hull_gap)
    points = np.concatenate([run.points[1:-1] for run in runs])
    _, triangle = cKDTree(skin.triangles_center).query(points)
    wanted = skin.face_normals[triangle]
    found = skin_normals(boat.hull, points)
    angle = np.degrees(np.arccos(np.clip(np.abs((found * wanted).sum(axis=1)), -1, 1)))
    # Triangles are flat over up to 50 mm of a curved skin.
    assert np.quantile(angle, 0.9) < 1.0
