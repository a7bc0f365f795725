"""The walls, the foam and the findings of an insulated box in a boat that is square all over."""

import pytest
import shapely

from model.insulation.check import check_boxes
from model.insulation.conduction import cuboid_factor
from model.insulation.plan import QUART, box_plans
from model.member_mesh import member_meshes
from model.water.wells import holds
from parts.faults import BadInput
from tests.model.boats import DECK, FLARED, build, demo

SHEET, FLOOR, INSULATION = 2.0, 100.0, 40.0
LONG, WIDE, RIM = 400.0, 300.0, 298.0
"""Inside of the outer box; its rim is the underside of the deck, 300 less the sheet."""
FOAM = INSULATION - SHEET
LID = 30.0


def boxed(insulation=INSULATION, **box):
    """The square boat with a box that hangs in an opening."""
    hole = {
        "aft": 1000,
        "length": LONG,
        "starboard": -150,
        "port": 150,
        "lid": {"flange": 20},
        "hinge": "aft",
    }
    deck = {**DECK, "openings": {"hole": hole}}
    locker = {"kind": "box", "under": "main.hole", "floor": FLOOR, "insulation": insulation}
    return build(decks={"main": deck}, lockers={"ice": locker}, boxes={"ice": {"lid": LID, **box}})


@pytest.fixture(scope="module")
def box():
    return box_plans(boxed())[0]


def test_walls_of_a_box_by_hand(box):
    long, wide, deep = LONG - 2 * INSULATION, WIDE - 2 * INSULATION, RIM - FLOOR - INSULATION
    walls = {wall.face: wall for wall in box.walls}
    assert set(walls) == {"aft", "forward", "port", "starboard", "floor", "lid"}
    for face, inner, outer in (
        ("aft", wide * deep, WIDE * (RIM - FLOOR)),
        ("port", long * deep, LONG * (RIM - FLOOR)),
        ("floor", long * wide, LONG * WIDE),
    ):
        assert walls[face].inner == pytest.approx(inner, rel=1e-6)
        assert walls[face].outer == pytest.approx(outer, rel=1e-6)
        assert walls[face].foam == pytest.approx(FOAM)
    assert walls["lid"].foam == LID
    assert box.litres == pytest.approx(long * wide * deep * 1e-6)
    # NIST Handbook 44, Appendix C: a liquid quart is 57.75 cubic inches
    assert box.quarts == pytest.approx(long * wide * deep / 25.4**3 / 57.75)
    assert pytest.approx(57.75 * 25.4**3 * 1e-6) == QUART


def test_sum_of_faces_is_the_shape_factor_of_the_whole_box(box):
    sides = [v * 1e-3 for v in (LONG - 2 * INSULATION, WIDE - 2 * INSULATION, RIM - FLOOR - INSULATION)]
    whole = cuboid_factor(tuple(sides), tuple(v * 1e-3 for v in (FOAM, FOAM, FOAM, FOAM, FOAM, LID)))
    assert sum(face.flat + face.edges for face in box.heat.faces) == pytest.approx(whole, rel=1e-9)
    assert box.heat.walls < box.asked.conductivity * whole  # the film outside holds some back
    assert box.heat.total == pytest.approx(box.heat.walls + box.heat.bridged + box.heat.seam)


def test_pieces_of_foam_fill_what_the_model_leaves(box):
    # between the outer box and the liner's metal, corners too, by the volumes of the two cuboids
    outer = LONG * WIDE * (RIM - FLOOR)
    liner = (LONG - 2 * FOAM) * (WIDE - 2 * FOAM) * (RIM - FLOOR - FOAM)
    pieces = {piece.face: piece for piece in box.pieces}
    own = sum(piece.volume for face, piece in pieces.items() if face not in ("lid", "deck.1"))
    assert own == pytest.approx(outer - liner, rel=1e-9)
    x0, y0, x1, y1 = pieces["lid"].outline.bounds
    assert x1 - x0 < LONG
    assert y1 - y0 < WIDE
    # hinged aft, its far lower corner turns out by less than the play left for it
    assert ((x1 - x0) ** 2 + LID**2) ** 0.5 - (x1 - x0) < LONG - (x1 - x0)


def test_foam_of_a_box_told_by_its_outline_closes_the_corners_too():
    # each wall reaches over the end of the next; the volumes of the two cuboids again
    outline = [[1000, -150], [1400, -150], [1400, 150], [1000, 150]]
    hole = {"aft": 1060, "length": 280, "starboard": -90, "port": 90, "lid": {"flange": 20}}
    locker = {"kind": "box", "under": "main.hole", "outline": outline, "floor": 60, "insulation": 40}
    deck = {**DECK, "openings": {"hole": hole}}
    plan = box_plans(build(decks={"main": deck}, lockers={"ice": locker}, boxes={"ice": {"lid": LID}}))[0]
    deep = plan.locker.top - 60.0
    gap = LONG * WIDE * deep - (LONG - 2 * FOAM) * (WIDE - 2 * FOAM) * (deep - FOAM)
    own = [piece for piece in plan.pieces if piece.face == "floor" or piece.face.isdigit()]
    assert sum(piece.volume for piece in own) == pytest.approx(gap, rel=1e-9)


@pytest.fixture(scope="module")
def leaning():
    """A box under a deck along a side that leans by 0.4 all along."""
    locker = {
        "kind": "box", "under": "main.hole", "aft": 1000, "forward": 1500, "port": "hull", "starboard": 100,
        "floor": 60, "insulation": 40,
    }  # fmt: skip
    hole = {"aft": 1060, "length": 380, "starboard": 160, "port": 420, "lid": {"flange": 20}}
    deck = {**DECK, "openings": {"hole": hole}}
    return build(
        hull=FLARED, decks={"main": deck}, lockers={"ice": locker}, boxes={"ice": {"lid": 30, "tape": 5}}
    )


def test_foam_along_the_hull_is_measured_square_to_it(leaning):
    # the outer strip and the liner are parallel, so that the foam is the insulation less the sheet
    plan = box_plans(leaning)[0]
    assert [wall.face for wall in plan.walls] == [
        "aft",
        "starboard",
        "forward",
        "port",
        "floor",
        "lid",
        "deck",
    ]
    side = next(wall for wall in plan.walls if wall.face == "port")
    assert not side.flat
    assert side.least <= side.foam <= side.most
    assert side.foam == pytest.approx(FOAM, rel=0.02)
    deck = next(wall for wall in plan.walls if wall.face == "deck")
    assert deck.foam == pytest.approx(50.0)  # the frame's own height is what is left there
    assert plan.litres == pytest.approx(holds(leaning)[0].to_rim * 1e-6)
    for heat in plan.heat.faces:
        # between straight through the inside area and straight through the outside one
        assert heat.flat < heat.flat + heat.edges
        if heat.wall.face not in ("lid", "deck"):
            assert heat.flat + heat.edges < heat.wall.outer / heat.wall.foam * 1e-3 * 1.01


def test_frame_that_is_bare_to_the_inside_is_counted(leaning):
    # members over the box lie along and athwart: rectangles of the tube's width, by their boxes
    plan = box_plans(leaning)[0]
    tape = 1.0 / (0.13 + 0.005 / 0.04)  # film of ISO 6946, then 5 mm of tape of 0.04 W/(m K)
    bare = sum(b.conductance for b in plan.heat.bridges if "bare over the inside" in b.what) / tape * 1e6
    inside = plan.inside.cut(plan.inside.rim)
    rectangles = []
    for member, mesh in zip(leaning.members, member_meshes(leaning.members), strict=True):
        low, _ = mesh.box
        if abs(low[2] - plan.locker.top) < 0.5 and not member.is_cut_away:
            flat = mesh.vertices[mesh.vertices[:, 2] < low[2] + 0.5]
            rectangles.append(shapely.MultiPoint(flat[:, :2]).convex_hull)
    wanted = shapely.union_all(rectangles).intersection(inside).area
    # the rounded edges of the tube are let off in the one and not in the other
    assert bare == pytest.approx(wanted, rel=0.12)
    assert wanted > 1000.0


def told(report):
    return [str(finding) for finding in report.findings]


def test_a_box_without_foam_or_lid_is_found():
    assert not check_boxes(boxed(tape="1/4 in")).findings
    bare = told(check_boxes(boxed(insulation=0)))
    assert any("no foam in aft" in text or "has no foam in" in text for text in bare)
    lid = told(check_boxes(boxed(lid=0)))
    assert any("the lid of locker.ice has no foam" in text for text in lid)
    metal = told(check_boxes(boxed(rim="metal")))
    assert any("past the foam, most by rim" in text for text in metal)


def test_metal_on_metal_outweighs_the_foam():
    # 2 mm of aluminium round a rim of 1 m over 38 mm of foam: 138 x 0.002 x 1.08 / 0.038 = 7.8 W/K by hand
    heat = box_plans(boxed(rim="metal"))[0].heat
    round_about = 2 * (LONG + WIDE - 4 * INSULATION) * 1e-3
    assert heat.bridges[0].conductance == pytest.approx(138.0 * SHEET * 1e-3 * round_about / (FOAM * 1e-3))


def test_summary_and_days_of_the_demo_boat():
    report = check_boxes(demo("lake16"))
    assert report.findings == ()
    assert "an estimate" in report.summary()[0]
    plan = report.boxes[0]
    assert plan.heat.days(2.0, 20.0) == pytest.approx(2.0 * plan.heat.days(1.0, 20.0))
    assert plan.heat.days(2.0, 10.0) == pytest.approx(2.0 * plan.heat.days(2.0, 20.0))


@pytest.mark.parametrize(
    ("box", "key", "told"),
    [
        ({"foam": 5.0}, "boxes.ice.foam", "is no conductivity of foam"),
        ({"ice": ["a lot"]}, "boxes.ice.ice", "is not a mass above zero"),
        ({"outside": ["warm"]}, "boxes.ice.outside", "is not a temperature"),
        ({"outside": ["10 F"]}, "boxes.ice.outside", "no temperature at which ice melts"),
        ({"lid": "1 inchs"}, "boxes.ice.lid", "not a unit"),
    ],
)
def test_bad_input_is_told(box, key, told):
    with pytest.raises(BadInput) as error:
        boxed(**box)
    fault = next(fault for fault in error.value.faults if fault.place.key.startswith(key))
    assert told in fault.wrong


def test_a_box_that_is_no_box_is_told():
    with pytest.raises(BadInput, match="there is no locker 'icy'"):
        build(decks={"main": DECK}, boxes={"icy": {}})
    deck = {**DECK, "openings": {"hole": {"aft": 1000, "length": 400, "starboard": -150, "port": 150}}}
    with pytest.raises(BadInput, match="is a well"):
        build(
            decks={"main": deck}, lockers={"live": {"kind": "well", "under": "main.hole", "floor": 100}},
            boxes={"live": {}},
        )  # fmt: skip
