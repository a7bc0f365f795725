"""Members drilled by rule, notches in sheet, and what the boat file may not say of water."""

import math

import pytest
import trimesh

from model.boat import build_boat
from model.water.check import check_water
from parts.faults import BadInput
from parts.yamlfile import read_text
from tests.model.boats import BOX, CONFIGS, DECK, build, demo, document, named
from tests.model.water.small_boats import WELL, boat, well_boat

HELM = {"on": "main", "centre": [1500, 0], "length": 400, "width": 500, "height": 500, "face_from": 300}
SEAT = {"on": "main", "centre": [800, 0], "length": 400, "width": 400, "height": 250}
PLUG = {"plug": {"of": "hull", "at": [5, 0], "to": "overboard"}}


def fitted(**water):
    """The square boat with a console and a seat box on its deck."""
    own = {"drains": PLUG, **water}
    return build(decks={"main": DECK}, consoles={"helm": HELM}, seat_boxes={"seat": SEAT}, water=own)


def drilled(made):
    return {m.name: m.holes for m in made.members if m.holes}


def test_only_members_that_lie_across_the_water_are_drilled():
    found = drilled(fitted())
    assert set(found) == {"console.helm/tie.front", "console.helm/tie.foot"}
    hole = named(fitted(), "console.helm/tie.foot").holes[0]
    assert hole.diameter <= 19.05
    made = fitted()
    member = named(made, "console.helm/tie.foot")
    low = float(member.frame.to_boat(hole.middle)[2]) - hole.diameter / 2.0
    assert low == pytest.approx(DECK["height"] + member.section.wall + 0.5)
    # a boat that lies on her side drains athwart: then the feet that run along her dam
    heeled = drilled(fitted(at_rest={"trim": 0, "heel": 3}))
    assert set(heeled) == {"console.helm/port/foot.1", "console.helm/starboard/foot.1"}
    assert not drilled(fitted(drill=False))


def test_a_member_on_the_skin_is_drilled_at_its_low_end():
    bar = {"start": [500, 300, 25], "end": [500, -300, 25], "section": "rect-25x50x3"}
    lies = {"at_rest": {"trim": 1, "heel": 1}}
    made = build(decks={"main": DECK}, members={"floor": bar}, water={"drains": PLUG, **lies})
    member = named(made, "member.floor")
    at = member.frame.to_boat(member.holes[0].middle)
    assert at[1] < -200.0  # port side up: water runs to starboard
    assert at[2] - member.holes[0].diameter / 2 == pytest.approx(member.section.wall + 0.5)
    level = build(decks={"main": DECK}, members={"floor": bar}, water={"drains": PLUG})
    hole = named(level, "member.floor").holes[0]
    assert hole.along == pytest.approx(300.0)
    high = {"start": [500, 300, 40], "end": [500, -300, 40], "section": "rect-25x50x3"}
    assert not drilled(build(decks={"main": DECK}, members={"floor": high}, water={"drains": PLUG}))


def test_the_size_is_the_shops_the_files_or_half_the_face():
    bar = {"start": [500, 300, 25], "end": [500, -300, 25], "section": "rect-25x50x3"}
    for water, size in (({}, 19.05), ({"limber": 12}, 12.0), ({"limber": 40}, 25.0)):
        made = build(decks={"main": DECK}, members={"floor": bar}, water=water)
        assert named(made, "member.floor").holes[0].diameter == pytest.approx(size)


def test_water_behind_a_drilled_member_stands_only_below_the_hole():
    bar = {"start": [1500, 600, 25], "end": [1500, -600, 25], "section": "rect-25x50x3"}
    lies = {"at_rest": {"trim": 2}, "underway": {"trim": 2}}
    shut, holed = (
        check_water(
            build(decks={"main": DECK}, members={"dam": bar}, water={"drains": PLUG, "drill": d, **lies})
        )
        for d in (False, True)
    )
    assert shut.findings[0].pieces == ("hull", "member.dam")
    # a dam h high across W holds W h^2 / (2 tan); the hole leaves what lies below its edge, 3.5 mm up
    wedge = 1200.0 / (2.0 * math.tan(math.radians(2.0))) * 1e-6
    assert shut.ponds[0].litres == pytest.approx(50.0**2 * wedge, rel=0.05)
    assert not holed.findings
    left = [p.litres for p in holed.ponds if p.attitude == "at rest"]
    assert sum(left) == pytest.approx(3.5**2 * wedge, rel=0.4)


def test_notches_are_cut_into_the_sheet_and_let_the_water_go():
    shut = fitted()
    told = {f.pieces: f for f in check_water(shut).findings}
    assert set(told) == {
        ("deck.main/sheet.1", "console.helm/front"),
        ("deck.main/sheet.1", "seat.seat/riser.4"),
    }
    limbers = {
        "helm": {"through": "console.helm/front", "at": [1250, 0]},
        "seat": {"through": "seat.seat/riser.4", "at": [600, 0], "diameter": 30},
    }
    holed = fitted(limbers=limbers)
    assert not check_water(holed).findings
    for name, size in (("console.helm/front", 19.05), ("seat.seat/riser.4", 30.0)):
        before, after = named(shut, name), named(holed, name)
        assert before.area - after.area == pytest.approx(math.pi * size**2 / 8.0, rel=1e-4)
        mesh = after.mesh()
        assert trimesh.Trimesh(mesh.vertices, mesh.faces).is_watertight
        assert shut.marks[name] not in (None, "")
    assert holed.signatures["seat.seat/riser.4"] != shut.signatures["seat.seat/riser.4"]


@pytest.mark.parametrize("name", ["lake16", "flat14", "vee18"])
def test_the_demo_boats_drain(name):
    report = check_water(demo(name))
    assert [str(f) for f in report.findings] == []
    assert report.area > 5e6


def test_the_holes_that_are_named_cure_a_demo_boat():
    """A demo boat without drains, and then with what its findings name, until nothing stands."""
    text = read_text((CONFIGS / "vee18.yaml").read_text(encoding="utf-8"), "vee18.yaml").data
    del text["hoses"]  # they lead from drains that are taken away here
    water = text["water"]
    water["drains"] = {"plug": water["drains"]["plug"]}
    water["limbers"] = {}
    report = check_water(build_boat(document(text), CONFIGS))
    assert len([f.pieces for f in report.findings]) == 8, [f.pieces for f in report.findings]
    for k, pond in enumerate(p for p in report.ponds if p.attitude == "at rest" and p.litres > 0.25):
        at = [f"{value:.2f} mm" for value in pond.cure.at[:2].tolist()]
        if pond.cure.kind == "drain":
            water["drains"][f"d{k}"] = {"of": pond.cure.through.partition("/")[0], "at": at}
        else:
            water["limbers"][f"l{k}"] = {"through": pond.cure.through, "at": at}
    assert [str(f) for f in check_water(build_boat(document(text), CONFIGS)).findings] == []


LEAK = {"of": "box", "at": [1100, 0]}
BAD = {
    "a drain of nothing": ({"drains": {"d": {**LEAK, "of": "boxx"}}}, "drains.d.of", "'boxx'", "'box'"),
    "a drain to nothing": ({"drains": {"d": {**LEAK, "to": "bilg"}}}, "drains.d.to", "'bilg'", "'bilge'"),
    "a drain off its floor": (
        {"drains": {"d": {**LEAK, "at": [2000, 0]}}}, "drains.d.at", "no floor of 'box'", "on its floor"),
    "a drain to what lies above": (
        {"drains": {"d": {**LEAK, "to": "main"}}}, "drains.d.to", "leads nowhere", "overboard"),
    "a drain of the bilge to the bilge": (
        {"drains": {"d": {**LEAK, "of": "hull"}}}, "drains.d.to", "leads nowhere", "overboard"),
    "a drain outside the boat": (
        {"drains": {"d": {"of": "hull", "at": [9000, 0], "to": "overboard"}}}, "drains.d.at", "no floor",
        "on its floor"),
    "a drain of no size": (
        {"drains": {"d": {**LEAK, "diameter": 0}}}, "drains.d.diameter", "not above zero", "above zero"),
    "a limber through what lies flat": (
        {"limbers": {"l": {"through": "locker.box/floor", "at": [1100, 0]}}}, "limbers.l.through",
        "no upright sheet", "locker.box/wall"),
    "a steep way to lie": ({"underway": {"trim": 40}}, "underway.trim", "40 degrees", "15"),
    "sealed nothing": ({"sealed": ["deck.mian"]}, "sealed", "'deck.mian'", "main"),
    "nothing that may stand": ({"let_stand": ["bax"]}, "let_stand", "'bax'", "box"),
    "an unknown key": ({"drain": {}}, "drain", "unknown key", "'drains'"),
    "a word for litres": ({"allow": "much"}, "allow", "much", ""),
}  # fmt: skip


@pytest.mark.parametrize("case", BAD)
def test_bad_input_is_told_at_its_line_with_the_cure(case):
    water, key, wrong, right = BAD[case]
    with pytest.raises(BadInput) as refused:
        well_boat(**water)
    faults = [f for f in refused.value.faults if f.place.key.startswith(f"water.{key}")]
    assert faults, [str(f) for f in refused.value.faults]
    assert faults[0].place.line
    assert wrong in str(faults[0])
    assert right in str(faults[0])


def test_all_faults_of_water_are_told_at_once():
    drains = {"a": {"of": "nothing", "at": [1, 1]}, "b": {"of": "box", "at": [2000, 0], "to": "nowhere"}}
    with pytest.raises(BadInput) as refused:
        well_boat(drains=drains, sealed=["also nothing"])
    assert len(refused.value.faults) == 3


@pytest.mark.parametrize(
    ("kind", "height", "told"),
    [("locker", 250, "only a well"), ("well", 90, "not inside"), ("well", 400, "not inside")],
)
def test_an_overflow_that_cannot_be(kind, height, told):
    with pytest.raises(BadInput, match=told):
        well_boat(kind=kind, locker={"overflow": height})


def test_empty_sections_are_as_none():
    assert boat(drains=None, limbers=None).water.drains == ()
    assert build(hull=BOX, decks={"main": {**DECK, "openings": {"hole": WELL}}}, water=None).water.drill


def hole_at(panel, x, y):
    """The hole of a panel about a place in plan: its diameter, 0 without one."""
    for hole in panel.holes:
        middle = panel.frame.to_boat(hole.centroid)
        if math.hypot(middle[0] - x, middle[1] - y) < 1e-6:
            x0, _, x1, _ = hole.bounds
            return x1 - x0
    return 0.0


def test_a_drain_is_cut_into_the_floor_and_into_what_its_hose_passes():
    boat = demo("lake16")
    told = {d.name: d for d in boat.water.drains}
    x, y = told["ice"].at
    for name in ("locker.ice/liner/floor", "locker.ice/floor", "deck.sole/sheet.1"):
        assert hole_at(named(boat, name), x, y) == pytest.approx(25.4)
    x, y = told["livewell"].at
    assert hole_at(named(boat, "locker.livewell/floor"), x, y) == pytest.approx(38.1)
    plain = well_boat()
    holed = well_boat(drains={"box": {"of": "box", "at": [1100, 0], "diameter": 30}})
    before, after = (named(made, "locker.box/floor") for made in (plain, holed))
    assert before.area - after.area == pytest.approx(math.pi * 15.0**2, rel=1e-6)
    assert holed.signatures["locker.box/floor"] != plain.signatures["locker.box/floor"]
    mesh = after.mesh()
    assert trimesh.Trimesh(mesh.vertices, mesh.faces).is_watertight


def test_a_drain_over_an_edge_is_refused_and_one_on_a_member_is_found():
    with pytest.raises(BadInput, match=r"too near to the edge of locker\.box/floor; move it 5.0 mm away"):
        well_boat(drains={"box": {"of": "box", "at": [1010.7, 0], "diameter": 25.4}})
    deck = {"drains": {**PLUG, "scupper": {"of": "main", "at": [1000, -572], "to": "bilge"}}}
    found = check_water(boat(**deck)).findings
    assert [(f.kind, f.pieces[0]) for f in found] == [("drain", "deck.main/sheet.1")]
    assert found[0].pieces[1].startswith("deck.main/ledger.starboard")
    assert found[0].place.key == "water.drains.scupper"
    clear = {"drains": {**PLUG, "scupper": {"of": "main", "at": [1000, -450], "to": "bilge"}}}
    assert not any("ledger" in piece for f in check_water(boat(**clear)).findings for piece in f.pieces)
