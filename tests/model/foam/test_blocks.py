"""Blocks of foam in a small boat: clear of everything, got in as is told, and as much as is asked."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
import shapely
import trimesh
from shapely import affinity

from model.access.check import check_access
from model.access.path import tightest
from model.clearance.bodies import boat_bodies
from model.clearance.solid import Solid
from model.foam.check import check_foam, needed_volume
from model.foam.cutting import swept
from model.foam.plan import CUBIC_FOOT, FRESH_WATER, foam_plan, lay_blocks
from model.foam.settings import FoamBoard, FoamSettings
from model.foam.spread import spread_of
from model.geometry import Frame
from model.prism import Prism
from parts.faults import BadInput
from parts.outline import Loop
from tests.model.boats import DECK, FLARED, HALF, build

GAP = 4.0
FOAM = {
    "boards": {
        "thick": {"thickness": 60, "width": 600, "length": 1200},
        "thin": {"thickness": 30, "width": 600, "length": 1200},
    },
    "gap": GAP, "bilge": 20, "channel": [100, 60], "least": 40, "most": 900,
}  # fmt: skip
HOLE = {"aft": 1300, "length": 400, "starboard": -200, "port": 200, "lid": {"flange": 20}}
WELL = {"aft": 2200, "length": 300, "starboard": -150, "port": 150, "lid": {"flange": 20}}


def foamed(foam=None, **sections):
    """A flared boat with a deck, stowage under one lid, a well under another, and a pump on the bottom."""
    deck = {**DECK, "openings": {"hole": HOLE, "well": WELL}}
    given = {
        "hull": FLARED,
        "decks": {"main": deck},
        "lockers": {"live": {"kind": "well", "under": "main.well", "floor": 120}},
        "fixtures": {
            "pump": {"part": "bilge-500", "on": "hull", "at": [1230, 60]},
            "spare": {"part": "bilge-500", "on": "hull", "at": [1500, -230], "removable": True},
        },
        "foam": {**FOAM, **(foam or {})},
        **sections,
    }
    return build(**given)


@pytest.fixture(scope="module")
def boat():
    return foamed()


@pytest.fixture(scope="module")
def plan(boat):
    return foam_plan(boat)


@pytest.fixture(scope="module")
def still(boat):
    """Every piece but the skin, as solids with their names."""
    return [(body.name, solid) for body in boat_bodies(boat) if body.kind != "hull" for solid in body.solids]


def solid_of(outline, low, high):
    ring = np.asarray(outline.exterior.coords)[:-1]
    return Solid.of_mesh(Prism(Frame.level(low), Loop.polygon(ring).ccw(), (), 0.0, high - low).mesh())


def clashes(solid, others, away=lambda name: False):
    low, high = solid.box
    return [
        name
        for name, other in others
        if not away(name)
        and (other.box[0] < high).all()
        and (other.box[1] > low).all()
        and solid.shared_with(other) is not None
    ]


def test_blocks_share_no_volume_with_anything(plan, still):
    # by the collision library's exact cuts, each block against each piece of the boat
    assert len(plan.blocks) > 20
    for block in plan.blocks:
        assert clashes(Solid.of_mesh(block.prism.mesh()), still) == [], block.name


def test_blocks_keep_their_gap_from_upright_metal(plan, still):
    # members and sheet beside a block; what lies over or under it may touch
    for block in plan.blocks:
        slab = solid_of(block.outline.buffer(GAP - 0.05), block.low + 0.5, block.high - 0.5)
        assert clashes(slab, still) == [], block.name


def test_blocks_share_no_volume_with_each_other(plan):
    solids = [Solid.of_mesh(block.prism.mesh()) for block in plan.blocks]
    for k, solid in enumerate(solids):
        assert (
            clashes(
                solid, [(block.name, own) for block, own in zip(plan.blocks[:k], solids[:k], strict=True)]
            )
            == []
        )


def test_blocks_lie_inside_the_hull_with_water_under_them(plan):
    # the flared hull is convex: trimesh's hull of its corners, and how far each block lies behind each face
    ring = [(-500, 0), (500, 0), (700, 500), (-700, 500)]
    inside = trimesh.convex.convex_hull([(x, y, z) for x in (0.0, 3000.0) for y, z in ring])
    points = np.concatenate([block.prism.mesh().vertices for block in plan.blocks])
    behind = (points[:, None] - inside.triangles[None, :, 0]) @ inside.face_normals.T
    depth = -np.diagonal(behind, axis1=1, axis2=2)
    assert depth.min() >= GAP - 1e-3
    assert points[:, 2].min() >= 20.0 - 1e-6


def test_stowage_well_and_channel_stay_free(plan):
    for block in plan.blocks:
        for hole, low in ((HOLE, 0.0), (WELL, 120.0)):
            area = shapely.box(hole["aft"], hole["starboard"], hole["aft"] + hole["length"], hole["port"])
            if block.high > low:
                assert block.outline.distance(area) >= GAP - 1e-6, block.name
        if block.low < 60.0:
            assert not block.outline.intersects(shapely.box(0, -49.9, 3000, 49.9)), block.name


def test_hands_and_what_is_taken_out_find_their_way(boat, plan):
    # by the check of access: the arm keeps half its width, the pump that leaves keeps the gap that is asked
    report = check_access(boat)
    solids = [Solid.of_mesh(block.prism.mesh()) for block in plan.blocks]
    reach = next(reach for reach in report.reaches if reach.point.piece == "fixture.pump")
    assert reach.opening == "deck.main/hole"
    way = np.concatenate([np.linspace(a, b, 20) for a, b in pairwise(reach.way)])
    for block in plan.blocks:
        level = np.maximum(np.maximum(block.low - way[:, 2], way[:, 2] - block.high), 0.0)
        across = shapely.distance(shapely.points(way[:, :2]), block.outline)
        assert np.hypot(level, across).min() >= report.settings.arm / 2.0
    out = next(out for out in report.ways if out.name == "fixture.spare")
    close = tightest(out.way, solids)
    assert close is None or close.gap >= report.settings.gap - 1e-3


def test_each_block_goes_in_as_it_is_told(boat, plan, still):
    # lowered beside its place from above the frame, the deck's sheet and lids not there, then slid level
    def away(name):
        return name.startswith("deck.main/sheet") or "/lid" in name

    for block in plan.blocks:
        lowered = swept(block.outline, block.slide) if block.slides else block.outline
        start = affinity.translate(block.outline, *(-block.slide))
        assert clashes(solid_of(start, block.low, 330.0), still, away) == [], block.name
        assert clashes(solid_of(lowered, block.low, block.high), still, away) == [], block.name


def test_what_is_laid_before_is_not_in_the_way(plan):
    laid = []
    for block in plan.blocks:
        way = swept(block.outline, block.slide)
        for other in laid:
            if other.layer == block.layer:
                assert way.intersection(other.outline).area < 1.0, (block.name, other.name)
            else:
                assert other.high <= block.low + 1e-6
        laid.append(block)


def test_blocks_are_cut_from_board_and_no_longer_than_asked(plan):
    for block in plan.blocks:
        assert not block.outline.interiors
        assert block.thickness == pytest.approx(plan.board(block.board).thickness)
        assert max(block.sides) <= 900.0
        # nowhere narrower than asked, but for what making outlines plain takes off: 1.5 mm on each side
        assert not block.outline.buffer(-20.0 + 3.1).is_empty
    alike = {}
    for block in plan.blocks:
        alike.setdefault(block.mark, []).append(block)
    for own in alike.values():
        assert len({block.board for block in own}) == 1
        assert (
            max(b.outline.area for b in own) - min(b.outline.area for b in own) < 0.02 * own[0].outline.area
        )


def test_sums(plan):
    volume = sum(trimesh.Trimesh(*mesh_of(block)).volume for block in plan.blocks)
    assert plan.volume == pytest.approx(volume, rel=1e-9)
    assert plan.mass == pytest.approx(volume * 1e-9 * 32.0)
    assert plan.lift == pytest.approx(volume * 1e-9 * (FRESH_WATER - 32.0))


def mesh_of(block):
    mesh = block.prism.mesh()
    return mesh.vertices, mesh.faces


def test_where_foam_lies_is_told_by_planes(boat, plan):
    # the upper half of the flared boat lies above 250, its after quarter before 750; by trimesh's cuts
    spread = spread_of(boat, plan)
    aft = forward = 0.0
    for block in plan.blocks:
        body = trimesh.Trimesh(*mesh_of(block))
        if block.high > 250.0:
            body = (
                body.slice_plane([0, 0, 250], [0, 0, 1], cap=True, engine="manifold")
                if block.low < 250.0
                else body
            )
            x0, _, x1, _ = block.outline.bounds
            if x1 <= 750.0:
                aft += body.volume
            elif x0 >= 750.0:
                forward += body.volume
            else:
                after = body.slice_plane([750, 0, 0], [-1, 0, 0], cap=True, engine="manifold")
                aft += after.volume
                forward += body.volume - after.volume
    assert spread.aft == pytest.approx(aft, rel=1e-6)
    assert 0.0 <= spread.sides < forward


def test_an_empty_box_is_filled_nearly_whole():
    # a deck without posts over a square hull: all between frame and bottom but gaps, bilge and channel
    boat = build(decks={"main": {**DECK, "frame": {"posts": False}}}, foam={**FOAM, "channel": [0, 0]})
    plan = foam_plan(boat)
    room = (2800.0 - 200.0) * 2 * HALF * (300.0 - 2.0 - 20.0)
    # the frame covers strips of 25 mm each 400 mm and stands 50 mm high; boards leave up to 30 mm below
    assert 0.72 * room < plan.volume < 0.97 * room


def test_thinner_boards_hold_no_less(boat, plan):
    thick = lay_blocks(boat, replace(plan.settings, boards=(FoamBoard("only", 60.0, 600.0, 1200.0),)))
    assert plan.volume >= 0.999 * thick.volume


def test_a_block_beside_an_opening_still_goes_in_through_it(plan):
    through = {block.through for block in plan.blocks}
    assert through <= {"", "deck.main/hole"}
    assert "deck.main/hole" in through


def test_decks_are_left_and_fuel_is_kept_off():
    assert foam_plan(foamed({"leave": ["main"]})).blocks == ()
    tank = {
        "tanks": {
            "fuel": {"length": 300, "width": 200, "height": 150, "mass": 2, "contents": "fuel", "capacity": 9}
        }
    }
    fixtures = {"fuel": {"part": "fuel", "on": "hull", "at": [600, 0]}}
    boat = foamed({"fuel_gap": 60, "least": 40}, catalogue=tank, fixtures=fixtures)
    plan = foam_plan(boat)
    box = next(f for f in boat.fixtures if f.name == "fixture.fuel").prisms[0].box
    for block in plan.blocks:
        if block.low < box[1, 2]:
            assert block.outline.distance(shapely.box(*box[0, :2], *box[1, :2])) >= 60.0 - 1e-6
    assert [f.kind for f in check_foam(boat).findings if "fixture.fuel" in f.pieces] == ["foam"]
    proof = foamed({"fuel_proof": True, "boards": FOAM["boards"]}, catalogue=tank, fixtures=fixtures)
    assert not [f for f in check_foam(proof).findings if "fixture.fuel" in f.pieces]


def test_too_little_foam_is_found():
    short = check_foam(foamed({"leave": ["main"]}))
    assert short.needed is not None
    finding = next(f for f in short.findings if f.short)
    assert finding.kind == "foam"
    assert finding.measure == "litre"
    assert finding.short == pytest.approx((short.needed - short.volume) * 1e-6)
    assert check_foam(build(decks={"main": DECK})).plan is None


def test_denser_foam_takes_more_of_it(boat):
    # the handbook on 33 CFR 183: a cubic foot lifts 62.4 lb less its own weight; 32 kg/m3 is 2 lb/ft3
    from model.capacity.boat_rules import boat_rules
    from model.hydrostatics.afloat import Floating
    from model.mass.weigh import weigh

    rules = boat_rules(boat, weigh(boat), Floating.of(boat))
    two, four = (needed_volume(rules, pounds * 16.018463) for pounds in (2.0, 4.0))
    assert two == pytest.approx(rules.flotation.total * CUBIC_FOOT, rel=1e-3)
    assert four / two == pytest.approx(60.4 / 58.4, rel=1e-3)


@pytest.mark.parametrize(
    ("foam", "key", "told"),
    [
        ({"leave": ["mane"]}, "foam.leave", "there is no deck 'mane'"),
        ({"least": 1000}, "foam.most", "no block is longer than it is narrow"),
        ({"gap": -1}, "foam.gap", "is below zero"),
        ({"boards": {"x": {"thickness": 2, "width": 600, "length": 1200}}}, "foam.boards.x", "is no board"),
        (
            {"boards": {"x": {"thickness": 90, "width": 60, "length": 1200}}},
            "foam.boards.x",
            "thicker than it is",
        ),
    ],
)
def test_bad_input_is_told(foam, key, told):
    with pytest.raises(BadInput) as error:
        foamed(foam)
    fault = next(fault for fault in error.value.faults if fault.place.key.startswith(key))
    assert told in fault.wrong


def test_usual_boards_come_thickest_first():
    usual = FoamSettings()
    assert [board.thickness for board in usual.boards] == sorted(
        (b.thickness for b in usual.boards), reverse=True
    )
