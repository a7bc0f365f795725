"""Whether a box passes an opening: published criterion, brute force, and sections of the kernel's box."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import Polygon

from model.access.passing import cannot_pass, longest_chord, widest_circle
from model.geometry import Array
from tests.model.access.carver import passes_rectangle

sizes = st.floats(20.0, 400.0)


def rectangle(width: float, height: float) -> Polygon:
    return shapely.box(-width / 2, -height / 2, width / 2, height / 2)


@pytest.mark.parametrize(
    ("a", "b", "width", "height", "fits"),
    [
        (30, 40, 40, 30, True),
        (30, 41, 40, 30, False),
        # a bar of no width lies along the diagonal: 3-4-5
        (1e-9, 49.99, 30, 40, True),
        (1e-9, 50.01, 30, 40, False),
        # turned 45 degrees a square's side shrinks by (a + b) / sqrt 2: 8 x 92 in a square of 70.711
        (8, 91.99, 70.711, 70.711, True),
        (8, 92.01, 70.710, 70.710, False),
    ],
)
def test_rectangles_in_rectangles_by_hand(
    a: float, b: float, width: float, height: float, fits: bool
) -> None:
    assert passes_rectangle(a, b, width, height) == fits
    assert passes_rectangle(b, a, height, width) == fits


@given(sizes, sizes, sizes, sizes)
@settings(max_examples=150, deadline=None)
def test_the_criterion_is_what_turning_by_small_steps_finds(a: float, b: float, w: float, h: float) -> None:
    """Carver's criterion against the extent of the rectangle at 20,000 angles."""
    angle = np.linspace(0.0, math.pi / 2.0, 20_001)
    across, along = a * np.cos(angle) + b * np.sin(angle), a * np.sin(angle) + b * np.cos(angle)
    over = float(np.maximum(across - w, along - h).min())
    assume(abs(over) > 1e-2)
    assert passes_rectangle(a, b, w, h) == (over < 0.0)


def section(sides: Array, normal: Array) -> Polygon:
    """The kernel's cut of a box with a plane through its middle, in the plane's own coordinates."""
    import trimesh

    mesh = trimesh.creation.box(tuple(sides))
    cut = mesh.section(plane_origin=np.zeros(3), plane_normal=normal)
    first = np.cross(normal, np.eye(3)[int(np.abs(normal).argmin())])
    first = first / np.linalg.norm(first)
    points = np.asarray(cut.vertices) @ np.stack([first, np.cross(normal, first)]).T
    hull = shapely.MultiPoint(points).convex_hull
    assert isinstance(hull, Polygon)
    return hull


@given(st.integers(0, 2**31))
@settings(max_examples=60, deadline=None)
def test_no_section_through_the_middle_is_smaller_than_is_claimed(seed: int) -> None:
    """Of boxes cut by trimesh: circle, chord and area of each section, by whatever plane."""
    rng = np.random.default_rng(seed)
    sides = rng.uniform(30.0, 300.0, 3)
    normal = rng.normal(size=3)
    if rng.random() < 0.3:
        normal[rng.integers(3)] = 0.0  # planes along an edge
    cut = section(sides, normal / np.linalg.norm(normal))
    a, b, _ = sorted(sides)
    assert cut.area >= a * b * (1.0 - 1e-6)
    assert widest_circle(cut) >= a - 1.1
    assert longest_chord(cut) >= b * (1.0 - 1e-9)
    # so an opening of just that shape is never said to keep the box in
    assert cannot_pass(sides, cut.buffer(0.01)) is None


@given(sizes, sizes, sizes, sizes, sizes)
@settings(max_examples=100, deadline=None)
def test_what_passes_straight_is_never_said_to_be_kept_in(
    a: float, b: float, c: float, w: float, h: float
) -> None:
    sides = np.array([a, b, c])
    for one, other in ((a, b), (b, c), (a, c)):
        if passes_rectangle(one, other, w, h):
            assert cannot_pass(sides, rectangle(w, h)) is None


def test_each_reason_is_told() -> None:
    box = np.array([330.0, 173.0, 240.0])
    assert "least side is 173" in str(cannot_pass(box, rectangle(170.0, 800.0)))
    assert "173 x 240" in str(cannot_pass(box, rectangle(175.0, 230.0)))
    corner = Polygon([(0, 0), (235, 0), (235, 235), (0, 235)])
    thin = np.array([40.0, 340.0, 500.0])
    assert "shorter than 340" in str(cannot_pass(thin, corner))
    assert cannot_pass(box, rectangle(180.0, 250.0)) is None
