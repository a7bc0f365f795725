"""Whole boats: what stands, what is too weak and what would cure it; hand checks and refusals."""

from functools import cache

import numpy as np
import pytest
from shapely import Polygon, box, union_all

from model.strength.bays import bay_of, bay_use, bays_of, foot_bears
from model.strength.check import check_strength
from model.strength.loads import Loads, Places
from model.strength.network import network
from model.strength.part_use import PartUse
from model.strength.plate import Plate
from model.strength.records import SLAM, TWO
from model.strength.settings import GRAVITY, StrengthSettings
from model.strength.spread import deck_lines
from model.strength.stiffness import COMBO, frame_model
from model.strength.uses import limits
from tests.model.boats import DECK, boat_file, build, demo, document, faults_of
from tests.model.strength.frames import SETTINGS, TUBE, beam, node_at, solved, traced


@cache
def report(name):
    return check_strength(demo(name))


def heavy(person, **more):
    return StrengthSettings(person=person, **more)


# --- a beam by hand


def used(net, own, gear, settings, nodes=()):
    """Uses of a hand-made frame under downward forces of its own and a person on each of `nodes`."""
    from scipy import sparse

    stiff, part = solved(net)
    count = len(net.points)
    weight = np.zeros(count)
    for point, force in gear:
        weight[node_at(net, point)] += force
    rows = sparse.csr_matrix(np.eye(count)[[node_at(net, p) for p in nodes]].reshape(-1, count))
    centres = np.array([net.points[node_at(net, p)][:2] for p in nodes]).reshape(-1, 2)
    places = (Places("deck", centres, rows),) if nodes else ()
    plan = type(
        "Plan", (), {"frame": type("F", (), {"to_boat": staticmethod(lambda c: np.c_[c, c[:, 0] * 0])})}
    )
    loads = Loads(np.zeros(count), weight, places)
    everywhere = limits(net, stiff.elements, settings)
    found = PartUse(net, part, stiff.elements, loads, {"deck": plan}, everywhere, [], settings)
    return {m.name: m for m in found.members()}


SPAN = 900.0


def test_one_who_jumps_on_the_middle_of_a_simple_beam():
    settings = heavy(100.0, sheet_welded=False, jump=2.0)
    net = traced(*beam(SPAN), settings)
    found = used(net, None, [], settings, [(SPAN / 2, 0, 0)])["beam"]
    force = 2 * 100 * GRAVITY
    allowed = min(262 / 1.95, 241 / 1.65)  # 6061-T6 away from welds
    bent = force * SPAN / 4 / TUBE.modulus_y / allowed
    sheared = force / 2 / (2 * TUBE.wall * TUBE.height) / (allowed / np.sqrt(3))
    assert found.force.use == pytest.approx(np.hypot(bent, sheared), rel=1e-6)
    sag = 100 * GRAVITY * SPAN**3 / (48 * TUBE.alloy.e * TUBE.iy)  # standing still
    assert found.sag.sag == pytest.approx(sag, rel=1e-6)
    assert found.sag.use == pytest.approx(sag / (SPAN / 180), rel=1e-6)
    assert not found.force.soft


def test_the_same_beam_with_a_weld_at_its_middle_bears_less():
    from tests.model.strength.frames import joint, member

    own, joints = beam(SPAN)
    arm = member("arm", (SPAN / 2, 12.7, 0), (SPAN / 2, 300, 0))
    joints += [joint("tee", arm, "A", "beam"), joint("free", arm, "B")]
    settings = heavy(100.0, sheet_welded=False)
    net = traced([*own, arm], joints, settings)
    found = used(net, None, [], settings, [(SPAN / 2, 0, 0)])["beam"]
    assert found.force.soft
    assert found.force.allowed == pytest.approx(105 / 1.65)  # within an inch of a weld: 15 ksi yield
    bent = 2 * 100 * GRAVITY * SPAN / 4 / TUBE.modulus_y / (105 / 1.65)
    assert found.force.use == pytest.approx(bent, rel=0.01)  # shear adds less than a hundredth


def test_two_people_ask_more_than_one_who_hardly_jumps():
    settings = heavy(100.0, jump=1.0, foot=150.0)
    net = traced(*beam(SPAN), settings)
    spots = [(x, 0, 0) for x in np.linspace(90, 810, 9)]
    found = used(net, None, [], settings, spots)["beam"]
    assert found.force.case == TWO
    apart = np.abs(np.diff(found.force.stands[:, 0]))
    assert apart.min() >= 149.0
    # Side by side about the middle, 90 mm places: the nearest that leaves 150 mm is 180 mm apart.
    weight = 100 * GRAVITY
    best = max(
        sum(weight * a * (SPAN - a) / SPAN * min(x / a, (SPAN - x) / (SPAN - a)) for a in (p, q))
        for p in np.linspace(90, 810, 9) for q in np.linspace(90, 810, 9) if q - p >= 149
        for x in net.lines[0].at[1:-1]
    )  # fmt: skip
    assert abs(found.force.resultants[4]) <= best * (1 + 1e-9)
    assert abs(found.force.resultants[4]) >= 0.9 * best


def test_gear_presses_harder_when_the_hull_slams():
    settings = heavy(1.0, slam=4.0, sheet_welded=False)
    net = traced(*beam(SPAN), settings)
    found = used(net, None, [((SPAN / 2, 0, 0), 500.0)], settings, [(SPAN / 2, 0, 0)])["beam"]
    assert found.force.case == SLAM
    assert abs(found.force.resultants[4]) == pytest.approx(4 * 500 * SPAN / 4, rel=1e-6)


# --- boats


@pytest.mark.parametrize("name", ["lake16", "flat14", "vee18"])
def test_demo_boats_carry_what_is_asked(name):
    found = report(name)
    assert found.findings == ()
    assert not found.unheld
    carry = [*demo(name).members, *demo(name).hats]
    assert [m.name for m in found.members] == [m.name for m in carry]
    assert 0.3 < found.greatest <= 1.0
    for deck in demo(name).layout.decks:
        assert 0.0 < found.worst(deck)[1] <= 1.0
    assert "none over 1.0" in found.summary()


def test_a_heavier_person_asks_more_of_every_member_by_no_more_than_his_weight():
    light, double = report("flat14"), check_strength(demo("flat14"), heavy(2 * StrengthSettings().person))
    # Bare sheet is stiffer under more, so that its share of a post's load is a little greater.
    for one, two in zip(light.members, double.members, strict=True):
        assert one.force.use - 1e-9 <= two.force.use <= 2.05 * one.force.use
    assert double.findings


def test_both_sides_of_a_symmetrical_deck_are_used_alike():
    uses = {m.name: m.force.use for m in report("lake16").members}
    for name, use in uses.items():
        other = name.replace("hatch.port/carling.port", "hatch.starboard/carling.starboard")
        assert uses[other] == pytest.approx(use, rel=0.02)


FLOATING = {"height": 300, "outline": [[800, -300], [800, 300], [1600, 300], [1600, -300]]}


def test_a_deck_with_nothing_under_it_is_a_finding():
    found = check_strength(build(decks={"d": {**FLOATING, "frame": {"posts": False}}}))
    assert found.findings[0].kind == "strength"
    assert "no path to the hull" in found.findings[0].what
    assert found.findings[0].pieces[0].startswith("deck.d/")
    assert found.greatest == np.inf


def test_a_deck_that_can_swing_is_a_finding():
    boat = build(decks={"d": {**FLOATING}})
    posts = [m.name for m in boat.members if "/post." in m.name]
    found = check_strength(boat, without=posts[1:])
    assert len(posts) > 1
    assert "move freely" in found.findings[0].what
    assert not check_strength(boat).unheld


def test_an_upright_face_holds_a_deck_up():
    deck = {**FLOATING, "frame": {"posts": False}, "risers": {"all": {"down_to": "hull"}}}
    found = check_strength(build(decks={"d": deck}))
    assert not found.unheld
    assert found.members


def test_a_boat_without_decks_has_nothing_to_check():
    found = check_strength(build())
    assert found.findings == ()
    assert "nothing to check" in found.summary()


def test_what_is_too_weak_is_told_worst_first_with_a_cure_and_its_line():
    found = check_strength(demo("lake16"), heavy(400.0))
    assert len(found.findings) > 3
    assert [f.short for f in found.findings] == sorted((f.short for f in found.findings), reverse=True)
    for finding in found.findings:
        assert finding.cure
        assert finding.place is not None
        assert finding.where is not None


def test_a_bay_that_is_told_to_be_narrower_or_thicker_carries_then():
    settings = heavy(200.0)
    boat = build(decks={"d": DECK})
    found = check_strength(boat, settings)
    bay = max(found.bays, key=lambda b: b.use)
    assert bay.use > 1.0
    text = next(f for f in found.findings if "bay" in f.pieces[0]).cure
    if "or take" in text:
        sheet = text.partition("or take ")[2].partition(" there")[0]
        again = check_strength(build(decks={"d": {**DECK, "sheet": sheet}}), settings)
        assert max(b.use for b in again.bays) <= 1.0


def test_sheet_over_a_wide_bay_gives_too_much_underfoot_however_strong_it_is():
    # Not more than a quarter of an inch, as platforms for people are made (gefinc.com/platforms).
    boat = build(decks={"d": {**DECK, "frame": {"beam_span": 900}}}, defaults={"sheet": "5052-2.5mm"})
    bay = max(check_strength(boat).bays, key=lambda b: b.use)
    assert bay.limit == "sag"
    assert bay.sag == pytest.approx(bay.stood.sag / 6.35)
    assert bay.use > 1.0


def test_bays_are_the_sheet_between_members():
    boat = build(decks={"d": DECK})
    net = network(boat, SETTINGS)
    plan = boat.layout.decks["deck.d"]
    bays = bays_of(net, plan)
    beams = [m for m in net.members if "/beam." in m.name and "/post." not in m.name]
    assert len(bays) == len(beams) + 1
    spacing = np.diff(sorted(m.a[0] for m in beams))
    for bay in bays[1:-1]:
        assert bay.shape == "rectangle"
        assert bay.width == pytest.approx(spacing[0] - TUBE_WIDTH, abs=1.0)
    for bay in bays:
        assert bay_use(bay, StrengthSettings()).use > 0


TUBE_WIDTH = 25.0


def test_a_three_cornered_bay_is_taken_as_a_strip_as_wide_as_its_greatest_circle():
    corner = {"height": 300, "outline": [[600, -500], [600, 200], [1500, 200]], "frame": {"beam_span": 2000}}
    boat = build(decks={"d": corner})
    bays = bays_of(network(boat, SETTINGS), boat.layout.decks["deck.d"])
    assert [b.shape for b in bays] == ["odd"]
    cell = bays[0].polygon
    radius = 2 * cell.area / cell.length  # of the circle in a triangle
    assert bays[0].width == pytest.approx(2 * radius, rel=0.02)
    assert bays[0].length * bays[0].width == pytest.approx(cell.area, rel=0.02)


def test_a_post_on_bare_sheet_presses_no_harder_than_the_sheet_bears():
    # 2 pi m with m = F t^2 / 4: for 5052-H32 2 mm, F = 160/1.65.
    lower = {"height": 100, "aft": 200, "forward": 2800, "frame": {"beam_span": 800}}
    upper = {"height": 400, "outline": [[900, -300], [900, 300], [1500, 300], [1500, -300]]}
    boat = build(decks={"low": lower, "up": upper}, defaults={"beam_span": 600})
    found = check_strength(boat)
    assert found.feet
    sheet = boat.layout.decks["deck.low"].sheet
    assert foot_bears(sheet, StrengthSettings()) == pytest.approx(2 * np.pi * 160 / 1.65 * 4.0 / 4, rel=0.01)
    worst = max(found.feet, key=lambda f: f.use)
    assert worst.use > 1.0
    assert any(
        "bare sheet" in f.what and f.pieces == (worst.name.removesuffix("/foot"),) for f in found.findings
    )


# --- refusals


@pytest.mark.parametrize(
    ("text", "key", "says"),
    [
        ("person: 0 kg", "person", "not a mass above zero"),
        ("person: 2 tons", "person", "not a mass"),
        ("person: 1200", "person", "more than 1000 kg"),
        ("foot: 0", "foot", "not above zero"),
        ("jump: 0.5", "jump", "greater than or equal to 1"),
        ("slam: high", "slam", "number"),
        ("gear: {livewel: 20 kg}", "gear.livewel", "there is no locker 'livewel'"),
        ("gear: {livewell: -3 kg}", "gear.livewell", "not a mass"),
        ("member_limit: 0", "member_limit", "50"),
        ("most_sag: -1/4 in", "most_sag", "not above zero"),
        ("sheet_held: 2", "sheet_held", "less than or equal to 1"),
        ("sag: 3", "sag", "unknown key"),
    ],
)
def test_what_cannot_be_asked_is_refused_at_its_line(text, key, says):
    from pathlib import Path

    whole = (Path(__file__).parents[3] / "configs/lake16.yaml").read_text(encoding="utf-8")
    faults = faults_of(f"{whole}\nstrength:\n  {text}\n")
    assert [f.place.key for f in faults] == [f"strength.{key}"]
    assert says in f"{faults[0].wrong} {faults[0].right}"
    assert faults[0].place.line is not None


def test_settings_are_read_from_the_boat_file():
    boat = build(decks={"d": DECK}, strength={"person": "220 lb", "jump": 1.5, "foot": 250})
    assert boat.strength.person == pytest.approx(99.79, abs=0.01)
    assert (boat.strength.jump, boat.strength.foot) == (1.5, 250.0)
    assert document(boat_file()).data["units"] == "mm"


# --- odd bays against shells


def shell_sag(cells, side):
    """Greatest sag of a simply supported sheet of square cells under 1 N/mm2, times D, by PyNite's quads."""
    from Pynite import FEModel3D

    nu = 0.33
    model = FEModel3D()
    model.add_material("metal", 1e4, 1e4 / 2 / (1 + nu), nu, 0.0)
    corners = {(i + a, j + b) for i, j in cells for a in (0, 1) for b in (0, 1)}
    for i, j in corners:
        model.add_node(f"N{i}.{j}", i * side, j * side, 0.0)
        inside = all((i - a, j - b) in cells for a in (0, 1) for b in (0, 1))
        model.def_support(f"N{i}.{j}", True, True, not inside, False, False, True)
    for i, j in cells:
        names = [f"N{i + a}.{j + b}" for a, b in ((0, 0), (1, 0), (1, 1), (0, 1))]
        model.add_quad(f"Q{i}.{j}", *names, 1.0, "metal")
        model.add_quad_surface_pressure(f"Q{i}.{j}", 1e-6)
    model.analyze_linear(check_stability=False)
    return max(abs(n.DZ["Combo 1"]) for n in model.nodes.values()) * 1e4 / (12 * (1 - nu**2)) / 1e-6


@pytest.mark.parametrize("shape", ["square", "L", "corner"])
def test_an_odd_bay_sags_no_further_than_the_plate_it_is_taken_as(shape):
    n, side = 4, 50.0
    cells = {
        "square": {(i, j) for i in range(n) for j in range(n)},
        "L": {(i, j) for i in range(2 * n) for j in range(2 * n) if i < n or j < n},
        "corner": {(i, j) for i in range(2 * n) for j in range(2 * n) if i + j < 2 * n - 1},
    }[shape]
    polygon = union_all([box(i * side, j * side, (i + 1) * side, (j + 1) * side) for i, j in cells])
    if shape == "corner":  # the cells are stairs inside the slope
        polygon = Polygon([(0, 0), (2 * n * side, 0), (0, 2 * n * side)])
    bay = bay_of("bay", demo("flat14").layout.decks["deck.sole"], polygon)
    plate = Plate(bay.length, bay.width, 1.0, 1e4)
    sag, _ = plate.bent(1.0, (bay.length, bay.width), (bay.length / 2, bay.width / 2))
    found = shell_sag(cells, side)
    if shape == "square":
        assert sag * plate.rigidity == pytest.approx(found, rel=0.02)
    else:
        assert found <= sag * plate.rigidity <= 3.5 * found  # the stairs hold more than a slope


def test_an_alloy_of_which_no_welded_strength_is_known_is_told_and_counted_low():
    alloy = {
        "product": "extrusion", "density": 2700, "e": 69600, "g": 26200,
        "ultimate": {"value": 262, "source": "x"}, "yields": {"value": 241, "source": "x"},
        "sources": {"density": "x", "e": "x", "g": "x"},
    }  # fmt: skip
    tube = {"kind": "rect", "width": 25, "height": 50, "wall": 3, "alloy": "6099-T9"}
    made = build(
        decks={"d": {**DECK, "frame": {"section": "odd"}}},
        catalogue={"alloys": {"6099-T9": alloy}, "sections": {"odd": tube}},
    )
    found = check_strength(made)
    assert "6099-T9 beside a weld" in found.findings[0].what
    assert min(m.force.allowed for m in found.members) == pytest.approx(0.3 * 262 / 1.95)


def test_pynite_by_itself_finds_the_same_moments_in_a_whole_deck():
    """A person in three places of a deck of beams, ledgers and posts; PyNite solves and recovers alone."""
    boat = build(decks={"d": {**DECK, "forward": 1800}})
    net = network(boat, SETTINGS)
    stiff, part = solved(net)
    lines = deck_lines(net, boat.layout.decks["deck.d"])
    spots = np.array([[500.0, 100.0], [1000.0, -350.0], [1500.0, 0.0]])
    down = lines.shares(spots, len(net.points)).T.toarray() * 1000.0
    moved = part.moved(down)
    model = frame_model(net)
    del model.load_combos[COMBO]
    for n in range(len(spots)):
        model.add_load_combo(f"c{n}", {f"l{n}": 1.0})
        for node in np.flatnonzero(down[:, n]).tolist():
            model.add_node_load(f"N{node}", "FZ", -float(down[node, n]), f"l{n}")
    model.analyze_linear(check_stability=False)
    place = np.full(len(net.points), -1)
    place[part.nodes] = np.arange(len(part.nodes))
    dofs = (6 * place[stiff.elements.ends][:, :, None] + np.arange(6)).reshape(-1, 12)
    own = stiff.elements.recover @ moved[dofs]
    names = [f"M{k}.{i}" for k, i in zip(stiff.elements.member, stiff.elements.step, strict=True)]
    for n in range(len(spots)):
        theirs = np.array([model.members[name].f(f"c{n}")[:, 0] for name in names])
        np.testing.assert_allclose(own[:, :, n], theirs, atol=1e-5 * np.abs(theirs).max())
