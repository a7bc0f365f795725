"""Things taken out of a punt: straight, shifted, turned, after others, or kept in for certain."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from model.access.check import check_access
from model.access.crossing import gates
from model.access.obstacles import Surroundings, asking, triangles_about
from model.access.search import Fineness
from model.access.settings import AccessSettings
from model.access.ways_out import WayOut, ways_out
from model.boat import Boat, build_boat
from model.clearance.bodies import boat_bodies
from model.clearance.motion import Slide, Turn
from model.geometry import UP
from parts.yamlfile import read_text
from tests.model.clearance.small_boat import TEXT, punt

LOCKER = "lockers:\n  l: {under: aft, aft: 100, forward: 800, port: %s, starboard: -500, floor: 20}\n"


def things(*rows: str, locker: str = "") -> str:
    return (LOCKER % locker if locker else "") + "fixtures:\n" + "".join(f"  {row}\n" for row in rows)


CASES = {
    "under": things("b: {part: group-31, on: hull, at: [470, 250], removable: true}"),
    "beside": things("b: {part: group-31, on: hull, at: [470, -50], removable: true}"),
    "far": things("b: {part: group-31, on: hull, at: [300, -350], removable: true}"),
    "quarter": things("b: {part: group-31, on: l, at: [470, -150], turn: 90, removable: true}", locker="500"),
    "walled in": things(
        "b: {part: group-31, on: l, at: [470, -150], turn: 90, removable: true}", locker="90"
    ),
    "too thick": things("b: {part: livewell-20gal, on: hull, at: [470, 0], turn: 90, removable: true}"),
    "too long": things("b: {part: fuel-20gal, on: l, at: [470, 0], turn: 90, removable: true}", locker="500"),
    "open": things("b: {part: group-31, on: sole, at: [1500, 0], removable: true}"),
    "blocked": things(
        "b: {part: group-31, on: hull, at: [470, 250], removable: true}",
        "c: {part: tackle-box, on: hull, at: [470, 250], raise_by: 260, removable: true}",
    ),
    "fixed over": things(
        "b: {part: group-31, on: hull, at: [470, 250], removable: true}",
        "c: {part: tackle-box, on: hull, at: [470, 250], raise_by: 260}",
    ),
    "held": things(
        "b: {part: group-31, on: hull, at: [470, 250], removable: true}",
        "c: {part: tackle-box, on: hull, at: [470, 250], raise_by: 100}",
    ),
}


@cache
def boat(case: str) -> Boat:
    return punt(CASES[case])


@cache
def found(case: str) -> dict[str, WayOut]:
    around = Surroundings.of(boat(case), boat_bodies(boat(case)))
    return {out.name.partition(".")[2]: out for out in ways_out(boat(case), around, AccessSettings())}


def of(case: str, name: str = "b") -> WayOut:
    return found(case)[name]


def test_what_stands_under_its_hatch_is_lifted_straight_out() -> None:
    out = of("under")
    assert out.way is not None
    assert len(out.way.motions) == 1
    assert isinstance(out.way.motions[0], Slide)
    assert np.allclose(out.way.motions[0].way, UP)
    assert out.openings == ("deck.aft/hatch",)
    assert out.lids == ("deck.aft/hatch/lid",)
    assert (out.after, out.proven, out.why) == ((), False, ())


def test_what_stands_in_the_open_needs_no_opening() -> None:
    assert (of("open").openings, of("open").lids) == ((), ())
    assert of("open").way is not None


@pytest.mark.parametrize("case", ["beside", "far"])
def test_what_stands_beside_is_slid_under_the_hatch_first(case: str) -> None:
    out = of(case)
    assert out.way is not None
    assert isinstance(out.way.motions[0], Slide)
    assert abs(out.way.motions[0].way[2]) < 0.2
    assert out.openings == ("deck.aft/hatch",)


def test_what_lies_across_is_turned_a_quarter() -> None:
    """330 mm athwart do not pass a hatch of 305; 330 fore and aft pass one of 457."""
    way = of("quarter").way
    assert way is not None
    assert sum(m.limit for m in way.motions if isinstance(m, Turn)) > np.radians(50.0)
    x = way.poses[-1].matrix @ way.rest.edges[0]
    assert abs(x[1]) * 2.0 < 305.0


WITH_A_WAY = ("under", "beside", "far", "quarter", "open")


@pytest.mark.parametrize("case", WITH_A_WAY)
def test_a_way_keeps_what_is_asked_from_everything_with_its_lids_open(case: str) -> None:
    """By the collision library, at 80 poses: the least gap to every body but what it stood near at rest."""
    import manifold3d

    out, settings = of(case), AccessSettings()
    assert out.way is not None
    around = Surroundings.of(boat(case), boat_bodies(boat(case)))
    solids, names = around.solids(out.lids, {out.name})
    box = out.way.rest.box + np.array([[-1.0], [1.0]]) * 1500.0
    triangles, _ = asking(triangles_about(solids, box), out.way.rest, settings.gap)
    near = {int(k) for k in triangles.owner[triangles.asked < settings.gap]}
    others = manifold3d.Manifold.compose([s.body for k, s in enumerate(solids) if k not in near])
    beside = manifold3d.Manifold.compose([solids[k].body for k in near]) if near else None
    least = np.inf
    for share in np.linspace(0.0, 1.0, 80):
        pose = out.way.at(float(share))
        body = manifold3d.Manifold.hull_points(out.way.rest.posed(pose.matrix, pose.offset).corners)
        least = min(least, float(others.min_gap(body, 100.0)))
        if beside is not None:
            assert (beside ^ body).volume() < 1e-6
    assert least >= settings.gap - 1e-6
    if out.tightest is not None:
        assert out.tightest.gap <= least + 0.3
        assert out.tightest.gap >= settings.gap - 1e-6
        assert out.tight_to in names


def test_the_kernel_finds_no_metal_in_the_way() -> None:
    """The pieces themselves as B-rep, lids aside, and the box at 6 poses of a way with a turn in it."""
    import cadquery as cq

    from model.member_solid import member_solid
    from model.prism_solid import prism_solid

    out, own = of("quarter"), boat("quarter")
    assert out.way is not None
    metal = [member_solid(m) for m in own.members if m.name.startswith("deck.aft")]
    metal += [prism_solid(panel.prism) for panel in own.panels if not panel.name.startswith("deck.sole")]
    shapes = [cq.Shape.cast(solid) for solid in metal]
    for share in np.linspace(0.1, 0.85, 6):
        pose = out.way.at(float(share))
        here = out.way.rest.posed(pose.matrix, pose.offset)
        half = np.sqrt((here.edges**2).sum(axis=1))
        plane = cq.Plane(tuple(here.centre), tuple(here.edges[0] / half[0]), tuple(here.edges[2] / half[2]))
        body = cq.Workplane(plane).box(*(2.0 * half)).val()
        low, high = here.box
        for shape in shapes:
            b = shape.BoundingBox()
            if (np.array([b.xmin, b.ymin, b.zmin]) <= high).all() and (
                np.array([b.xmax, b.ymax, b.zmax]) >= low
            ).all():
                assert body.intersect(shape).Volume() < 1e-3


def test_behind_a_wall_nothing_leads_out_for_certain() -> None:
    out = of("walled in")
    assert out.way is None
    assert out.proven
    assert out.why == ()
    assert out.over[0].startswith("deck.aft/")


def test_what_is_too_thick_for_the_only_opening_is_kept_in_for_certain() -> None:
    """The liner is 330 mm thin at its thinnest, the hatch 305 wide: no way to hold it helps."""
    out = of("too thick")
    assert (out.way, out.proven) == (None, True)
    assert out.why[0][0] == "deck.aft/hatch"
    assert "330 mm" in out.why[0][1]


@pytest.fixture
def soon_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    """Searches that end after a few moves."""
    few = Fineness(40.0, np.radians(15.0), 60)
    monkeypatch.setattr("model.access.ways_out.COARSE", few)
    monkeypatch.setattr("model.access.ways_out.FINE", few)


@pytest.mark.usefixtures("soon_given_up")
def test_where_no_bound_tells_it_is_only_said_that_none_was_found() -> None:
    out = of("too long")
    assert (out.way, out.proven) == (None, False)
    assert "none was found" in out.why[-1][1] or "does not slide" in out.why[-1][1]


def test_the_opening_that_would_do_does() -> None:
    """With a hatch of that size at that place the thing is lifted straight out."""
    out = of("walled in")
    (length, width), (x, y) = out.needs, out.middle
    more = CASES["walled in"]
    text = f"      second: {{centre: [{x}, {y}], length: {length + 1}, width: {width + 1}, setback: 1}}\n"
    wide = punt(text + more)
    found = check_access(wide).ways[0]
    assert found.way is not None
    assert len(found.way.motions) == 1


def test_one_leaves_after_the_other() -> None:
    out = of("blocked")
    assert of("blocked", "c").after == ()
    assert out.after == ("fixture.c",)
    assert out.way is not None


@pytest.mark.usefixtures("soon_given_up")
def test_what_is_fixed_does_not_leave_for_another() -> None:
    """A box fixed 20 mm over a battery: it may be slid aside, or not leave; never through it."""
    out = of("fixed over")
    assert out.after == ()
    if out.way is not None:
        assert len(out.way.motions) > 1


def test_what_stands_in_a_thing_holds_it_fast() -> None:
    out = of("held")
    assert (out.way, out.held_by) == (None, "fixture.c")


def test_findings_tell_why_and_what_would_do() -> None:
    report = check_access(boat("too thick"))
    assert [f.kind for f in report.findings] == ["trapped"]
    told = report.findings[0]
    assert told.pieces[0] == "fixture.b"
    assert told.place is not None
    assert "nothing else leads out" in told.what
    assert "would do" in told.cure
    assert "1 cannot leave" in report.summary()[0]
    clean = check_access(boat("under"))
    assert clean.findings == ()
    assert "each has a way out" in clean.summary()[0]
    turned = check_access(boat("quarter")).summary()
    assert "tightest" in turned[0]
    assert turned[1].startswith("fixture.b leaves by deck.aft/hatch: ")
    assert "turn" in turned[1]
    assert "up" in turned[1]
    held = check_access(boat("held"))
    assert held.findings == ()  # the clash of the two is told by the gaps
    assert "not tried" in held.summary()[0]


def test_gates_are_passed_by_lines_through_them_only() -> None:
    gate = next(iter(gates(boat("under"))))
    low, high = np.array([470.0, 250.0, 100.0]), np.array([470.0, 250.0, 700.0])
    assert gate.passed(np.stack([low, high]))
    assert gate.passed(np.stack([high, low]))
    assert not gate.passed(np.stack([low, low + 100.0 * UP]))
    aside = np.array([0.0, -200.0, 0.0])
    assert not gate.passed(np.stack([low + aside, high + aside]))
    crossed = gate.crossed(low, high)
    assert crossed is not None
    assert crossed[2] == pytest.approx(400.0)
    assert gate.distance(low) == pytest.approx(300.0)


def hinged(opens: int) -> WayOut:
    """A battery below a hatch that is hinged on its port side."""
    more = things("b: {part: group-31, on: hull, at: [470, 250], removable: true}")
    text = TEXT.replace("hinge: HINGE}", f"hinge: port, opens: {opens}}}").replace("AT", "470")
    own = build_boat(read_text(text.replace("RIBS", "").replace("MORE", more), "punt.yaml"), Path("."))
    return check_access(own).ways[0]


@pytest.mark.usefixtures("soon_given_up")
def test_a_lid_stands_where_it_opens_to() -> None:
    """Open to 95 degrees it is out of the way; at 40 it leans over the hatch: nothing is lifted past it."""
    assert hinged(95).way is not None
    out = hinged(40)
    straight = out.way is not None and len(out.way.motions) == 1
    assert not straight


def test_a_seat_on_the_lid_goes_along_and_a_cushion_on_it_leaves_by_itself() -> None:
    more = things(
        "b: {part: group-31, on: hull, at: [470, 250], removable: true}",
        "s: {part: seat-cushion-15x14, on: aft.hatch, at: [470, 250], removable: true}",
    )
    report = check_access(punt(more))
    battery, cushion = report.ways
    assert cushion.way is not None
    assert (cushion.openings, cushion.lids, cushion.after) == ((), (), ())
    assert battery.way is not None
    assert battery.after == ()  # it swings up with the lid
    assert battery.lids == ("deck.aft/hatch/lid",)
