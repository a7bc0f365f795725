"""Bad rods are told by their line, with what would be right; good ones come to numbers."""

import pytest
import yaml

from model.rods.read import looked_for
from model.rods.rod import Reel
from model.rods.settings import USUAL
from tests.model.boats import DECK, boat_file, build, document, faults_of

OPENING = {"centre": [1500, 300], "length": 400, "width": 200, "both_sides": True}
LOCKER = {"under": "main", "aft": 400, "forward": 1300, "port": 300, "starboard": -300, "floor": 50}
BASE = {
    "decks": {"main": {**DECK, "openings": {"hatch": OPENING}}},
    "lockers": {"dry": LOCKER},
    "dimensions": {"edge": {"value": 300, "least": 200, "greatest": 400}, "fixed": 500},
    "angles": {"face": 120},
}
ROD = {"length": 800, "butt": 28, "tip": 6, "lies_in": "dry"}
REEL = {"length": 100, "width": 70, "height": 90, "from_butt": 150}


def rods(**entry):
    return boat_file(**BASE, rods=entry)


def refused(data):
    return faults_of(yaml.safe_dump(data, sort_keys=False))


def one(**changes):
    return rods(kinds={"caster": {**ROD, **changes}})


# what stands under `rods:`, the key that is named, what is told, what would be right
CASES = {
    "no length": (one(length=0), "rods.kinds.caster.length", "not above zero", ""),
    "below zero": (one(length="-8 in"), "rods.kinds.caster.length", "not above zero", ""),
    "a splinter": (one(length=20, butt=8), "rods.kinds.caster.length", "a rod of 20.0 mm", "100.0 mm"),
    "a mast": (one(length="60 m"), "rods.kinds.caster.length", "a rod of", "12000"),
    "a log": (one(butt=300), "rods.kinds.caster.butt", "too thick", "200"),
    "tip before butt": (one(tip=40), "rods.kinds.caster.tip", "thicker than the butt", "exchange"),
    "a puck": (one(length=120, butt=110, tip=20), "rods.kinds.caster.butt", "thicker than it is long", ""),
    "reel longer than its rod": (
        one(reel={**REEL, "length": 900}),
        "rods.kinds.caster.reel.length",
        "longer than its rod",
        "shorter",
    ),
    "reel past the tip": (
        one(reel={**REEL, "from_butt": 750}),
        "rods.kinds.caster.reel.from_butt",
        "past the tip",
        "700.0 mm",
    ),
    "reel without width": (one(reel={**REEL, "width": 0}), "rods.kinds.caster.reel.width", "not above", ""),
    "no rods": (one(count=0), "rods.kinds.caster.count", "", ""),
    "too many": (one(count=51), "rods.kinds.caster.count", "", ""),
    "half a rod": (one(count=1.5), "rods.kinds.caster.count", "", ""),
    "unknown key": (one(lenght=800), "rods.kinds.caster.lenght", "unknown", "length"),
    "unknown locker": (one(lies_in="dri"), "rods.kinds.caster.lies_in", "no locker", "dry"),
    "unknown opening": (rods(lockers=["main.hutch"]), "rods.lockers", "no locker", "main.hatch"),
    "two of them": (one(lies_in="main.hatch"), "rods.kinds.caster.lies_in", "there are 2", "main.hatch.port"),
    "nowhere": (one(lies_in=None), "rods.kinds.caster", "in which locker", "lies_in"),
    "nothing": (rods(), "rods", "neither", "lockers"),
    "a table of nothing": (rods(lockers=["dry"], table={}), "rods.table", "nothing is varied", "angle"),
    "unknown dimension": (
        rods(lockers=["dry"], table={"offset": "edgy"}),
        "rods.table.offset",
        "no 'edgy'",
        "edge",
    ),
    "no limits": (
        rods(lockers=["dry"], table={"angle": "face", "offset": "fixed"}),
        "rods.table.angle",
        "no limits",
        "least",
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_bad_rods_are_refused_at_their_line(case):
    data, key, wrong, right = CASES[case]
    found = refused(data)
    told = [f for f in found if f.place.key.startswith(key)]
    assert told, [str(f) for f in found]
    assert wrong in told[0].wrong
    assert right in told[0].right
    assert told[0].place.line is not None


def test_all_faults_are_told_at_once():
    data = one(length=0, tip=90, reel={**REEL, "height": -1}, lies_in="nowhere")
    found = refused(data)
    assert len({f.place.key for f in found}) >= 3


def test_rods_come_to_numbers_with_the_locker_that_is_marked():
    entry = {
        "lockers": ["dry"],
        "kinds": {"caster": {"length": "32 in", "butt": "1 in", "reel": REEL, "count": 2}},
    }
    boat = build(**BASE, rods=entry)
    (listed,) = boat.rods.rods
    assert listed.lies_in == "dry"
    assert listed.count == 2
    assert listed.rod.length == pytest.approx(812.8)
    assert listed.rod.tip == pytest.approx(6.35)
    assert listed.rod.reel == Reel(100, 70, 90, 150)
    assert boat.rods.in_locker("dry") == (listed,)
    assert listed.place.line is not None
    assert document(boat_file(**BASE, rods=entry)).data["rods"] == entry


def test_the_rod_looked_for_needs_all_the_room_that_any_of_the_list_does():
    kinds = {
        "one": {**ROD, "reel": REEL},
        "two": {**ROD, "length": 700, "butt": 30, "tip": 5, "reel": {**REEL, "from_butt": 60, "height": 120}},
    }
    boat = build(**BASE, rods={"kinds": kinds})
    wanted = looked_for(boat.rods.rods)
    for listed in boat.rods.rods:
        assert listed.rod.within(wanted)
    assert wanted.reel == Reel(190, 70, 120, 60)
    assert looked_for(()) == USUAL
