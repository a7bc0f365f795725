"""Outlines held against scipy's quadrature and against shapely's polygons."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from parts.outline import CHORD, Loop


@st.composite
def star_loops(draw: st.DrawFn) -> Loop:
    """Counter-clockwise loops of 3 to 9 edges about the origin, arcs bowed out or gently in."""
    n = draw(st.integers(3, 9))
    radii = draw(st.lists(st.floats(20, 100), min_size=n, max_size=n))
    bulges = draw(
        st.lists(st.floats(-0.1, 0.4) | st.just(0.0) | st.floats(-1e-3, 1e-3), min_size=n, max_size=n)
    )
    angles = 2 * np.pi * (np.arange(n) + draw(st.floats(0, 1))) / n
    points = np.array(radii)[:, None] * np.stack([np.cos(angles), np.sin(angles)], axis=1)
    return Loop(points + draw(st.floats(-50, 50)), np.array(bulges))


def arc_by_angle(p: np.ndarray, q: np.ndarray, bulge: float) -> tuple[np.ndarray, float, float, float]:
    """Centre, radius, start angle and sweep of an arc, from the textbook centre of a chord's circle."""
    sweep = 4 * np.arctan(bulge)
    chord = q - p
    left = np.array([-chord[1], chord[0]])
    centre = (p + q) / 2 + left / (2 * np.tan(sweep / 2))
    start = p - centre
    return centre, float(np.hypot(*start)), float(np.arctan2(start[1], start[0])), float(sweep)


def boundary_integral(loop: Loop, p_power: int, q_power: int) -> float:
    """The integral of y^p z^q over the loop: quadrature of y^(p+1) z^q / (p+1) dz round its edge."""
    total = 0.0
    for i, bulge in enumerate(loop.bulges):
        p, q = loop.points[i], loop.points[(i + 1) % len(loop.points)]
        if bulge == 0:

            def rate(s: float, p: np.ndarray = p, q: np.ndarray = q) -> float:
                y, z = p + s * (q - p)
                return float(y ** (p_power + 1) * z**q_power * (q[1] - p[1]))

            span = (0.0, 1.0)
        else:
            centre, radius, start, sweep = arc_by_angle(p, q, float(bulge))

            def rate(a: float, c: np.ndarray = centre, r: float = radius) -> float:  # type: ignore[misc]
                y, z = c[0] + r * np.cos(a), c[1] + r * np.sin(a)
                return float(y ** (p_power + 1) * z**q_power * r * np.cos(a))

            span = (start, start + sweep)
        total += quad(rate, *span, epsabs=1e-8, epsrel=1e-10)[0]
    return total / (p_power + 1)


@given(star_loops())
@settings(max_examples=40, deadline=None)
def test_moments_agree_with_quadrature(loop: Loop) -> None:
    if (np.abs(loop.bulges[loop.bulges != 0]) < 1e-5).any():
        return  # the textbook centre itself loses its digits there; the next test covers them
    area = boundary_integral(loop, 0, 0)
    y, z = boundary_integral(loop, 1, 0) / area, boundary_integral(loop, 0, 1) / area
    assert loop.area == pytest.approx(area, rel=1e-8)
    assert loop.centroid == pytest.approx([y, z], abs=1e-5)
    expected = (
        boundary_integral(loop, 0, 2) - area * z * z,
        boundary_integral(loop, 2, 0) - area * y * y,
        boundary_integral(loop, 1, 1) - area * y * z,
    )
    assert loop.second_moments() == pytest.approx(expected, rel=1e-6, abs=1e-6 * area**2)


@given(star_loops())
@settings(max_examples=60, deadline=None)
def test_fine_tessellation_has_the_same_area_centre_and_length(loop: Loop) -> None:
    shape = loop.to_shapely(chord=1e-4)
    assert shape.is_valid
    assert shape.area == pytest.approx(loop.area, rel=1e-5)
    assert [shape.centroid.x, shape.centroid.y] == pytest.approx(list(loop.centroid), abs=1e-3)
    assert shape.length == pytest.approx(loop.perimeter, rel=1e-5)
    assert shape.bounds == pytest.approx(loop.bounds, abs=2e-4)


@pytest.mark.parametrize("half_angle", [0.5, 0.05, 0.0201, 0.0199, 1e-3, 1e-6])
def test_lens_forms_meet_quadrature_on_both_sides_of_the_series(half_angle: float) -> None:
    # A loop of one arc and its own chord is the bare lens; heights by products so nothing cancels.
    loop = Loop(np.array([(1.0, 0.0), (-1.0, 0.0)]), np.array([np.tan(half_angle / 2), 0.0]))
    r = 1 / np.sin(half_angle)

    def over(phi: float) -> float:
        return float(2 * r * np.sin((half_angle + phi) / 2) * np.sin((half_angle - phi) / 2))

    def moment(power: int) -> float:
        found = quad(
            lambda p: over(p) ** power * r * np.cos(p), -half_angle, half_angle, epsabs=0, epsrel=1e-13
        )
        return float(found[0]) / power

    height = moment(2) / moment(1)
    # Heights and their moments are tiny beside the chord, whose scale (1) judges the error.
    assert loop.area == pytest.approx(moment(1), rel=1e-11)
    assert loop.centroid == pytest.approx([0.0, height], rel=1e-11, abs=1e-10)
    assert loop.second_moments()[0] == pytest.approx(moment(3) - moment(1) * height**2, rel=1e-9, abs=1e-10)


@given(star_loops(), st.floats(0, 2 * np.pi))
@settings(max_examples=60, deadline=None)
def test_support_is_the_furthest_point_of_the_outline(loop: Loop, angle: float) -> None:
    d = np.array([np.cos(angle), np.sin(angle)])
    on_outline = float((loop.polyline(chord=1e-5) @ d).max())
    reach = float(loop.support(d)[0])
    assert on_outline - 1e-9 <= reach <= on_outline + 2e-5
    assert loop.support(3 * d)[0] == pytest.approx(3 * reach)


@given(star_loops(), st.floats(0.001, 1.0))
@settings(max_examples=60, deadline=None)
def test_polyline_lies_on_the_arcs_within_the_chord_in_equal_steps(loop: Loop, chord: float) -> None:
    line = loop.polyline(chord)
    at = [int(np.flatnonzero((line == p).all(axis=1))[0]) for p in loop.points]
    for i, bulge in enumerate(loop.bulges):
        end = at[(i + 1) % len(at)] or len(line)
        piece = np.vstack([line[at[i] : end], line[end % len(line)]])
        if abs(bulge) < 1e-4:
            continue
        centre, radius, _, _ = arc_by_angle(piece[0], piece[-1], float(bulge))
        assert np.hypot(*(piece - centre).T) == pytest.approx(radius, rel=1e-9)
        steps = np.hypot(*np.diff(piece, axis=0).T)
        assert np.ptp(steps) < 1e-9 * radius
        middle = (piece[:-1] + piece[1:]) / 2 - centre
        assert (radius - np.hypot(*middle.T)).max() <= chord * (1 + 1e-9)


@given(star_loops(), st.floats(-3, 3), st.booleans(), st.floats(0.2, 3))
@settings(max_examples=40, deadline=None)
def test_moving_turning_and_mirroring_keep_the_shape(
    loop: Loop, angle: float, mirror: bool, scale: float
) -> None:
    c, s = np.cos(angle), np.sin(angle)
    matrix = scale * np.array([(c, -s), (s, c)]) @ np.diag([1.0, -1.0 if mirror else 1.0])
    moved = loop.transformed(matrix, (5.0, -7.0))
    assert moved.area == pytest.approx(loop.area * scale**2)
    assert moved.perimeter == pytest.approx(loop.perimeter * scale)
    assert moved.centroid == pytest.approx(matrix @ loop.centroid + [5.0, -7.0], abs=1e-8)
    before = np.sort(loop.to_shapely().exterior.coords[:-1] @ matrix.T + [5.0, -7.0], axis=0)
    after = np.sort(moved.to_shapely(CHORD * scale).exterior.coords[:-1], axis=0)
    assert after == pytest.approx(before, abs=1e-8)


@given(star_loops())
@settings(max_examples=20, deadline=None)
def test_walking_backwards_negates_the_area_and_nothing_else(loop: Loop) -> None:
    back = loop.reversed()
    assert back.area == pytest.approx(-loop.area)
    assert back.centroid == pytest.approx(loop.centroid)
    assert np.negative(back.second_moments()) == pytest.approx(loop.second_moments(), abs=1e-9 * loop.area**2)
    assert back.bounds == pytest.approx(loop.bounds)
    assert loop.cw().area < 0 < back.ccw().area
    assert back.reversed().points == pytest.approx(loop.points)


def test_circle_and_rounded_rectangle_have_their_textbook_areas() -> None:
    circle = Loop.circle(30.0, centre=(4.0, -2.0))
    assert circle.area == pytest.approx(np.pi * 15**2, rel=1e-14)
    assert circle.second_moments() == pytest.approx(
        (np.pi * 30**4 / 64, np.pi * 30**4 / 64, 0), rel=1e-13, abs=1e-8
    )
    assert circle.bounds == pytest.approx((-11, -17, 19, 13))
    assert circle.perimeter == pytest.approx(30 * np.pi)
    slot = Loop.rectangle(80.0, 20.0, radius=10.0)
    assert slot.area == pytest.approx(60 * 20 + np.pi * 100)
    assert len(slot.points) == 6, "edges swallowed by the round ends are left out"


def test_rounded_corner_of_a_notch_turns_right() -> None:
    notch = Loop.rounded([(0, 0), (40, 0), (40, 30), (20, 30), (20, 15), (0, 15)], radius=4.0)
    assert sum(notch.bulges < 0) == 1
    assert sum(notch.bulges > 0) == 5
    assert notch.area == pytest.approx(40 * 15 + 20 * 15 - (5 - 1) * (1 - np.pi / 4) * 16)
    assert notch.to_shapely(1e-4).is_valid


def test_one_radius_for_each_corner() -> None:
    loop = Loop.rounded([(0, 0), (40, 0), (40, 30), (0, 30)], radius=[0, 5, 0, 10])
    assert loop.area == pytest.approx(1200 - (1 - np.pi / 4) * (25 + 100))
    assert len(loop.points) == 6


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda: Loop.rectangle(10, 10, 5.1), "radius is 5.1 mm; it must be 0 to 5 mm"),
        (lambda: Loop.rounded([(0, 0), (10, 0), (10, 10), (0, 10)], 5.1), "radius is too large"),
        (lambda: Loop.rectangle(0, 10), "positive sides"),
        (lambda: Loop.rectangle(10, float("nan")), "positive sides"),
        (lambda: Loop.circle(-1), "positive diameter"),
        (lambda: Loop.polygon([(0, 0), (1, 0)]), "three corners"),
        (lambda: Loop.polygon([(0, 0), (1, 0), (1, 0), (0, 1)]), "same place"),
        (lambda: Loop.polygon([(0, 0), (1, 0), (np.inf, 1)]), "finite"),
        (lambda: Loop.rounded([(0, 0), (9, 0), (0, 9)], -1), "negative"),
        (lambda: Loop.rectangle(10, 5, 1).transformed([(2, 0), (0, 1)]), "arcs must stay arcs"),
        (lambda: Loop(np.zeros((3, 3)), np.zeros(3)), r"\(n, 2\)"),
    ],
)
def test_what_is_no_outline_is_refused(make: object, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        make()  # type: ignore[operator]


def test_arrays_cannot_be_changed_behind_the_cached_properties() -> None:
    loop = Loop.rectangle(10, 5)
    with pytest.raises(ValueError, match="read-only"):
        loop.points[0, 0] = 3.0


def test_a_radius_that_leaves_less_of_an_edge_than_counts_joins_the_arcs():
    """Half the side but for the last digit: what is left of each edge is 7e-15 mm."""
    loop = Loop.rectangle(60.0, 60.0, 29.999999999999996)
    assert len(loop.points) == 4
    assert loop.area == pytest.approx(np.pi * 30.0**2, rel=1e-12)
