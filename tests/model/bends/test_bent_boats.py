# ruff: noqa: E501  (a table of cases, one to a line)
"""Boats with bends: what is folded, what a fit check sees of it, what is refused and what is found."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from OCP.BRepCheck import BRepCheck_Analyzer

from model.boat import Boat, build_boat
from model.clearance.bodies import boat_bodies
from model.clearance.check import check_fit
from model.mat.standing import standing_on
from model.mat.surfaces import deck_tops
from model.prism_solid import joined_solid
from parts.bending import Bending
from parts.catalogue import Catalogue, starter
from parts.faults import BadInput, Fault
from parts.lengths import parse_length
from tests.model.boats import CONFIGS, boat_file, build, document, named
from tests.model.kernel_measure import volume_and_centre

DECKS: dict[str, Any] = {
    "aft": {
        "height": 300, "aft": 200, "forward": 1400, "risers": {"forward": {"down_to": 120}},
        "openings": {
            "hatch": {"aft": 500, "length": 300, "port": 180, "starboard": -180, "radius": 40},
            "round": {"outline": [[1100, 200], [1200, 200], [1200, 300], [1100, 300]], "radius": 50},
        },
    }
}  # fmt: skip
RISER, SHEET = "deck.aft/riser.forward.1", "deck.aft/sheet.1"
RETURN = {"edge": "lower", "height": 25, "turn": "face"}
MITRED = {**RETURN, "corner": "mitre"}


def with_bends(bends: dict[str, Any], **more: Any) -> Boat:
    return build(decks=DECKS, bends=bends, **more)


@cache
def bent_boat() -> Boat:
    lip = {"opening": "hatch", "height": 20, "turn": "back"}
    return with_bends(
        {RISER: [RETURN, {"edge": "port", "height": 30, "turn": "back", "angle": 45}], SHEET: [lip]}
    )


@cache
def flat_boat() -> Boat:
    return with_bends({})


def faults(bends: dict[str, Any], **more: Any) -> tuple[Fault, ...]:
    with pytest.raises(BadInput) as refused:
        with_bends(bends, **more)
    return refused.value.faults


def test_a_riser_with_a_return_and_a_lip_are_folded() -> None:
    riser, sheet = named(bent_boat(), RISER), named(bent_boat(), SHEET)
    flat = named(flat_boat(), RISER)
    assert [line.words("mm") for line in riser.bend_lines] == ["up 90 deg R 3.2 mm", "down 45 deg R 3.2 mm"]
    assert [line.words("mm") for line in sheet.bend_lines] == ["down 90 deg R 3.2 mm"] * 4
    # the return stands forward of the face by its height less the sheet, and its foot where the edge was
    assert riser.box[1, 0] - flat.box[1, 0] == pytest.approx(25.0 - 2.0)
    assert riser.box[0, 2] == pytest.approx(flat.box[0, 2])
    assert sheet.box[0, 2] == pytest.approx(300.0 - 20.0)
    assert not named(flat_boat(), RISER).bend_lines


def test_its_solids_are_valid_and_weigh_what_is_told() -> None:
    for name in (RISER, SHEET):
        piece = named(bent_boat(), name)
        solid = joined_solid(piece.prisms)
        assert BRepCheck_Analyzer(solid).IsValid()
        assert piece.mass == pytest.approx(
            volume_and_centre(solid)[0] * 2.68e-6, rel=1e-6
        )  # 5052: 2680 kg/m3


def test_nothing_else_changes() -> None:
    plain, other = flat_boat(), bent_boat()
    assert {m.name for m in plain.members} == {m.name for m in other.members}
    assert {n for n, s in plain.signatures.items() if other.signatures[n] != s} == {RISER, SHEET}


def test_a_lip_that_hits_the_framing_is_found() -> None:
    """The carlings stand at the edge of the hatch, where its lip hangs."""
    own = {tuple(sorted(f.pieces)) for f in check_fit(bent_boat()).findings if f.kind == "overlap"}
    assert any(SHEET in pair and any("hatch/carling" in name for name in pair) for pair in own)
    assert not any(f.kind == "overlap" for f in check_fit(flat_boat()).findings)


def test_bodies_hold_every_flange() -> None:
    (body,) = (body for body in boat_bodies(bent_boat()) if body.name == SHEET)
    assert len(body.solids) == 1 + 4


@pytest.mark.parametrize(
    ("bends", "key", "wrong", "right"),
    [
        ({"deck.aft/riser.forwrd.1": [RETURN]}, "bends.deck.aft/riser.forwrd.1", "no sheet piece", RISER),
        ({RISER: [{**RETURN, "edge": "aft"}]}, f"bends.{RISER}[1].edge", "no edge of", "upper, lower, port, starboard"),
        ({RISER: [{**RETURN, "radius": 2.5}]}, f"bends.{RISER}[1].radius", "may crack 5052-H32", "3.0 mm or more"),
        ({RISER: [{**RETURN, "height": 6}]}, f"bends.{RISER}[1].height", "too short for its bend", "7.2 mm or more"),
        ({RISER: [{**RETURN, "angle": 170}]}, f"bends.{RISER}[1].angle", "170 degrees cannot be bent", "5 to 150"),
        ({RISER: [{**RETURN, "height": 0}]}, f"bends.{RISER}[1].height", "not above zero", "above zero"),
        ({RISER: [RETURN, RETURN]}, f"bends.{RISER}[2]", "bent already", "leave one"),
        ({RISER: [{**RETURN, "opening": "hatch"}]}, f"bends.{RISER}[1]", "one place", "just one of edge, opening"),
        ({RISER: [{"height": 25, "turn": "face"}]}, f"bends.{RISER}[1]", "one place", "just one of edge, opening"),
        ({SHEET: [{"opening": "hach", "height": 20, "turn": "back"}]}, f"bends.{SHEET}[1].opening", "no opening 'hach'", "'hatch'"),
        ({SHEET: [{"opening": "round", "height": 20, "turn": "back"}]}, f"bends.{SHEET}[1].opening", "no straight edge", "straight edges only"),
        ({RISER: [{**RETURN, "returns": [{"height": 6, "turn": "face"}]}]}, f"bends.{RISER}[1].returns[1].height", "too short for its bend", "7.2 mm"),
        ({RISER: [{**RETURN, "height": 9, "returns": [{"height": 20, "turn": "face"}]}]}, f"bends.{RISER}[1].height", "too short for its two bends", "10.4 mm or more: both"),
        ({RISER: [{**RETURN, "returns": [{"height": 20, "turn": "face", "radius": 1}]}]}, f"bends.{RISER}[1].returns[1].radius", "may crack", "3.0 mm or more"),
        ({RISER: [{**RETURN, "returns": [{"height": 20, "turn": "face", "angle": 3}]}]}, f"bends.{RISER}[1].returns[1].angle", "3 degrees cannot", "5 to 150"),
        ({RISER: [{**RETURN, "returns": [{"height": 20}]}]}, f"bends.{RISER}[1].returns[1].turn", "", ""),
        ({RISER: [{**RETURN, "returns": [{"height": 20, "turn": "face"}] * 4}]}, f"bends.{RISER}[1].returns", "", ""),
        ({RISER: [{**RETURN, "corner": "mitre"}]}, f"bends.{RISER}[1].corner", "meets no other mitred flange", "leave it notched"),
        ({RISER: [{**RETURN, "corner_gap": 2}]}, f"bends.{RISER}[1].corner_gap", "notched corners have no gap", "add `corner: mitre`"),
        ({RISER: [MITRED, {**MITRED, "edge": "port", "turn": "back"}]}, f"bends.{RISER}[2].corner", "bent differently", "turn the same way"),
        ({RISER: [MITRED, {**MITRED, "edge": "port", "corner_gap": -1}]}, f"bends.{RISER}[2].corner_gap", "below zero", "zero or more"),
        ({RISER: [{**RETURN, "turn": "up"}]}, f"bends.{RISER}[1].turn", "", "face"),
        ({RISER: [{**RETURN, "edge": "left"}]}, f"bends.{RISER}[1].edge", "", "upper"),
    ],
)  # fmt: skip
def test_bad_input(bends: dict[str, Any], key: str, wrong: str, right: str) -> None:
    (fault,) = faults(bends)
    assert fault.place.key == key
    assert fault.place.line is not None
    assert wrong in fault.wrong
    assert right in fault.right


def test_a_riser_with_a_returned_foot_and_a_mitred_corner() -> None:
    """The seam gap of 1 mm is left between mitred legs unless the entry has a gap of its own."""
    upward = {"returns": [{"height": 15, "turn": "face"}]}
    riser = named(with_bends({RISER: [{**MITRED, **upward}, {**MITRED, **upward, "edge": "port"}]}), RISER)
    assert len(riser.bend_lines) == 4
    assert {cut.gap for cut in riser.corner_cuts} == {1.0}
    assert BRepCheck_Analyzer(joined_solid(riser.prisms)).IsValid()
    wide = with_bends({RISER: [{**MITRED, "corner_gap": 3}, {**MITRED, "edge": "port", "corner_gap": 3}]})
    assert [mitre.gap for fold in named(wide, RISER).folds for mitre in fold.mitres if mitre] == [3.0, 3.0]


def test_a_brake_that_holds_no_low_flange(catalogue: Catalogue) -> None:
    """As a shop file's `bending: flange:` sets it."""
    data = boat_file(decks=DECKS, bends={RISER: [RETURN]})
    with pytest.raises(BadInput) as refused:
        build_boat(document(data), CONFIGS, catalogue=catalogue)
    (fault,) = refused.value.faults
    assert "lower than the brake can hold" in fault.wrong
    assert "give 30.0 mm or more" in fault.right


@pytest.fixture
def catalogue() -> Catalogue:
    return replace(starter(), bending=Bending(flange=30.0))


def test_the_radius_it_asks_for_is_taken() -> None:
    (fault,) = faults({RISER: [{**RETURN, "radius": 1}]})
    least = parse_length(fault.right.split("give ")[1].split(" or more")[0], "mm")
    assert named(with_bends({RISER: [{**RETURN, "radius": least}]}), RISER).bend_lines


def test_an_alloy_without_a_least_radius_needs_one_told() -> None:
    (fault,) = faults({RISER: [RETURN]}, defaults={"sheet": "5086-0.100"})
    assert "5086-H116" in fault.wrong
    assert "radii" in fault.right
    assert named(
        with_bends({RISER: [{**RETURN, "radius": 6}]}, defaults={"sheet": "5086-0.100"}), RISER
    ).bend_lines


def test_findings_come_with_the_piece_and_its_line() -> None:
    """A slot 3 mm from the edge of the deck: the bend there is 5.2 mm deep."""
    near = {**DECKS["aft"], "openings": {"slot": {"aft": 203, "length": 200, "port": 100, "starboard": -100}}}
    boat = build(decks={"aft": near}, bends={SHEET: [{"edge": "aft", "height": 25, "turn": "back"}]})
    (found,) = (finding for finding in boat.findings if finding.kind == "bend")
    assert found.pieces == (SHEET,)
    assert found.what == "the bend of its aft flange crosses a hole"
    assert found.place is not None
    assert found.place.key == f"bends.{SHEET}"


def test_a_limber_hole_parts_the_flange_in_two() -> None:
    """1188 mm of riser between gaps of 6 mm, a hole of 20 mm in the middle of its foot."""
    hole = {"through": RISER, "at": [1400, 0], "diameter": 20}
    riser = named(with_bends({RISER: [RETURN]}, water={"rib_limbers": [], "limbers": {"foot": hole}}), RISER)
    assert [fold.length for fold in riser.folds] == pytest.approx([(1188 - 20) / 2] * 2, abs=0.01)
    assert volume_and_centre(joined_solid(riser.prisms))[0] == pytest.approx(riser.volume, rel=1e-9)


def test_mat_keeps_clear_of_a_flange_on_the_floor() -> None:
    """A return of 25 mm on a floor covers so much of it: from the face forward less the sheet behind it."""
    decks = {
        "aft": {**DECKS["aft"], "openings": {}, "risers": {"forward": {"down_to": "sole"}}},
        "sole": {"height": 120, "aft": 800, "forward": 2600},
    }
    areas = []
    for bends in ({}, {RISER: [RETURN]}):
        boat = build(decks=decks, bends=dict(bends))
        floor = next(top for top in deck_tops(boat) if top.deck == "deck.sole")
        areas.append(standing_on(boat, floor, 6.0).area)
    wide = float(np.ptp(named(boat, RISER).box[:, 1]))
    assert areas[1] - areas[0] == pytest.approx((25.0 - 2.0) * wide, rel=0.01)
