"""boat.json against the boat, weighed again by trimesh, and its marks handed to the next build."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh

from cutlists.boat_json import boat_json, marks_before
from cutlists.scene import items, scene_of
from model.boat import Boat, load_boat
from model.marks import assign_marks

DEMO = Path(__file__).parents[2] / "configs" / "lake16.yaml"


@pytest.fixture(scope="module")
def boat() -> Boat:
    return load_boat(DEMO)


@pytest.fixture(scope="module")
def told(boat: Boat) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(boat_json(boat))
    return found


def test_every_piece_is_there_once_in_the_order_of_the_boat(boat: Boat, told: dict[str, Any]) -> None:
    names = [piece["name"] for piece in told["pieces"]]
    assert names == [item.name for item in items(boat)]
    assert len(set(names)) == len(names)
    pieces = (*boat.members, *boat.panels, *boat.strips, *boat.fixtures)
    assert set(names) == {"hull", *(piece.name for piece in pieces)}
    assert {piece["name"]: piece["mark"] for piece in told["pieces"] if piece["mark"]} == boat.marks


def test_masses_and_centres_are_those_of_the_meshes(boat: Boat, told: dict[str, Any]) -> None:
    pieces = {piece["name"]: piece for piece in told["pieces"]}
    density = {member.name: member.section.alloy.density for member in boat.members}
    density |= {panel.name: panel.sheet.alloy.density for panel in boat.panels}
    for shown in scene_of(boat).pieces:
        if shown.name not in density:
            continue
        body = trimesh.Trimesh(shown.mesh.vertices, shown.mesh.faces, process=False)
        # Meshes walk arcs within 0.05 mm, which takes up to 0.1 % off a rounded piece.
        weight = body.volume * density[shown.name] * 1e-9
        assert pieces[shown.name]["mass"] == pytest.approx(weight, rel=2e-3, abs=1e-4)
        assert pieces[shown.name]["centre"] == pytest.approx(body.center_mass, abs=0.5)
        assert np.array(pieces[shown.name]["box"]) == pytest.approx(body.bounds, abs=0.06)


def test_totals_add_up(told: dict[str, Any]) -> None:
    for group, total in told["totals"].items():
        own = [piece for piece in told["pieces"] if piece["group"].split("/")[0] == group]
        assert total["count"] == len(own)
        assert total["mass"] == pytest.approx(sum(piece.get("mass", 0.0) for piece in own), abs=1e-3)
    assert sum(total["count"] for total in told["totals"].values()) == len(told["pieces"])


def test_a_length_is_between_the_long_points_of_the_mesh(boat: Boat, told: dict[str, Any]) -> None:
    pieces = {piece["name"]: piece for piece in told["pieces"]}
    bodies = {piece.name: piece.mesh for piece in scene_of(boat).pieces}
    for member in boat.members:
        along = bodies[member.name].vertices @ member.axis
        assert pieces[member.name]["length"] == pytest.approx(np.ptp(along), abs=0.06)


def test_units_version_places_and_joints_are_told(boat: Boat, told: dict[str, Any]) -> None:
    assert (told["format"], told["version"]) == ("athwart-boat", 1)
    assert told["units"]["length"] == "mm"
    assert len(told["joints"]) == len(boat.joints)
    assert len(told["findings"]) == len(boat.findings)
    beam = next(piece for piece in told["pieces"] if piece["kind"] == "member")
    assert beam["from"]["file"] == "lake16.yaml"
    assert beam["from"]["line"] > 0


def test_the_text_repeats_and_holds_no_folder(boat: Boat) -> None:
    assert boat_json(load_boat(DEMO)) == boat_json(boat)
    assert str(DEMO.parent) not in boat_json(boat)


def test_marks_last_from_build_to_build(boat: Boat) -> None:
    before = marks_before(boat_json(boat))
    assert before == {name: (mark, boat.signatures[name]) for name, mark in boat.marks.items()}
    again = load_boat(DEMO, previous=before)
    assert again.marks == boat.marks


def test_marks_of_pieces_that_are_gone_are_handed_on(boat: Boat) -> None:
    gone = {"deck.old/beam.9": ("F900", "a piece of long ago")}
    handed = marks_before(boat_json(boat, gone))
    assert handed["deck.old/beam.9"] == gone["deck.old/beam.9"]
    assert assign_marks({"new": "something else"}, "F", handed)["new"] == "F901"


@pytest.mark.parametrize(
    "text", ["", "[]", '{"format": "other"}', '{"format": "athwart-boat", "version": 99}']
)
def test_what_is_no_boat_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="not a boat"):
        marks_before(text)
