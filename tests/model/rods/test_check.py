"""Rods in the demo boat: clear of it by the CAD kernel's own cuts, told short where they do not fit."""

import copy
import csv
import io
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from cutlists.rods.rod_tables import rod_csv, rod_length_csv, rod_length_lines
from model.boat import build_boat
from model.rods.check import check_rods
from model.rods.longest import longest
from model.rods.passing import open_boat
from model.rods.pieces import pieces
from model.rods.soup import contacts, pierced
from model.rods.table import rod_lengths
from parts.faults import BadInput, Place
from parts.yamlfile import read_yaml
from tests.model.boats import CONFIGS, DECK, build


@cache
def demo_file():
    return read_yaml(CONFIGS / "lake16.yaml")


@cache
def lake(**changes):
    data = copy.deepcopy(demo_file().data)
    data["rods"].pop("table", None)
    for name, change in changes.items():
        data["rods"]["kinds"][name] |= dict(change)
    return build_boat(replace(demo_file(), data=data), CONFIGS)


@cache
def reported(**changes):
    return check_rods(lake(**changes))


def test_the_demo_boat_takes_its_rods():
    report = reported()
    assert not report.findings
    (place,) = report.places
    assert place.fit == len(place.stowed) == 5
    assert "5 of 5" in report.summary()[0]
    # its floor from the aft wall to the fore one is 68 in. long
    assert 66 * 25.4 < place.lying.length < 72 * 25.4


def near_solids(boat, box):
    from model.hull_solid import sheet_solid
    from model.member_solid import member_solid
    from model.prism_solid import prism_solid

    for member in boat.members:
        if (member.box[0] < box[1]).all() and (member.box[1] > box[0]).all():
            yield member.name, member_solid(member)
    for panel in (*boat.panels, *boat.fixtures):
        for prism in getattr(panel, "prisms", None) or (panel.prism,):
            if (prism.box[0] < box[1]).all() and (prism.box[1] > box[0]).all():
                yield panel.name, prism_solid(prism)
    yield "hull", sheet_solid(boat.hull)


def test_the_kernel_finds_no_metal_in_the_longest_rod_and_some_in_a_longer_one():
    from tests.model.rods.kernel_rod import common_volume, rod_solids

    (place,) = reported().places
    lying, boat = place.lying, lake()
    longer = lying.pose.longer(1.02)
    ends = np.array(
        [
            *lying.pose.end_points(lying.rod),
            *longer.end_points(lying.rod),
            *lying.pose.reel_corners(lying.rod),
        ]
    )
    box = np.array([ends.min(axis=0) - 20, ends.max(axis=0) + 20])
    others = dict(near_solids(boat, box))
    assert len(others) > 20
    rod, long_rod = rod_solids(lying.rod, lying.pose), rod_solids(lying.rod, longer)
    clear = {name: sum(common_volume(part, other) for part in rod) for name, other in others.items()}
    # the hull is measured by chords 40 mm long: up to a tenth of a millimetre where a ball touches it
    assert max(v for name, v in clear.items() if name != "hull") < 1e-3
    assert clear["hull"] < 2.0
    struck = {name for name, other in others.items() if sum(common_volume(p, other) for p in long_rod) > 1.0}
    assert struck
    assert struck <= {*lying.held_by, *others}


def test_every_pose_of_the_way_in_is_clear_of_the_whole_boat_with_its_lid_open():
    (place,) = reported().places
    (passing,) = place.passings
    boat, radius = lake(), place.rod.radii[0]
    soup = open_boat(place.place, boat, pieces(boat))
    low, high = passing.path.reshape(-1, 3).min(axis=0), passing.path.reshape(-1, 3).max(axis=0)
    soup = soup.near(np.array([low, high]), 50.0)
    for butt, tip in passing.path[::3]:
        # in its upright plane it was taken as square, so that in space it is clear, but for the hull's chords
        assert not len(pierced(soup, butt, tip))
        assert contacts(soup, butt, tip, (radius, radius), 5.0).gap.min(initial=9.0) > -0.3
    first, last = passing.path[0], passing.path[-1]
    assert first[:, 2].max() > boat.layout.decks["deck.rods"].height_at(0) + 100  # begins above the deck
    assert last[:, 2].max() < place.room.high  # and ends below the closed lid


def test_rods_laid_in_at_once_share_no_metal():
    import trimesh

    (place,) = reported().places
    ball = trimesh.creation.icosphere(subdivisions=3).vertices  # its hull lies inside the ball
    solids = []
    for own in place.stowed:
        big, small = own.rod.radii
        bar = np.concatenate([own.pose.butt + big * ball, own.pose.tip + small * ball])
        parts = [trimesh.convex.convex_hull(points) for points in (bar, own.pose.reel_corners(own.rod))]
        solids.append(trimesh.boolean.union(parts, engine="manifold"))
    for i, one in enumerate(solids):
        for other in solids[i + 1 :]:
            both = trimesh.boolean.intersection([one, other], engine="manifold")
            assert both.is_empty or abs(both.volume) < 1e-3


@cache
def overlong():
    """The demo boat with rods that are too long: one to lie, one to be passed in."""
    return reported(trolling=(("length", 72), ("count", 1)), jigging=(("length", 64), ("count", 1)))


def test_a_rod_too_long_to_lie_is_told_with_what_it_lacks():
    finding = next(f for f in overlong().findings if "rod.trolling" in f.pieces)
    assert finding.kind == "rods"
    assert "too long to lie" in finding.what
    # it is as thick as the stoutest and has no larger reel, so that it lies wherever that one was found to
    assert 0 < finding.short <= 72 * 25.4 - overlong().places[0].lying.length + 0.1
    assert finding.place is not None
    assert finding.place.key == "rods.kinds.trolling"
    assert finding.shown[0].mesh.volume > 0


def test_a_rod_that_lies_but_cannot_be_passed_in_is_told_with_what_stops_it():
    finding = next(f for f in overlong().findings if "rod.jigging" in f.pieces)
    assert finding.pieces[:2] == ("rod.jigging", "deck.rods/rods")
    assert "too long to be passed in" in finding.what
    # a slimmer rod than the stoutest is passed in no shorter
    assert 0 < finding.short <= 64 * 25.4 - overlong().places[0].passes.length + 0.5
    assert finding.where is not None


def test_more_rods_than_lie_there_are_told_with_how_many_do():
    locker = {"under": "main", "aft": 400, "forward": 1200, "port": 120, "starboard": -120, "floor": 150}
    reel = {"length": 100, "width": 90, "height": 100, "from_butt": 100}
    entry = {"length": 700, "butt": 40, "tip": 10, "reel": reel, "count": 12, "lies_in": "dry"}
    boat = build(
        decks={"main": {**DECK, "frame": {"posts": False}}},
        lockers={"dry": locker},
        rods={"kinds": {"stick": entry}},
    )
    report = check_rods(boat)
    (finding,) = report.findings
    assert finding.pieces == ("locker.dry", "rod.stick")
    left = int(finding.short)
    assert 0 < left == 12 - report.places[0].fit < 12
    assert f"{12 - left} of 12" in finding.what
    assert len(finding.shown) == 12 - left
    assert report.places[0].passings == ()  # it lies under a deck without an opening


def test_from_a_pose_before_a_small_change_the_longest_is_found_again():
    (place,) = reported().places
    again = longest(place.room, place.rod, [place.lying.pose.shortened(0.98)])
    assert again.length == pytest.approx(place.lying.length, abs=0.05)


def test_a_table_tells_what_a_face_gains_and_what_cannot_be_built():
    document = demo_file()
    rods = {**document.data["rods"], "table": {"angle": "rod_face", "steps": 2}, "kinds": {}}
    boat = build_boat(replace(document, data={**document.data, "rods": rods}), CONFIGS)
    told = []

    def rebuild(changed):
        told.append(changed.data["angles"]["rod_face"]["value"])
        if len(told) == 1:
            raise BadInput.at(Place("x", 1, "y"), "it cannot be", "")
        return build_boat(changed, CONFIGS, hull=boat.hull)

    (table,) = rod_lengths(boat, rebuild)
    assert told == [110, 150]
    assert [cell.why for cell in table.cells] == ["it cannot be", ""]
    assert table.now.angle == pytest.approx(np.radians(135))
    assert table.cells[1].lies > table.now.lies + 50  # a flatter face reaches further aft
    rows = list(csv.reader(io.StringIO(rod_length_csv([table], "in"))))
    assert [row[-1] for row in rows[1:]] == ["as it is", "it cannot be", ""]
    assert float(rows[3][7]) == pytest.approx(table.cells[1].lies, abs=0.05)
    head, lines = rod_length_lines(table, "in", passes=False)
    assert len(head) == 2
    assert lines[0] == ["110.0", "no boat"]


def test_rods_are_written_with_their_places():
    rows = list(csv.DictReader(io.StringIO(rod_csv(reported()))))
    (place,) = reported().places
    assert [row["rod"] for row in rows] == ["longest", "longest", *["trolling"] * 2, *["jigging"] * 3]
    ends = np.array([[float(rows[0][f"{end} {axis} mm"]) for axis in "xyz"] for end in ("butt", "tip")])
    assert np.linalg.norm(ends[1] - ends[0]) == pytest.approx(place.lying.length, abs=0.3)
    assert rows[0]["length mm"] == str(round(place.lying.length, 1))


def test_a_boat_that_tells_of_no_rods_is_asked_nothing():
    data = {key: value for key, value in demo_file().data.items() if key != "rods"}
    boat = build_boat(replace(demo_file(), data=data), CONFIGS)
    report = check_rods(boat)
    assert report.findings == ()
    assert report.summary() == ()
