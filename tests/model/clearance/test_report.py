"""What is found in a boat, what belongs together, and how it is told."""

from __future__ import annotations

import re
from functools import cache
from itertools import combinations

import numpy as np
import pytest
from OCP.BRepExtrema import BRepExtrema_DistShapeShape

from model.boat import Boat
from model.clearance.bodies import boat_bodies, body_of_prisms
from model.clearance.contacts import Contacts, group_of, unit_of
from model.clearance.pairs import measured_apart, near_pairs
from model.clearance.report import Clash, ClearanceReport, clearance_findings
from model.clearance.settings import ANY, ClearanceSettings, Exempt, GapRule
from model.clearance.words import length_told, where_told
from model.geometry import Frame
from model.hull_solid import sheet_solid
from model.member_solid import member_solid
from model.prism import Prism
from model.prism_solid import prism_solid
from parts.outline import Loop
from tests.model.clearance.small_boat import punt

FURNISHED = """
seat_boxes:
  driver: {on: sole, centre: [1500, -200], length: 400, width: 400, height: 300}
fixtures:
  seat: {part: seat-folding, on: driver, at: [1500, -200]}
  battery: {part: group-31, on: sole, at: [1900, 300]}
"""


@cache
def plain() -> Boat:
    return punt()


@cache
def furnished() -> Boat:
    return punt(FURNISHED)


def is_gap(clash: Clash) -> bool:
    return clash.nearness.shared is None


def two_apart(gap: float) -> str:
    """Two batteries side by side with a gap between them, mm."""
    left = 2 * half_width("group-31") + gap
    rows = [f"  {name}: {{part: group-31, on: sole, at: [1300, {y}]}}" for name, y in (("a", 0), ("b", left))]
    return "\n".join(["fixtures:", *rows, ""])


def report(more: str = "", settings: ClearanceSettings | None = None, ribs: str = "") -> ClearanceReport:
    return clearance_findings(punt(more, ribs), settings)


def pieces(found: ClearanceReport) -> list[tuple[str, ...]]:
    return [f.pieces for f in found.findings]


# --- measured


def test_gaps_in_a_boat_are_the_kernels() -> None:
    """Every pair nearer than 30 mm, hull included, against BRepExtrema on the true solids."""
    boat = furnished()
    shapes = {m.name: member_solid(m) for m in boat.members}
    shapes |= {p.name: prism_solid(p.prism) for p in boat.panels}
    shapes |= {f.name: prism_solid(f.prisms[0]) for f in boat.fixtures if len(f.prisms) == 1}
    shapes["hull"] = sheet_solid(boat.hull)
    near = [n for n in near_pairs(boat_bodies(boat), 30.0) if {n.first.name, n.second.name} <= set(shapes)]
    apart = sorted((n for n in near if n.gap > 0.0), key=lambda n: n.gap)[:60]
    touching = [n for n in near if n.gap == 0.0][::6]
    assert len(apart) > 30
    for n in apart + touching:
        judge = BRepExtrema_DistShapeShape(shapes[n.first.name], shapes[n.second.name])
        assert n.gap == pytest.approx(judge.Value(), abs=0.05), (n.first.name, n.second.name)


def test_no_near_pair_is_missed() -> None:
    """Each pair alone, without the sorting by boxes, finds the same."""
    bodies = boat_bodies(plain())
    together = {(n.first.name, n.second.name): n.gap for n in near_pairs(bodies, 15.0)}
    alone = {}
    for one, other in combinations(bodies, 2):
        gap = min(a.gap(b, 15.0) for a in one.solids for b in other.solids)
        if gap < 15.0 and measured_apart(one, other):
            alone[one.name, other.name] = gap
    assert together.keys() == alone.keys()
    for key, gap in alone.items():
        assert together[key] == pytest.approx(gap, abs=2e-3)


def test_a_clean_boat_says_what_was_measured() -> None:
    found = clearance_findings(plain())
    assert found.clashes == ()
    bodies = boat_bodies(plain())
    assert found.bodies == len(bodies)
    assert found.pairs == sum(measured_apart(a, b) for a, b in combinations(bodies, 2))
    assert found.summary().endswith("no two clash")
    assert f"{found.pairs} pairs" in found.summary()
    gaps = [n.gap for n in found.nearest]
    assert gaps == sorted(gaps)
    assert gaps[0] == pytest.approx(3.175, abs=0.02)  # the fit gap, an eighth of an inch


# --- found


def test_a_member_through_a_seat_box_is_found_once() -> None:
    found = report(FURNISHED + "members:\n  bar: {start: [1300, -200, 350], end: [1700, -200, 350]}\n")
    assert len(found.findings) == 1
    (finding,) = found.findings
    assert "member.bar" in finding.pieces
    assert "more of their pieces" in finding.what  # it pierces two faces of the box, told as one


def test_overlaps_come_before_short_gaps_and_deep_before_shallow() -> None:
    more = """
fixtures:
  deep: {part: group-31, on: sole, at: [1200, 0]}
  deeper: {part: group-31, on: sole, at: [1200, 40]}
  near: {part: group-24, on: sole, at: [1600, -200]}
  nearer: {part: group-24, on: sole, at: [1600, -24]}
"""
    found = report(more, ClearanceSettings(rules=(GapRule("battery", "battery", 5.0),)))
    kinds = [clash.nearness.shared is not None for clash in found.clashes]
    assert kinds == sorted(kinds, reverse=True)
    depths = [c.nearness.depth for c in found.clashes if c.nearness.shared is not None]
    assert depths == sorted(depths, reverse=True)
    assert {frozenset(p) for p in pieces(found)} >= {frozenset(("fixture.deep", "fixture.deeper"))}


def test_the_finding_tells_where_and_how_far() -> None:
    clash = next(c for c in report(two_apart(1.0)).clashes if is_gap(c))
    assert set(clash.finding.pieces) == {"fixture.a", "fixture.b"}
    assert clash.nearness.gap == pytest.approx(1.0, abs=1e-6)
    assert clash.short == pytest.approx(3.175 - 1.0)
    assert clash.finding.where is not None
    assert clash.finding.where[1] == pytest.approx(half_width("group-31") + 0.5)
    assert "1.0 mm apart; 3.2 mm is asked" in clash.finding.what
    assert "to starboard" in clash.finding.cure
    assert clash.finding.place is not None


def half_width(part: str) -> float:
    """Half of a fitting's width."""
    boat = punt(f"fixtures:\n  one: {{part: {part}, on: sole, at: [1300, 0]}}\n")
    return float(boat.fixtures[-1].prisms[0].box[1, 1])


def test_an_upright_beside_a_stringer_is_told_and_a_post_on_it_is_not() -> None:
    """Posts set by rule keep off a stringer's side; one placed by hand 0.6 mm beside it is told."""
    sizes = "from: 20, to: 2900, height: 40, width: 30, side: port"
    stringer = f"  stringers:\n    - {{name: bar, off_centre: OFF, {sizes}}}"
    boat = plain()
    post = next(m for m in boat.members if m.name == "deck.aft/hatch/header.aft/post.1")
    x, y, z = (float(part) for part in post.a)
    ribs = stringer.replace("OFF", f"{abs(y) + post.section.width / 2 + 15.0 + 0.6}")
    start, end = (f"[{x}, {abs(y)}, {z + up}]" for up in (20.0, 90.0))  # an upright's width is athwart
    upright = f"members:\n  up: {{start: {start}, end: {end}, section: {post.section.name}}}\n"
    told = [c for c in clearance_findings(punt(upright, ribs)).clashes if "bar" in c.finding.pieces]
    assert [c.finding.pieces for c in told] == [("member.up", "bar")]
    assert told[0].nearness.gap == pytest.approx(0.6, abs=0.01)
    under = punt(ribs=stringer.replace("OFF", f"{abs(y)}"))
    on_it = [c for c in clearance_findings(under).clashes if post.name in c.finding.pieces]
    assert on_it == []


def test_a_battery_in_a_locker_without_a_floor_stands_on_the_hull() -> None:
    locker = "{under: aft, aft: 200, forward: 700, starboard: -100, port: 480, floor: hull}"
    fitting = "{part: group-24, on: hold, at: [450, 200]}"
    more = f"lockers:\n  hold: {locker}\nfixtures:\n  box: {fitting}\n"
    assert not [c for c in report(more).clashes if "hull" in c.finding.pieces]


def test_the_room_of_a_seat_is_kept_free() -> None:
    more = FURNISHED + "  box: {part: group-31, on: sole, at: [1920, -200]}\n"
    assert not any("fixture.box" in f.pieces and "fixture.seat" in f.pieces for f in report(more).findings)
    reaching = FURNISHED + "members:\n  bar: {start: [1785, -200, 500], end: [1785, -200, 900]}\n"
    (finding,) = report(reaching).findings
    assert finding.pieces == ("fixture.seat", "member.bar")
    assert "room" in finding.what, finding.what


# --- what belongs together


def test_pieces_that_belong_together() -> None:
    boat = furnished()
    bodies = {b.name: b for b in boat_bodies(boat)}
    contacts = Contacts(boat)

    def joined(one: str, other: str) -> bool:
        return contacts.joined_together(bodies[one], bodies[other])

    assert joined("deck.aft/hatch/lid", "deck.aft/sheet.1")
    assert not joined("deck.aft/hatch/lid", "deck.sole/sheet.1")
    assert joined("fixture.battery", "deck.sole/sheet.1")
    assert not joined("fixture.battery", "deck.aft/sheet.1")
    assert joined("fixture.seat", "seat.driver/lid/lid")
    assert joined("fixture.seat/room", "fixture.seat")
    assert joined("deck.aft/rim.aft.1", "deck.aft/sheet.1")
    assert not joined("deck.aft/rim.aft.1", "hull")
    post = next(j for j in boat.joints if j.kind == "hull")
    assert joined(post.member, "hull")


def test_names_of_things() -> None:
    assert group_of("deck.front/rim.aft.1/post.2") == "deck.front"
    assert unit_of("deck.front/rim.aft.1/post.2") == "deck.front/rim.aft.1/post.2"
    assert unit_of("locker.ice/wall.port") == "locker.ice"


# --- settings


def test_the_closest_rule_holds_and_the_later_of_two() -> None:
    wanted = ClearanceSettings(
        rules=(
            GapRule(ANY, ANY, 1.0),
            GapRule("fitting", ANY, 2.0),
            GapRule("battery", ANY, 3.0),
            GapRule("battery", "hull", 4.0),
            GapRule("hull", "member", 5.0),
            GapRule("member", "hull", 6.0),
        )
    )
    assert wanted.least("member", "sheet") == 1.0
    assert wanted.least("seat", "sheet") == 2.0
    assert wanted.least("sheet", "battery") == 3.0
    assert wanted.least("hull", "battery") == 4.0
    assert wanted.least("member", "hull") == wanted.least("hull", "member") == 6.0
    assert wanted.least("room", "room") == 1.0


def test_welded_metal_may_touch_but_not_nearly() -> None:
    """A box stands on the sole and its posts on the sheet: they meet. A bar half a millimetre off is told."""
    metal = ("member", "sheet")
    rattle = ClearanceSettings(rules=tuple(GapRule(a, b, 1.5) for a in metal for b in metal))
    assert report(FURNISHED.partition("fixtures")[0], rattle).findings == ()
    height = furnished().layout.decks["deck.sole"].frame.origin[2] + 12.7 + 0.5
    ends = f"start: [1000, 300, {height}], end: [1200, 300, {height}]"
    bar = f"members:\n  bar: {{{ends}, section: square-1x1x0.125}}\n"
    (finding,) = report(bar, rattle).findings
    assert set(finding.pieces) == {"member.bar", "deck.sole/sheet.1"}
    assert "stand 0.5 mm apart" in finding.what


def test_an_exemption_by_name_lets_off_and_says_so() -> None:
    more = FURNISHED + "members:\n  bar: {start: [1300, -200, 350], end: [1700, -200, 350]}\n"
    exempt = ClearanceSettings(exempt=(Exempt("member.bar", "seat.driver/*", None, "a towel rail"),))
    found = report(more, exempt)
    assert found.findings == ()
    assert {why for *_, why in found.exempt} == {"a towel rail"}
    assert "let off by name" in found.summary()


def test_who_accepted_a_pair_is_told_with_why() -> None:
    named = Exempt("a", "b", None, "a towel rail", by="R. Tamm, 25 Nov")
    assert named.reason == "a towel rail; accepted by R. Tamm, 25 Nov"
    assert Exempt("a", "b", None, by="R. Tamm").reason == "accepted by R. Tamm"
    assert Exempt("a", "b", None, "a towel rail").reason == "a towel rail"
    assert Exempt("a", "b", None).reason == ""


def test_an_exemption_with_a_gap_still_asks_that() -> None:
    lax = ClearanceSettings(exempt=(Exempt("fixture.*", "fixture.*", 0.5),))
    strict = ClearanceSettings(exempt=(Exempt("fixture.*", "fixture.*", 1.5),))
    assert not any(map(is_gap, report(two_apart(1.0), lax).clashes))
    (clash,) = filter(is_gap, report(two_apart(1.0), strict).clashes)
    assert clash.least == 1.5


def test_further_bodies_are_measured_along() -> None:
    hose = Prism(Frame.level(380.0, x=470.0, y=-100.0), Loop.circle(40.0), (), 0.0, 100.0)
    found = clearance_findings(plain(), more=[body_of_prisms("hose.fill", "hose", (hose,))])
    (clash,) = (c for c in found.clashes if c.finding.pieces[0] == "hose.fill")
    assert clash.finding.pieces[1] == "deck.aft/beam.1"
    assert "so does one more of their pieces" in clash.finding.what  # the sheet over that beam


# --- words


@pytest.mark.parametrize(
    ("mm", "units", "text"),
    [(2.286, "in", '2.3 mm (3/32")'), (25.4, "in", '1"'), (3.0, "mm", "3.0 mm"), (0.0, "in", '0.0 mm (0")')],
)
def test_short_lengths_are_told_finely(mm: float, units: str, text: str) -> None:
    assert length_told(mm, units) == text


def test_where_is_told_from_transom_centreline_and_baseline() -> None:
    told = where_told(np.array([254.0, -127.0, 25.4]), "in")
    assert re.fullmatch(r'10" from the transom, 5" to starboard, 1" up', told)
    assert "on the centreline" in where_told(np.array([254.0, 0.0, 25.4]), "in")


def test_a_seat_on_its_pedestal_is_no_finding_and_one_beside_it_is() -> None:
    def stool(y: float) -> ClearanceReport:
        seat = f"  seat: {{part: seat-bow, on: sole, at: [1500, {y}], raise_by: 330.2}}\n"
        return clearance_findings(
            punt(f"fixtures:\n  post: {{part: pedestal-13, on: sole, at: [1500, 0]}}\n{seat}")
        )

    assert stool(0.0).clashes == ()
    assert [c.finding.kind for c in stool(60.0).clashes] == ["gap"]


def test_a_run_of_pieces_against_a_run_is_one_finding() -> None:
    ribs = "  ribs:\n    - {at: 1000, every: 300, until: 2000, height: 140, width: 30}"
    found = report(ribs=ribs)
    frame = [c for c in found.clashes if c.finding.pieces[0].startswith("deck.sole/ledger")]
    assert len(frame) == 1
    assert frame[0].others >= 3
    assert "more of their pieces" in frame[0].finding.what
