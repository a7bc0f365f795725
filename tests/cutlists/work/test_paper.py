"""Checklist and chart on paper, read back by pdfplumber and an XML parser."""

from __future__ import annotations

import re
from datetime import date, timedelta
from itertools import pairwise
from xml.etree import ElementTree

import pdfplumber
import pytest

from cutlists.packet.page import Stamp, write_pages
from cutlists.packet.paper import PAPERS
from cutlists.packet.work_pages import work_pages
from cutlists.shop_file import Shop
from cutlists.work.chart import Axis, chart_svg, parts_of
from cutlists.work.standing import standing_of
from tests.model.boats import DECK, build

HATCH = {"aft": 1000, "forward": 1600, "port": 200, "starboard": -200, "lid": {"flange": 20}}
MONDAY = date(2026, 11, 30)
SVG = "{http://www.w3.org/2000/svg}"
POINT = 25.4 / 72


@pytest.fixture(scope="module")
def standing():
    sole = {"height": 100, "aft": 200, "forward": 2800}
    boat = build(decks={"sole": sole, "main": {**DECK, "openings": {"hatch": HATCH}}}, mat={})
    return standing_of(boat, Shop(), MONDAY)


@pytest.fixture(scope="module")
def pages(standing, tmp_path_factory):
    path = tmp_path_factory.mktemp("paper") / "work.pdf"
    write_pages(path, list(work_pages(standing, PAPERS["A4"])), Stamp("loon", "1", "", "", ""))
    with pdfplumber.open(path) as pdf:
        mm = [(page.width * POINT, page.height * POINT) for page in pdf.pages]
        return [(*size, p.extract_words(), p.extract_text()) for size, p in zip(mm, pdf.pages, strict=True)]


def test_every_task_has_a_line_with_a_box_and_what_it_follows(standing, pages):
    lines = "\n".join(text for _, _, _, text in pages).splitlines()
    numbers = {}
    for task in standing.plan.tasks:
        (line,) = (one for one in lines if re.match(rf"\[ +\] \d+ {re.escape(task.name)}( \*)? ", one))
        numbers[task.name] = int(re.match(r"\[ +\] (\d+)", line)[1])
        assert f"{task.hours:.2f}" in line
        assert ("*" in line) == (task.name in standing.plan.critical)
        told = re.search(r"[A-Z][a-z]{2} \d\d [A-Z][a-z]{2}((?: \d+,?)*)", line)[1]
        assert {int(n) for n in re.findall(r"\d+", told)} == {numbers[one] for one in task.after}
    assert sorted(numbers.values()) == list(range(1, len(numbers) + 1))


def test_cautions_orders_and_waits_stand_above_it(pages):
    text = " ".join(pages[0][3].split())
    assert "Hot work: take fuel, tanks and batteries out" in text
    assert re.search(r"Send orders in time: by \w{3} \d\d \w{3} order\.", text)
    assert "waits for order.tube" in text


def test_nothing_runs_off_the_paper(pages):
    for width, height, words, _ in pages:
        for word in words:
            assert word["x0"] * POINT > 5
            assert word["x1"] * POINT < width - 5
            assert word["top"] * POINT > 5
            assert word["bottom"] * POINT < height - 5


def bars(standing):
    """Left and right of each task's bar, mm, and whether it is black."""
    root = ElementTree.fromstring(chart_svg(standing.plan, "loon"))
    found = {}
    for path in root.iter(f"{SVG}path"):
        if path.get("data-name"):
            x = [float(pair.split()[0]) for pair in re.findall(r"[-\d.]+ [-\d.]+", path.get("d"))]
            found[path.get("data-name")] = (min(x), max(x), path.get("fill") == "#000000")
    return found


def test_bars_are_as_long_as_the_hours_and_lie_end_to_end(standing):
    plan, found = standing.plan, bars(standing)
    assert set(found) == {task.name for task in plan.tasks}
    # one hour of one day, from a task that does not run over a night
    widths = {
        round((right - left) / task.hours, 2)
        for task, slot in zip(plan.tasks, plan.slots, strict=True)
        for left, right, _ in [found[task.name]]
        if slot.begins.date() == slot.ends.date() and right - left > 0.6
    }
    assert max(widths) - min(widths) < 0.02
    # one hand: no bar begins before the one before it ends
    order = [found[slot.task] for slot in plan.slots]
    assert all(one[1] <= other[0] + 0.51 for one, other in pairwise(order))  # 0.5 mm is the thinnest bar
    assert {name for name, (_, _, black) in found.items() if black} == set(plan.critical)


def test_days_off_are_narrow_and_nights_have_no_room(standing):
    plan = standing.plan
    axis = Axis.of(plan, plan.slots, 10.0, 300.0)
    assert axis.right == pytest.approx(300.0)
    for day, (x, width) in axis.days.items():
        assert (width < 2.0) == (day.weekday() > 4)
        if day + timedelta(days=1) in axis.days:
            assert axis.days[day + timedelta(days=1)][0] == pytest.approx(x + width)
    for slot in plan.slots:
        x, width = axis.days[slot.begins.date()]
        share = (slot.begins.hour + slot.begins.minute / 60 - 8) / 8
        assert axis.at(slot.begins) == pytest.approx(x + width * share)


def test_long_plans_go_over_several_pages(standing):
    slots = standing.plan.slots
    parts = list(parts_of(slots, 7))
    assert [slot for part in parts for slot in part] == list(slots)
    assert max(map(len, parts)) <= 7
    assert max(map(len, parts)) - min(map(len, parts)) <= 1
