"""What the shop gets of the stick plan: saw settings, the order of cuts, text, tables, pictures read back."""

from __future__ import annotations

import csv
import io
import math
import re
from dataclasses import replace
from xml.etree import ElementTree

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutlists.sticks.check import fibre_spans, hull_fibres, lay_of
from cutlists.sticks.cut_order import ordered
from cutlists.sticks.cut_words import Marking
from cutlists.sticks.records import StickPlan
from cutlists.sticks.saw_setting import SCALE, setting_of
from cutlists.sticks.settings import OnRack
from cutlists.sticks.stick_files import stick_files
from cutlists.sticks.stick_table import CUT_COLUMNS, STICK_COLUMNS, cuts_csv, stick_table, sticks_csv
from cutlists.sticks.stick_text import stick_text
from cutlists.sticks.stick_view import spread
from model.end_cut import SawLimits
from parts.lengths import parse_length
from tests.cutlists.sticks.stick_samples import FAMILIES, chance_piece, piece, plan_of, tube
from tests.model.member_samples import ANGLE, FLAT, ROUND, SQUARE, TUBE

SVG = "{http://www.w3.org/2000/svg}"
INCHES = Marking("in", 16)


@pytest.fixture(scope="module", params=[TUBE, SQUARE, ROUND, ANGLE], ids=lambda section: section.name)
def made(request) -> tuple[StickPlan, dict]:
    rng = np.random.default_rng(7)
    members = [chance_piece(rng, f"p.{k}", request.param, 100.0, 700.0) for k in range(16)]
    bought = tube([(2400.0, 20.0), (3000.0, 24.0)], 2.4, 6.0, [OnRack("rack <1>", 900.0)], keep=200.0)
    return plan_of(members, bought, 1.0), {member.name: member for member in members}


@given(
    st.sampled_from(FAMILIES),
    st.floats(-70.0, 70.0),
    st.floats(-70.0, 70.0),
)
@settings(deadline=None)
def test_the_blade_so_set_makes_the_plane(section, first, second):
    """Table turned by M, blade tilted by T: its plane is square to (cos T cos M, cos T sin M, sin T)."""
    slope = np.tan(np.radians([first, second]))
    found = setting_of(section, slope)
    m, t, r = found.mitre, found.tilt, math.radians(found.roll)
    blade = np.array([math.cos(t) * math.cos(m), math.cos(t) * math.sin(m), math.sin(t)])
    back = np.array([(1, 0, 0), (0, math.cos(r), math.sin(r)), (0, -math.sin(r), math.cos(r))])
    own = np.array([1.0, *slope]) / math.sqrt(1.0 + slope @ slope)
    assert back @ blade == pytest.approx(own, abs=1e-3)  # an end within 0.05 degrees of square is cut square


@pytest.mark.parametrize(
    ("section", "slope", "told"),
    [
        (TUBE, (1.0, 0.0), ("mitre 45.0", "")),
        (TUBE, (-1.0, 0.0), ("mitre 45.0", "turned over")),
        (TUBE, (0.0, 1.0), ("mitre 45.0", "near edge up")),
        (TUBE, (0.0, -1.0), ("mitre 45.0", "far edge up")),
        (ANGLE, (-1.0, 0.0), ("mitre 45.0 right", "")),
        (ROUND, (0.0, -1.0), ("mitre 45.0", "far edge up")),
        (TUBE, (0.0, 0.0), ("square", "")),
        (TUBE, (1.0, 0.1), ("mitre 45.0, tilt 4.0 left", "")),
    ],
)
def test_a_setting_in_words(section, slope, told):
    found = setting_of(section, np.array(slope))
    assert (found.saw, found.lies) == told


def test_a_cut_the_saw_does_not_reach_is_laid_another_way_or_flagged():
    slope = np.array([math.tan(math.radians(20.0)), 0.0])
    low = SawLimits("low saw", height=20.0)
    flat = setting_of(FLAT, slope, low)
    assert (flat.tilt, flat.flags) == (0.0, ())
    steep = setting_of(TUBE, np.array([math.tan(math.radians(65.0)), 0.0]))
    assert steep.flags == ("mitre 65.00 deg past saw's 60 deg",) or steep.tilt > 0.0


def test_cuts_are_ordered_so_that_the_saw_is_set_anew_least_often(made):
    plan, _ = made
    for stick in plan.stocks[0].sticks:
        from_left = tuple(sorted(stick.cuts, key=lambda cut: (cut.at, cut.blade)))
        assert stick.changes <= replace(stick, cuts=from_left).changes
        assert stick.changes >= len({cut.setting.key for cut in stick.cuts}) - 1


def test_a_chain_of_cuts_keeps_its_order(made):
    plan, _ = made
    by_setting: dict = {}
    for cut in (cut for stick in plan.stocks[0].sticks for cut in stick.cuts):
        by_setting.setdefault(cut.setting.key, []).append(cut)
    a, b, *_ = (cuts[0] for cuts in by_setting.values())
    found = ordered([(a, b), (b, a), (a,)], b.setting.key)
    assert [cut is b for cut in found] == [True, False, False, True, False] or len(found) == 5
    first, second = (found.index(b), found.index(a))
    assert first < second  # the saw stands at the setting of b


def test_the_text_keeps_to_100_columns_and_holds_every_cut(made):
    plan, _ = made
    lines = stick_text(plan, INCHES)
    assert max(len(line) for line in lines) <= 100
    read = re.findall(r"^ +\d+ \S*[<>].*$", "\n".join(lines), re.M)
    cells = [cell for line in read for cell in re.findall(r"(\d+) (\S*[<>]\S*) ([\d/-]+\")", line)]
    told = [
        (str(number), cut.at)
        for stick in plan.stocks[0].sticks
        for number, cut in enumerate(stick.cuts, start=1)
    ]
    assert [number for number, _, _ in cells] == [number for number, _ in told]
    for (_, _, text), (_, at) in zip(cells, told, strict=True):
        assert parse_length(text, "in") == pytest.approx(at, abs=25.4 / 32 + 1e-6)
    bars = [line for line in lines if line.startswith(("|", "/", "\\"))]
    marks = re.findall(r"F\d+", " ".join(bars))
    assert sorted(marks) == sorted(p.piece.mark for stick in plan.stocks[0].sticks for p in stick.placed)


def test_the_table_keeps_to_100_columns(made):
    from rich.console import Console

    console = Console(file=io.StringIO(), width=100)
    console.print(stick_table(made[0], Marking("mm", 16)))
    told = console.file.getvalue()
    assert max(len(line) for line in told.splitlines()) <= 100
    assert "rack <1>" in told


def test_the_tables_read_back(made):
    plan, _ = made
    (stock,) = plan.stocks
    rows = list(csv.DictReader(io.StringIO(sticks_csv(plan))))
    assert tuple(rows[0]) == STICK_COLUMNS
    assert [row["marks from the left"].split() for row in rows] == [
        [placed.piece.mark for placed in stick.placed] for stick in stock.sticks
    ]
    assert sum(float(row["price"] or 0.0) for row in rows) == pytest.approx(stock.solved.cost)
    cuts = list(csv.DictReader(io.StringIO(cuts_csv(plan))))
    assert tuple(cuts[0]) == CUT_COLUMNS
    told = [cut for stick in stock.sticks for cut in stick.cuts]
    assert len(cuts) == len(told)
    for row, cut in zip(cuts, told, strict=True):
        assert float(row["at mm"]) == pytest.approx(cut.at, abs=0.051)
        assert math.radians(float(row["mitre deg"])) == pytest.approx(cut.setting.mitre, abs=1e-4)
        assert row["blade"] == ("right of the mark" if cut.blade > 0 else "left of the mark")
        # The short point lies on the piece's side of the mark.
        if row["short point at mm"]:
            assert (float(row["short point at mm"]) - cut.at) * cut.blade < 0.06


@pytest.mark.parametrize("units", ["in", "mm"])
def test_the_pictures_show_every_piece_where_it_lies(made, units):
    """Corners on the page, to scale, against the members' own planes on the edges of the upper face."""
    plan, members = made
    (stock,) = plan.stocks
    pages = {name: data for name, data in stick_files(plan, units) if name.endswith(".svg")}
    assert len(pages) == len(stock.sticks)
    section = stock.pieces.section
    up = 0.0 if section.is_round else section.height / 2.0
    edges = np.array([(section.width / 2.0, up), (-section.width / 2.0, up)])
    fine = hull_fibres(section, 1e-5)
    for data, stick in zip(pages.values(), stock.sticks, strict=True):
        root = ElementTree.fromstring(data)
        band = root.find(f"{SVG}g")
        left = float(band.find(f"{SVG}rect").get("x"))
        drawn = [
            np.array([[float(n) for n in pair.split(",")] for pair in polygon.get("points").split()])
            for polygon in band.findall(f"{SVG}polygon")
        ]
        assert len(drawn) == len(stick.placed)
        for corners, placed in zip(drawn, stick.placed, strict=True):
            member = members[placed.name]
            turn = lay_of(placed, member, hull_fibres(section))
            shift = placed.start - float(fibre_spans(turn, member, fine)[:, 0].min())
            spans = fibre_spans(turn, member, edges) + shift
            found = (corners[:, 0] - left) * 10.0
            assert found[[0, 1]] == pytest.approx(spans[0], abs=0.02)
            assert found[[3, 2]] == pytest.approx(spans[1], abs=0.02)
        told = (element for element in root.iter(f"{SVG}text") if " no" in element.get("class", ""))
        numbers = [int(element.text or "") for element in told]
        assert sorted(numbers) == list(range(1, len(stick.cuts) + 1))


def test_labels_are_spread_no_nearer_than_their_pitch_and_stay_near():
    wanted = np.array([10.0, 10.2, 10.4, 30.0, 60.0, 61.0])
    found = spread(wanted, 3.0)
    assert np.diff(found).min() >= 3.0 - 1e-9
    assert found[3] == 30.0
    assert found[:3].mean() == pytest.approx(wanted[:3].mean())
    assert found[4:].mean() == pytest.approx(60.5)


def test_the_offcut_ends_square_where_it_is_kept():
    """A stick that ends in a mitre is parted square first: what goes back on the rack is a plain length."""
    members = [piece("one", 500.0, (0.0, 0.0), (45.0, 0.0)), piece("two", 500.0, (30.0, 0.0), (45.0, 0.0))]
    kept = tube([2000.0], keep=300.0)
    (stick,) = plan_of(members, kept).stocks[0].sticks
    parts = [cut for cut in stick.cuts if cut.what == "part"]
    assert stick.kept
    assert stick.offcut == pytest.approx(2000.0 - stick.placed[-1].end - 3.0)
    assert parts[-1].at == pytest.approx(stick.placed[-1].end)


def test_settings_are_told_as_finely_as_a_saw_is_set():
    one = setting_of(TUBE, np.tan(np.radians([44.26, 0.0])))
    other = setting_of(TUBE, np.tan(np.radians([44.28, 0.0])))
    assert one.key == other.key == (round(44.3 / SCALE), 0)
