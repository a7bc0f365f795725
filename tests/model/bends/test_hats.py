"""Hats and channels: sections by handbook and by kernel, solids, where they stand, what is refused."""
# ruff: noqa: E501  (a table of cases, one to a line)

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps

from cutlists.packet.frame_pages import stiffened
from cutlists.packet.frame_plan import FramePlan, frame_plan_svg
from cutlists.scene import scene_of
from model.bends.hat import HatShape, hat_piece
from model.boat import Boat, build_boat
from model.clearance.check import check_fit
from model.geometry import Frame
from model.prism import Prism
from model.prism_solid import joined_solid, prism_solid
from parts.bending import Bending
from parts.catalogue import Catalogue, starter
from parts.faults import BadInput, Fault
from parts.sections.hat import hat_channel
from tests.model.boats import CONFIGS, boat_file, build, document, named
from tests.model.kernel_measure import volume_and_centre

SHEET = starter().sheets["5052-2mm"]
T = SHEET.thickness


def shape(width: float = 40.0, height: float = 30.0, foot: float = 20.0, degrees: float = 90.0,
          radius: float = 4.0) -> HatShape:  # fmt: skip
    return HatShape(width, height, foot, math.radians(degrees), radius, SHEET, 0.44)


def test_a_sharp_hat_by_the_parallel_axis_theorem() -> None:
    """Rectangles about the centroid, sum of b h^3 / 12 + A d^2, less what the outsides of bends round off.

    A rounded corner loses (1 - pi / 4) r^2, its middle (10 - 3 pi) / (12 - 3 pi) r from the corner's sides
    (a square less a quarter circle, any handbook of mechanics).
    """
    w, h, f = 40.0, 30.0, 20.0
    section = shape(w, h, f, radius=0.0).section("hat")
    rows = [(w, T, h / 2 - T / 2), (2 * T, h - 2 * T, 0.0), (2 * f, T, T / 2 - h / 2)]  # b, h, middle
    parts = [(b * d, z, b * d**3 / 12) for b, d, z in rows]
    off = h / 2 - (10 - 3 * math.pi) / (12 - 3 * math.pi) * T
    parts += [(-2 * (1 - math.pi / 4) * T**2, z, 0.0) for z in (off, -off)]
    area = sum(a for a, _, _ in parts)
    middle = sum(a * z for a, z, _ in parts) / area
    assert section.area == pytest.approx(area)
    assert section.centroid[1] == pytest.approx(middle, abs=1e-9)
    # the spandrels' own moments, left out here, are 0.0075 r^4 each
    assert section.iy == pytest.approx(sum(own + a * (z - middle) ** 2 for a, z, own in parts), rel=2e-5)
    assert section.width == pytest.approx(w + 2 * (f - T))


def test_bent_with_radii_it_is_the_hat_that_can_be_bought() -> None:
    """A hat of the catalogue's family drawn by another hand: `parts.sections.hat`."""
    own = shape()
    bought = hat_channel("bought", 2 * own.half, 30.0, T, 40.0, SHEET.alloy, 4.0 + T)
    mine = own.section("mine")
    for what in ("area", "iy", "iz", "modulus_y", "torsion"):
        assert getattr(mine, what) == pytest.approx(getattr(bought, what), rel=1e-9)


@settings(max_examples=20, deadline=None)
@given(
    width=st.floats(30, 90), height=st.floats(25, 70), foot=st.one_of(st.just(0.0), st.floats(15, 40)),
    degrees=st.floats(45, 90), radius=st.one_of(st.just(0.0), st.floats(0.5, 6)),
)  # fmt: skip
def test_any_section_has_the_kernels_moments_and_the_pieces_volume(
    width: float, height: float, foot: float, degrees: float, radius: float
) -> None:
    own = shape(width, height, foot, degrees, radius)
    if own.straight <= T or width < own.least_width or 0 < foot < own.least_foot:
        return
    section = own.section("hat")
    # the kernel's moment of a slice 1 mm thick, less its own share along: Ixx = area moment + A / 12
    told = GProp_GProps()
    BRepGProp.VolumeProperties_s(prism_solid(Prism(Frame.level(0.0), section.outer, (), -0.5, 0.5)), told)
    matrix = told.MatrixOfInertia()
    assert matrix.Value(1, 1) - section.area / 12 == pytest.approx(section.iy, rel=1e-6)
    assert matrix.Value(2, 2) - section.area / 12 == pytest.approx(section.iz, rel=1e-6)
    piece = hat_piece("hat", own, Frame.level(100.0), 300.0, T)
    assert piece.volume == pytest.approx(section.area * 300.0, rel=1e-9)
    assert piece.box[:, 2] == pytest.approx([100.0, 100.0 + height], abs=1e-6)
    assert np.ptp(piece.box[:, 1]) == pytest.approx(2 * own.half, abs=1e-6)


@pytest.mark.parametrize(("foot", "degrees"), [(20.0, 90.0), (0.0, 90.0), (18.0, 70.0)])
def test_it_is_one_valid_solid_and_its_flat_is_a_strip(foot: float, degrees: float) -> None:
    piece = hat_piece("hat", shape(foot=foot, degrees=degrees), Frame.level(0.0), 300.0, T)
    solid = joined_solid(piece.prisms)
    assert BRepCheck_Analyzer(solid).IsValid()
    assert volume_and_centre(solid)[0] == pytest.approx(piece.volume, rel=1e-9)
    assert len(piece.cut_outline.points) == 4
    # each bend of A takes A (R + K T) of the strip and has A (R + T / 2) of metal: Pappus
    bends = len(piece.bend_lines) * math.radians(degrees)
    assert piece.cut_polygon.area == pytest.approx(
        piece.volume / T - 300.0 * bends * (0.5 - 0.44) * T, rel=1e-6
    )


def test_the_strip_of_a_hat_by_its_published_deductions() -> None:
    """Outside lengths less 2 OSSB - BA a bend, BA = (0.01743 R + 0.0078 T) A: sheetmetalworkbook.com/90bends.htm."""
    piece = hat_piece("hat", replace(shape(), k=0.0078 * 180 / math.pi), Frame.level(0.0), 300.0, T)
    deduction = 2 * (4.0 + T) - (0.01743 * 4.0 + 0.0078 * T) * 90
    # 0.01743 as printed is pi / 180 less 0.000023, of which R and the angle make 0.0084 mm a bend
    assert piece.cut_extents[1] == pytest.approx(40 + 2 * 30 + 2 * 20 - 4 * deduction, abs=0.035)


DECK: dict[str, Any] = {"height": 300, "aft": 200, "forward": 2800}
HAT: dict[str, Any] = {
    "under": "aft",
    "along": [[500, -150], [1000, -150]],
    "height": 30,
    "width": 40,
    "foot": 20,
}
HATCH = {"hatch": {"aft": 1100, "length": 150, "port": 100, "starboard": -100}}


def with_hats(deck: dict[str, Any] | None = None, **hats: dict[str, Any]) -> Boat:
    return build(decks={"aft": deck or DECK}, hats=hats)


@cache
def hatted() -> Boat:
    return with_hats(rib={**HAT, "both_sides": True})


def test_it_runs_to_the_beams_that_it_meets_under_the_sheet() -> None:
    first, second = (named(hatted(), f"deck.aft/beam.{n}") for n in (1, 2))
    starboard, port = hatted().hats
    assert (starboard.name, port.name) == ("deck.aft/hat.rib.starboard", "deck.aft/hat.rib.port")
    assert starboard.meets == (first.name, second.name)
    assert starboard.piece.box[:, 0] == pytest.approx([first.box[1, 0], second.box[0, 0]])
    assert starboard.piece.box[:, 2] == pytest.approx([300 - 2 - 30, 300 - 2])
    assert port.piece.box[:, 1] == pytest.approx(-starboard.piece.box[::-1, 1])


def test_it_is_a_piece_like_any_other() -> None:
    boat = hatted()
    assert boat.marks["deck.aft/hat.rib.port"] == boat.marks["deck.aft/hat.rib.starboard"]
    assert check_fit(boat).findings == ()
    place = boat.place("deck.aft/hat.rib.port")
    assert place is not None
    assert place.key == "hats.rib"
    assert len(boat.panels) == len(with_hats().panels) + 2


def test_it_collides_with_what_hangs_where_it_is() -> None:
    """A battery between two beams, its top 15 mm above the web of the hat."""
    tank = {"part": "group-27", "on": "hull", "at": [764, -150], "raise_by": 60}
    boat = build(decks={"aft": DECK}, hats={"rib": HAT}, fixtures={"tank": tank})
    pairs = {f.pieces for f in check_fit(boat).findings}
    assert any("deck.aft/hat.rib" in pair for pair in pairs)


def test_over_a_hole_it_is_told() -> None:
    (found,) = with_hats({**DECK, "openings": HATCH, "frame": {"leave_out": ["hatch/header.aft", "hatch/carling.port"]}},
                         rib={**HAT, "along": [[1000, 0], [1150, 0]]}).findings[-1:]  # fmt: skip
    assert found.kind == "sheet"
    assert "lie over no sheet of deck.aft" in found.what


def test_what_the_brake_cannot_make_is_found_with_its_line() -> None:
    """A hat 60 high and 40 wide: its second side would hit the punch."""
    (found,) = with_hats(rib={**HAT, "height": 60}).findings
    assert found.pieces == ("deck.aft/hat.rib",)
    assert "no order of its bends" in found.what
    assert found.place is not None
    assert found.place.key == "hats.rib"


def faults(hat: dict[str, Any], catalogue: Catalogue | None = None, **more: Any) -> tuple[Fault, ...]:
    data = boat_file(decks={"aft": DECK}, hats={"rib": hat}, **more)
    with pytest.raises(BadInput) as refused:
        build_boat(document(data), CONFIGS, catalogue=catalogue)
    return refused.value.faults


@pytest.mark.parametrize(
    ("change", "key", "wrong", "right"),
    [
        ({"under": "aff"}, "under", "no deck 'aff'", "'aft'"),
        ({"under": None}, "", "stiffens one thing", "just one of under, on"),
        ({"on": "deck.aft/sheet.1"}, "", "stiffens one thing", "just one of under, on"),
        ({"width": 9}, "width", "a web of 9.0 mm leaves no room", "10.4 mm or more"),
        ({"height": 12}, "height", "a side of 12.0 mm leaves no room", "12.4 mm or more"),
        ({"foot": 7}, "foot", "a foot of 7.0 mm leaves no room", "7.2 mm or more"),
        ({"height": -3}, "height", "not above zero", "above zero"),
        ({"radius": 1}, "radius", "may crack 5052-H32", "3.0 mm or more"),
        ({"angle": 30}, "angle", "30 degrees make no hat", "45 to 90"),
        ({"sheet": "5052-3"}, "sheet", "5052-3", ""),
        ({"along": [[800, 0], [800, 0]]}, "along", "one point", "further apart"),
        ({"along": [[800, 0, 0], [900, 0, 0]]}, "along", "another kind", "[x, y] below a deck"),
        ({"along": [[500, 0], [640, 0]]}, "along", "lies across its middle", "both sides of one bay"),
        ({"along": [[580, 0], [940, 0]], "width": 400}, "along", "", ""),
        ({"along": [[800, 0]]}, "along", "", ""),
        ({"under": None, "on": "deck.aft/shet.1", "along": [[800, 0, 300], [900, 0, 300]]}, "on", "no flat sheet piece", "sheet.1"),
        ({"under": None, "on": "deck.aft/sheet.1", "along": [[800, 0, 0], [900, 0, 0]]}, "along", "told 2", "on that piece"),
        ({"under": None, "on": "deck.aft/sheet.1", "along": [[800, 0, 300], [900, 0, 300]], "both_sides": True}, "both_sides", "one place", "its own"),
        ({"wide": 3}, "wide", "", ""),
    ],
)  # fmt: skip
def test_bad_input(change: dict[str, Any], key: str, wrong: str, right: str) -> None:
    hat = {name: value for name, value in {**HAT, **change}.items() if value is not None}
    if "width" in change and change["width"] == 400:
        assert with_hats(rib=hat).hats  # a web as wide as the bay is no fault of reading
        return
    (fault,) = faults(hat)
    assert fault.place.key.startswith(f"hats.rib.{key}" if key else "hats.rib")
    assert wrong in fault.wrong
    assert right in fault.right


def test_the_least_it_asks_for_is_taken() -> None:
    assert with_hats(rib={**HAT, "height": 12.4, "foot": 7.2, "width": 10.4}).hats


def test_a_brake_that_holds_no_low_foot() -> None:
    shop = replace(starter(), bending=Bending(flange=25.0))
    (fault,) = faults(HAT, shop)
    assert fault.place.key == "hats.rib.foot"
    assert "lower than the brake can hold" in fault.wrong


def test_on_a_bulkhead() -> None:
    on = {"on": "bulkhead.b/sheet", "side": "face", "along": [[900, -300, 150], [900, 300, 150]]}
    hat = {"height": 25, "width": 40, "foot": 15, **on}
    boat = build(decks={"aft": DECK}, bulkheads={"b": {"at": 900, "under": "aft"}}, hats={"h": hat})
    (made,) = boat.hats
    assert made.name == "bulkhead.b/hat.h"
    sheet = named(boat, "bulkhead.b/sheet")
    away = float((made.piece.centre - sheet.centre) @ sheet.frame.z)
    assert 0.0 < away < 25.0
    assert boat.findings == ()


def test_the_frame_drawing_shows_it_dashed_with_its_mark_and_its_place() -> None:
    plan = FramePlan.of(hatted(), "deck.aft")
    svg = frame_plan_svg(hatted(), scene_of(hatted()), "deck.aft", (300, 250))
    mark = hatted().marks["deck.aft/hat.rib.port"]
    assert svg.count(f">{mark}<") == 2
    half = hatted().hats[0].section.width / 2
    assert f"{150 - half:.1f} mm" in svg
    assert stiffened(hatted(), plan) == [
        f"Hats below the sheet, drawn dashed: 2 {mark}, butted to the members at both ends."
    ]
