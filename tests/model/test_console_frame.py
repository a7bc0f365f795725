"""The frame of a console: side frames on its profile, ties between them, all inside its sheets."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from shapely import MultiPoint, box, union_all

from tests.model.boats import SHEET, build, named

SOLE = {"sole": {"height": 100, "aft": 200, "forward": 2800}}
HELM = {
    "on": "sole",
    "centre": [1500, -250],
    "length": 400,
    "width": 300,
    "height": 500,
    "face_from": 300,
    "face_angle": 30,
}
TUBE = 25.4
FACES = ("aft", "forward")


def console(**changes):
    return build(decks=SOLE, consoles={"helm": {**HELM, **changes}})


def members(boat, part=""):
    return [m for m in boat.members if m.name.startswith(f"console.helm/{part}")]


def side_view(member):
    """What a member covers seen from the side, (x, z)."""
    return MultiPoint(member.corners.reshape(-1, 3)[:, [0, 2]]).convex_hull


@pytest.mark.parametrize("faces", FACES)
def test_two_side_frames_and_a_tie_at_each_corner(faces):
    boat = console(faces=faces)
    names = [m.name.removeprefix("console.helm/") for m in members(boat)]
    sides = [
        f"{side}/{label}.1"
        for side in ("port", "starboard")
        for label in ("foot", "back", "top", "face", "front")
    ]
    assert sorted(names) == sorted(
        [*sides, *(f"tie.{label}" for label in ("foot", "back", "top", "face", "front"))]
    )
    assert not [f for f in boat.findings if f.pieces[0].startswith("console")]


@pytest.mark.parametrize("faces", FACES)
def test_the_side_named_port_is_on_the_port_side(faces):
    boat = console(faces=faces)
    for m in members(boat, "port/"):
        np.testing.assert_allclose(m.box[:, 1], (-100 - SHEET - TUBE, -100 - SHEET), atol=1e-6)
    for m in members(boat, "starboard/"):
        np.testing.assert_allclose(m.box[:, 1], (-400 + SHEET, -400 + SHEET + TUBE), atol=1e-6)
    assert named(boat, "console.helm/side.port").box[1, 1] == pytest.approx(-100)
    assert named(boat, "console.helm/side.starboard").box[0, 1] == pytest.approx(-400)


@pytest.mark.parametrize("faces", FACES)
def test_a_side_frame_follows_the_profile_inside_the_sheets(faces):
    """Its outside is the profile, the four upper sides set in by the sheet; the foot stands on the sole."""
    boat = console(faces=faces)
    (plan,) = boat.layout.consoles
    away = 1 if faces == "aft" else -1
    profile = MultiPoint([(1500 + away * x, 100 + z) for x, z in plan.profile]).convex_hull
    inside = profile.buffer(-SHEET, join_style="mitre").union(
        box(0, 100, 3000, 100 + SHEET).intersection(profile)
    )
    frame = union_all([side_view(m) for m in members(boat, "port/")])
    assert frame.area == pytest.approx(sum(side_view(m).area for m in members(boat, "port/")), rel=1e-9)
    assert profile.buffer(1e-6).covers(frame)
    assert inside.buffer(0.01).covers(frame)
    assert frame.bounds[1] == pytest.approx(100)
    assert frame.bounds[3] == pytest.approx(600 - SHEET)
    assert len(frame.buffer(0.01).interiors) == 1


def test_mitres_halve_the_corners():
    """Between face and top, which meet at 120 degrees inside, each end is turned 30 degrees."""
    boat = console()
    face = named(boat, "console.helm/port/face.1")
    turns = sorted(
        math.degrees(math.acos(abs(float(end.normal @ face.axis)))) for end in (face.end_a, face.end_b)
    )
    assert turns == pytest.approx([15, 30])


@pytest.mark.parametrize("faces", FACES)
@pytest.mark.parametrize("angle", [0, 20, 45])
def test_ties_fit_between_the_side_frames_and_stand_off_each_other(faces, angle):
    boat = console(faces=faces, face_angle=angle)
    ties = members(boat, "tie.")
    for tie in ties:
        np.testing.assert_allclose(tie.box[:, 1], (-400 + SHEET + TUBE, -100 - SHEET - TUBE), atol=1e-6)
        joints = [j for j in boat.joints if j.member == tie.name]
        assert {j.kind for j in joints} == {"tee"}
        assert max(j.gap for j in joints) < 0.5
    (plan,) = boat.layout.consoles
    away = 1 if faces == "aft" else -1
    profile = MultiPoint([(1500 + away * x, 100 + z) for x, z in plan.profile]).convex_hull
    for a, b in itertools.combinations(ties, 2):
        assert side_view(a).intersection(side_view(b)).area < 0.01
    for tie in ties:
        assert profile.buffer(0.01).covers(side_view(tie)), tie.name


def test_consoles_on_both_sides_are_mirror_images():
    boat = console(both_sides=True, centre=[1500, 250])
    port = [m for m in boat.members if m.name.startswith("console.helm.port/")]
    assert len(port) == 15
    for m in port:
        swapped = m.name.replace("console.helm.port", "console.helm.starboard")
        for side in ("port/", "starboard/"):
            if f"/{side}" in m.name:
                swapped = swapped.replace(f"/{side}", "/port/" if side == "starboard/" else "/starboard/")
        twin = named(boat, swapped)
        assert twin.length == pytest.approx(m.length)
        np.testing.assert_allclose(twin.box[:, [0, 2]], m.box[:, [0, 2]], atol=1e-6)
