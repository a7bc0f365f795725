"""Section properties held against published tables, textbook sums and shapely."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest
from shapely import Polygon
from shapely.affinity import affine_transform

from parts.alloy import Alloy, Strength
from parts.section import Section
from parts.sections import angle, flat_bar, hat_channel, rect_tube, round_tube, square_tube

IN = 25.4
ALUMINIUM = Alloy(
    "6061-T6", "extrusion", 2700.0, 69600.0, 26200.0, Strength(262, ""), Strength(241, ""), (), {}
)
STEEL = replace(ALUMINIUM, name="steel", density=7850.0)

# Sharp-cornered rectangular tube, a steel mill's table: http://www.ewco.net/page8.htm and /page10.htm.
# b, h, t, A, weak I, weak S, weak r, strong I, strong S, strong r (inches), lb/ft in steel (A x 3.4).
SHARP_ROWS = [
    (1, 2, 0.065, 0.3731, 0.0640, 0.1280, 0.4142, 0.1926, 0.1926, 0.7185, 1.2685),
    (1, 2, 0.109, 0.6065, 0.0957, 0.1914, 0.3972, 0.2979, 0.2979, 0.7008, 2.0620),
    (1, 2, 0.134, 0.7322, 0.1101, 0.2202, 0.3878, 0.3498, 0.3498, 0.6912, 2.4894),
    (1, 2.5, 0.083, 0.5534, 0.0955, 0.1910, 0.4154, 0.4184, 0.3347, 0.8695, 1.8817),
    (1, 2.5, 0.120, 0.7824, 0.1257, 0.2514, 0.4008, 0.5710, 0.4568, 0.8543, 2.6602),
    (1, 3, 0.065, 0.5031, 0.0924, 0.1848, 0.4286, 0.5361, 0.3574, 1.0323, 1.7105),
    (1, 3, 0.120, 0.9024, 0.1490, 0.2980, 0.4063, 0.9184, 0.6123, 1.0088, 3.0682),
    (1.25, 1.5, 0.065, 0.3406, 0.0838, 0.1341, 0.4960, 0.1116, 0.1488, 0.5724, 1.1580),
    (1.25, 1.5, 0.109, 0.5520, 0.1268, 0.2029, 0.4793, 0.1704, 0.2272, 0.5556, 1.8767),
    (3, 4, 0.083, 1.1344, 1.7278, 1.1519, 1.2341, 2.6901, 1.3451, 1.5399, 3.8571),
    (3, 4, 0.134, 1.8042, 2.6584, 1.7723, 1.2139, 4.1661, 2.0831, 1.5196, 6.1342),
]

# Cold-formed tube, outside radius 2t and inside t: the EN 10219 table at
# http://www.b2bmetal.eu/en/pages/index/index/id/94/. H, B, t mm; kg/m; A; Ix, Wx, ix; Iy, Wy, iy; It (cm).
EN_10219_ROWS = [
    (40, 20, 2.0, 1.68, 2.14, 4.05, 2.02, 1.38, 1.34, 1.34, 0.79, 3.45),
    (40, 20, 3.0, 2.36, 3.01, 5.21, 2.60, 1.32, 1.68, 1.68, 0.75, 4.57),
    (40, 30, 2.0, 1.99, 2.54, 5.49, 2.75, 1.47, 3.51, 2.34, 1.18, 7.07),
    (40, 30, 3.0, 2.83, 3.61, 7.27, 3.63, 1.42, 4.60, 3.07, 1.13, 9.72),
    (50, 30, 2.0, 2.31, 2.94, 9.54, 3.81, 1.80, 4.29, 2.86, 1.21, 9.77),
    (50, 30, 3.0, 3.30, 4.21, 12.83, 5.13, 1.75, 5.70, 3.80, 1.16, 13.53),
    (60, 40, 2.0, 2.93, 3.74, 18.41, 6.14, 2.22, 9.83, 4.92, 1.62, 20.70),
    (60, 40, 3.0, 4.25, 5.41, 25.38, 8.46, 2.17, 13.44, 6.72, 1.58, 29.28),
]

ALL_FAMILIES: list[Section] = [
    rect_tube("rect", 25.4, 50.8, 3.175, ALUMINIUM),
    rect_tube("rolled rect", 50, 25, 3, ALUMINIUM, radius=6),
    rect_tube("rounded less than its wall", 50, 25, 3, ALUMINIUM, radius=1),
    square_tube("square", 25.4, 3.175, ALUMINIUM),
    square_tube("rolled square", 40, 2, ALUMINIUM, radius=4),
    round_tube("round", 25.4, 3.175, ALUMINIUM),
    angle("equal angle", 25.4, 25.4, 3.175, ALUMINIUM),
    angle("bent angle", 50, 30, 2.5, ALUMINIUM, radius=5),
    flat_bar("flat", 50.8, 3.175, ALUMINIUM),
    hat_channel("hat", 50.8, 25.4, 2.286, 25.4, ALUMINIUM),
    hat_channel("bent hat", 60, 25, 2, 25, ALUMINIUM, radius=5),
]


def metal(section: Section) -> Polygon:
    """The section as a finely tessellated polygon with its bore."""
    chord = 1e-4
    return Polygon(section.outer.polyline(chord), [hole.polyline(chord) for hole in section.holes])


@pytest.mark.parametrize("row", SHARP_ROWS, ids=lambda row: f"{row[0]}x{row[1]}x{row[2]}")
def test_sharp_tube_agrees_with_the_mill_table(row: tuple[float, ...]) -> None:
    b, h, t, area, weak_i, weak_s, weak_r, strong_i, strong_s, strong_r, lb_per_ft = row
    tube = rect_tube("row", b * IN, h * IN, t * IN, STEEL)
    # Four decimals are printed; S and r were worked out from the printed I, whose last digit may be
    # one off, and carry that digit with them (dS = 2 dI / depth, dr = r dI / 2I).
    digit = 1e-4
    assert tube.area / IN**2 == pytest.approx(area, abs=digit)
    assert tube.area / IN**2 * 3.4 == pytest.approx(lb_per_ft, abs=3.4 * digit)
    assert tube.iz / IN**4 == pytest.approx(weak_i, abs=1.1 * digit)
    assert tube.iy / IN**4 == pytest.approx(strong_i, abs=1.1 * digit)
    assert tube.modulus_z / IN**3 == pytest.approx(weak_s, abs=digit * (2 / b + 0.5))
    assert tube.modulus_y / IN**3 == pytest.approx(strong_s, abs=digit * (2 / h + 0.5))
    assert tube.weak_gyration / IN == pytest.approx(weak_r, abs=digit * (weak_r / weak_i / 2 + 0.5))
    assert tube.strong_gyration / IN == pytest.approx(strong_r, abs=digit * (strong_r / strong_i / 2 + 0.5))


def test_where_the_mill_table_is_misprinted_ours_is_the_right_number() -> None:
    # Same table. 3 x 4 x 0.238 prints the weight 0.5584 lb/ft; its own area x 3.4 is 10.5584.
    area = rect_tube("3 x 4 x 0.238", 3 * IN, 4 * IN, 0.238 * IN, STEEL).area / IN**2
    assert area * 3.4 == pytest.approx(10.5584, abs=4e-4)
    # 3 x 5 x 0.180 prints the strong modulus 3.9091; twice its own I over the depth is 3.7091.
    tube = rect_tube("3 x 5 x 0.180", 3 * IN, 5 * IN, 0.180 * IN, STEEL)
    assert tube.modulus_y / IN**3 == pytest.approx(3.7091, abs=1.6e-4)


@pytest.mark.parametrize("row", EN_10219_ROWS, ids=lambda row: f"{row[0]}x{row[1]}x{row[2]}")
def test_rounded_tube_agrees_with_the_en_10219_table(row: tuple[float, ...]) -> None:
    h, b, t, *printed = row
    tube = rect_tube("row", b, h, t, STEEL, radius=2 * t)
    ours = [
        tube.mass_per_m,
        tube.area / 1e2,
        tube.iy / 1e4,
        tube.modulus_y / 1e3,
        tube.strong_gyration / 10,
        tube.iz / 1e4,
        tube.modulus_z / 1e3,
        tube.weak_gyration / 10,
        tube.torsion / 1e4,
    ]
    assert ours == pytest.approx(printed, abs=0.005 + 1e-9), "two decimals are printed"


@pytest.mark.parametrize(
    ("b", "h", "t", "area", "strong_i", "weak_i", "torsion", "lb_per_ft"),
    [
        (1, 2, 1 / 16, 0.3594, 0.1860, 0.0620, 0.1434, 0.423),
        (1, 2, 1 / 8, 0.6875, 0.3317, 0.1051, 0.2447, 0.809),
        (1, 3, 1 / 8, 0.9375, 0.9502, 0.1533, 0.4219, 1.103),
    ],
)
def test_common_aluminium_tube(
    b: float,
    h: float,
    t: float,
    area: float,
    strong_i: float,
    weak_i: float,
    torsion: float,
    lb_per_ft: float,
) -> None:
    # Worked by hand from A = bh - b'h', I = (bh^3 - b'h'^3)/12 and Bredt's J = 4 Am^2 t/s; no publisher.
    tube = rect_tube(
        "row", b * IN, h * IN, t * IN, replace(ALUMINIUM, density=0.098 * 0.45359237 / 0.0254**3)
    )
    assert tube.area / IN**2 == pytest.approx(area, abs=5e-5)
    assert tube.principal[0] / IN**4 == pytest.approx(strong_i, abs=5e-5)
    assert tube.principal[1] / IN**4 == pytest.approx(weak_i, abs=5e-5)
    assert tube.torsion / IN**4 == pytest.approx(torsion, abs=5e-5)
    assert tube.mass_per_m * 0.3048 / 0.45359237 == pytest.approx(lb_per_ft, abs=5e-4)


def test_round_tube_has_its_textbook_properties() -> None:
    tube = round_tube("1 x 1/8", 25.4, 3.175, ALUMINIUM)
    d, bore = 25.4, 25.4 - 6.35
    assert tube.area == pytest.approx(np.pi * (d**2 - bore**2) / 4, rel=1e-13)
    assert tube.iy == pytest.approx(np.pi * (d**4 - bore**4) / 64, rel=1e-13)
    assert tube.torsion == pytest.approx(tube.iy + tube.iz, rel=1e-13), "polar moment, for round tube only"
    assert tube.modulus_y == pytest.approx(tube.iy / (d / 2))


@pytest.mark.parametrize(
    ("ratio", "k"),
    # Torsion of rectangular bars, J = k a b^3: the table in Timoshenko and Goodier, Theory of
    # Elasticity, article 109 (from memory).
    [
        (1, 0.1406),
        (1.2, 0.166),
        (1.5, 0.196),
        (2, 0.229),
        (2.5, 0.249),
        (3, 0.263),
        (4, 0.281),
        (5, 0.291),
        (10, 0.312),
    ],
)
def test_solid_bar_twists_as_the_handbook_says(ratio: float, k: float) -> None:
    bar = flat_bar("bar", 10 * ratio, 10.0, ALUMINIUM)
    assert bar.torsion / (10 * ratio * 10**3) == pytest.approx(k, abs=6e-4)
    assert flat_bar("on edge", 10.0, 10 * ratio, ALUMINIUM).torsion == pytest.approx(bar.torsion)


def test_angle_is_the_sum_of_its_two_rectangles() -> None:
    # Textbook parallel-axis sum for 50 x 30 x 4, heel at the corner of the box.
    section = angle("50 x 30 x 4", 50, 30, 4, ALUMINIUM)
    parts = [(50 * 4, 0.0, -13.0, 50, 4), (26 * 4, -23.0, 2.0, 4, 26)]  # area, centre y, z, size y, z
    area = sum(p[0] for p in parts)
    cy, cz = (sum(p[0] * p[i] for p in parts) / area for i in (1, 2))
    iy = sum(w * h**3 / 12 + a * (z - cz) ** 2 for a, _, z, w, h in parts)
    iz = sum(h * w**3 / 12 + a * (y - cy) ** 2 for a, y, _, w, h in parts)
    iyz = sum(a * (y - cy) * (z - cz) for a, y, z, _, _ in parts)
    assert section.area == pytest.approx(area)
    assert section.centroid == pytest.approx([cy, cz])
    assert (section.iy, section.iz, section.iyz) == pytest.approx((iy, iz, iyz))
    # Mohr's circle gives the principal values.
    spread = np.hypot((iy - iz) / 2, iyz)
    assert section.principal[:2] == pytest.approx(((iy + iz) / 2 + spread, (iy + iz) / 2 - spread))
    assert section.torsion == pytest.approx((48 + 28) * 4**3 / 3), "middle lines 48 and 28 long"


def test_equal_angle_buckles_about_its_diagonal() -> None:
    section = angle("40 x 40 x 4", 40, 40, 4, ALUMINIUM)
    assert np.abs(section.principal[2]) == pytest.approx([np.sqrt(0.5)] * 2)
    assert section.weak_gyration < np.sqrt(section.iy / section.area)


@pytest.mark.parametrize("section", ALL_FAMILIES, ids=lambda s: s.name)
def test_every_family_agrees_with_its_own_polygon_in_shapely(section: Section) -> None:
    shape = metal(section)
    assert shape.is_valid
    assert shape.area == pytest.approx(section.area, rel=1e-4)
    assert [shape.centroid.x, shape.centroid.y] == pytest.approx(list(section.centroid), abs=1e-3)
    half_w, half_h = section.width / 2, section.height / 2
    assert shape.bounds == pytest.approx((-half_w, -half_h, half_w, half_h), abs=1e-9)
    # Moments by slicing: integrate z^2 times the width of thin strips.
    edges = np.linspace(-half_h, half_h, 1601)
    levels = (edges[1:] + edges[:-1]) / 2
    wide = [
        shape.intersection(Polygon([(-99, z - 1e-7), (99, z - 1e-7), (99, z + 1e-7), (-99, z + 1e-7)])).area
        for z in levels
    ]
    strip = np.array(wide) / 2e-7 * (edges[1] - edges[0])
    assert (strip * (levels - section.centroid[1]) ** 2).sum() == pytest.approx(section.iy, rel=2e-3)


@pytest.mark.parametrize("section", ALL_FAMILIES, ids=lambda s: s.name)
def test_turns_are_exactly_the_rotations_that_keep_the_prism(section: Section) -> None:
    shape = metal(section)
    allowed = [turn.round(12) for turn in section.turns()]
    assert (allowed[0] == np.eye(3)).all()
    quarter = [np.array([(c, -s), (s, c)]) for c, s in [(1, 0), (0, 1), (-1, 0), (0, -1)]]
    for turn, end_for_end in itertools.product(quarter, [False, True]):
        # Any rotation that keeps the x line: a turn about x, after half a turn about z or not.
        about_z = np.diag([-1.0, -1.0, 1.0]) if end_for_end else np.eye(3)
        rotation = np.block([[np.eye(1), np.zeros((1, 2))], [np.zeros((2, 1)), turn]]) @ about_z
        assert np.linalg.det(rotation) == pytest.approx(1)
        (a, b), (c, d) = rotation[1:, 1:]
        moved = affine_transform(shape, [a, b, c, d, 0, 0])
        keeps = moved.symmetric_difference(shape).area < 1e-2
        assert keeps == any(np.allclose(rotation, other) for other in allowed), (turn, end_for_end)


def test_how_many_ways_each_family_goes_back_into_its_own_hole() -> None:
    ways = {s.name: (len(s.symmetries), len(s.reflections), s.is_round) for s in ALL_FAMILIES}
    assert ways["rect"] == ways["rolled rect"] == ways["flat"] == (2, 2, False)
    assert ways["square"] == (4, 4, False)
    assert ways["round"] == (4, 4, True)
    assert ways["equal angle"] == (1, 1, False), "mirrored across its own diagonal"
    assert ways["bent angle"] == (1, 0, False), "legs differ: no other way at all"
    assert ways["hat"] == ways["bent hat"] == (1, 1, False)


def test_flats_end_where_the_corner_begins() -> None:
    assert rect_tube("r", 50, 25, 3, ALUMINIUM, radius=6).flats == (19, 6.5)
    assert rect_tube("r", 50, 25, 3, ALUMINIUM).flats == (25, 12.5)
    assert round_tube("r", 25, 3, ALUMINIUM).flats == (0, 0)


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda: rect_tube("r", 50, 25, 12.5, ALUMINIUM), "wall is 12.5 mm; it must be under 12.5 mm"),
        (lambda: rect_tube("r", 50, 25, -1, ALUMINIUM), "wall is -1 mm; it must be positive"),
        (lambda: rect_tube("r", 50, 25, 3, ALUMINIUM, radius=13), "radius is 13 mm; it must be 0 to 12.5 mm"),
        (lambda: rect_tube("r", float("inf"), 25, 3, ALUMINIUM), "width is inf"),
        (lambda: round_tube("r", 20, 10, ALUMINIUM), "under 10 mm, half of the diameter"),
        (lambda: angle("a", 20, 30, 20, ALUMINIUM), "the shorter leg"),
        (lambda: flat_bar("f", 0, 3, ALUMINIUM), "width is 0 mm"),
        (
            lambda: hat_channel("h", 50, 25, 2, 50, ALUMINIUM),
            "crown is 50 mm; it must be under the whole width",
        ),
        (lambda: hat_channel("h", 50, 25, 2, 25, ALUMINIUM, radius=13), "corner radius is 13 mm"),
    ],
)
def test_sections_that_cannot_be_are_refused(make: object, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        make()  # type: ignore[operator]
