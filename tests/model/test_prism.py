"""Prisms against trimesh, textbook solids and their own meshes."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from model.geometry import Frame
from model.mesh import Mesh
from model.prism import Prism
from model.prism_mesh import meshes
from parts.outline import Loop

TILTED = Frame.make((100.0, -40.0, 300.0), (0.6, 0.8, 0.1), (0.2, -0.3, 1.0))


def judged(mesh: Mesh) -> trimesh.Trimesh:
    """The mesh as trimesh sees it, vertices neither merged nor dropped."""
    found = trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)
    assert found.is_watertight
    assert found.is_winding_consistent
    assert len(mesh.vertices) == len(np.unique(mesh.faces))
    return found


def star(spikes: int, inner: float, outer: float) -> Loop:
    angle = np.arange(2 * spikes) * np.pi / spikes
    radius = np.where(np.arange(2 * spikes) % 2, inner, outer)
    return Loop.polygon(np.stack([radius * np.cos(angle), radius * np.sin(angle)], axis=1))


SHAPES = {
    "rectangle": (Loop.rectangle(400, 250), ()),
    "rounded": (Loop.rectangle(400, 250, 40), ()),
    "washer": (Loop.circle(200), (Loop.circle(120, (5, 3)),)),
    "clockwise": (Loop.rectangle(400, 250).reversed(), (Loop.rectangle(100, 80, 10).reversed(),)),
    "deck": (
        Loop.polygon([(0, 0), (900, 0), (900, 400), (600, 700), (0, 700), (0, 500), (300, 350), (0, 200)]),
        (Loop.rectangle(200, 150, 25, (700, 150)), Loop.circle(90, (450, 600)), Loop.circle(12, (850, 50))),
    ),
    "star": (star(7, 80, 200), (Loop.circle(50),)),
    "flat corners": (Loop.polygon([(0, 0), (50, 0), (100, 0), (100, 60), (50, 60), (0, 60), (0, 30)]), ()),
    "notch": (Loop(np.array([(0, 0), (100, 0), (100, 50), (0, 50.0)]), np.array([0, -0.5, 0, 0])), ()),
}


@pytest.mark.parametrize("name", SHAPES)
def test_mesh_is_closed_and_agrees_with_the_closed_forms(name: str) -> None:
    """Judge: trimesh's watertight test, volume, centre of mass and area."""
    outline, holes = SHAPES[name]
    prism = Prism(TILTED, outline, holes, -3.0, 7.0)
    found = judged(prism.mesh(chord=0.0005))
    assert found.volume == pytest.approx(prism.volume, rel=2e-5)
    assert found.area == pytest.approx(prism.surface_area, rel=2e-5)
    assert np.allclose(found.center_mass, prism.centre, atol=2e-3)
    assert np.allclose(found.bounds, prism.box, atol=1e-3)
    if not (outline.bulges.any() or any(hole.bulges.any() for hole in holes)):
        assert found.volume == pytest.approx(prism.volume, rel=1e-12)
        assert np.allclose(found.bounds, prism.box, atol=1e-9)


def test_textbook_solids() -> None:
    """Closed forms: pi (R^2 - r^2) h of a washer, its surface; a half disc centred 4 R / (3 pi) up."""
    washer = Prism(Frame.level(0), Loop.circle(100), (Loop.circle(60),), 0, 8)
    assert washer.volume == pytest.approx(np.pi * (50**2 - 30**2) * 8, rel=1e-13)
    assert washer.surface_area == pytest.approx(2 * np.pi * (50**2 - 30**2) + 2 * np.pi * 80 * 8, rel=1e-13)
    half = Prism(Frame.level(10), Loop(np.array([(-50.0, 0), (50.0, 0)]), np.array([0.0, 1.0])), (), 0, 4)
    assert half.centre == pytest.approx([0, 4 * 50 / (3 * np.pi), 12], abs=1e-12)


def test_many_meshes_at_once_equal_one_at_a_time() -> None:
    prisms = [
        Prism(TILTED, outline, holes, -1.0, 0.5 + i) for i, (outline, holes) in enumerate(SHAPES.values())
    ]
    for prism, mesh in zip(prisms, meshes(prisms), strict=True):
        alone = prism.mesh()
        assert np.array_equal(mesh.vertices, alone.vertices)
        assert mesh.volume == pytest.approx(alone.volume, rel=1e-12)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.floats(0.3, 1.0), min_size=3, max_size=24),
    st.integers(0, 4),
    st.floats(0.1, 0.7),
)
def test_any_star_shaped_outline_with_holes_fills(radii: list[float], holes: int, corner: float) -> None:
    """Judge: trimesh."""
    angle = np.arange(len(radii)) * 2 * np.pi / len(radii)
    reach = 1000.0 * np.array(radii)
    outline = Loop.polygon(np.stack([reach * np.cos(angle), reach * np.sin(angle)], axis=1))
    cut = tuple(
        Loop.rectangle(30, 20, corner * 10, (55 * np.cos(turn), 55 * np.sin(turn))) for turn in range(holes)
    )
    prism = Prism(TILTED, outline, cut, 0.0, 3.0)
    assert judged(prism.mesh()).volume == pytest.approx(prism.volume, rel=2e-4)


def test_an_outline_that_crosses_itself_is_refused() -> None:
    bow_tie = Loop.polygon([(0, 0), (100, 80), (100, 0), (0, 90)])
    with pytest.raises(ValueError, match="crosses"):
        Prism(TILTED, bow_tie, (), 0, 3).mesh()
    with pytest.raises(ValueError, match="z1 above z0"):
        Prism(TILTED, Loop.circle(10), (), 3, 3)
