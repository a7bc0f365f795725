"""The strength folder read back: numbers of the table, the working worked again, colours in the pictures."""

import csv
import io
import math
import re
from functools import cache

import numpy as np
import pytest
from PIL import Image

from cutlists.packet.paper import papers_for
from cutlists.packet.strength_pages import strength_pages
from cutlists.strength.files import write_strength
from cutlists.strength.picture import STEPS, colour_of, use_pictures
from cutlists.strength.table import use_csv, use_rows
from cutlists.strength.working import WIDTH, working
from model.strength.check import check_strength
from model.strength.settings import StrengthSettings
from tests.model.boats import DECK, build, demo


@cache
def heavy():
    boat = build(decks={"d": DECK})
    return boat, check_strength(boat, StrengthSettings(person=400.0))


@cache
def flat():
    return demo("flat14"), check_strength(demo("flat14"))


def test_the_table_has_every_piece_once_worst_first():
    boat, report = flat()
    rows = list(csv.DictReader(io.StringIO(use_csv(use_rows(report, boat.marks)))))
    assert sorted(row["piece"] for row in rows) == sorted(name for name, _, _ in report.all_uses)
    found = [float(row["use"]) for row in rows]
    assert found == sorted(found, reverse=True)
    uses = {name: use for name, use, _ in report.all_uses}
    for row in rows:
        assert float(row["use"]) == pytest.approx(uses[row["piece"]], abs=6e-4)
        if row["kind"] == "member":
            assert row["mark"] == boat.marks[row["piece"]]


def numbers(line):
    plain = re.sub(r"mm[23]", "", line)
    return [float(n) for n in re.findall(r"-?\d+(?:\.\d+)?", plain)]


def test_the_working_of_the_worst_member_leads_to_its_use():
    boat, report = flat()
    text = working(report, boat)
    own = text[text.index("The worst member") : text.index("The worst bay")].splitlines()
    forces = numbers(next(line for line in own if line.startswith("  N = ")))
    n, _, _, _, my, mz = forces
    area, sy, sz = numbers(next(line for line in own if line.startswith("  A = ")))
    allowed = numbers(next(line for line in own if "here F" in line))[-1]
    straight = abs(n) / area + abs(my) / sy + abs(mz) / sz
    use = numbers(next(line for line in own if "(von Mises)" in line).split("=")[-1])[0]
    shear = numbers(next(line for line in own if line.startswith("  shear")).split("=")[-1])[0]
    assert use == pytest.approx(math.hypot(straight / allowed, shear * math.sqrt(3) / allowed), rel=0.01)
    worst = max(report.members, key=lambda m: m.use)
    assert worst.name in own[0]


def test_the_working_defers_to_codes_and_licensed_practice_and_fits_the_page():
    boat, report = flat()
    text = working(report, boat)
    assert "not approved engineering" in text
    assert "licensed practice" in text
    assert "Aluminum Design Manual" in text
    assert max(map(len, text.splitlines())) <= WIDTH + 60  # sources stand on lines of their own
    for deck in boat.layout.decks:
        assert f"- {deck}: " in text


def test_steps_of_colour_darken_and_red_is_kept_for_what_is_over_one():
    light = [colour.rgb @ [0.2126, 0.7152, 0.0722] for _, colour in STEPS]
    assert light == sorted(light, reverse=True)
    assert colour_of(1.0) is STEPS[3][1]
    assert colour_of(1.0001) is STEPS[4][1]
    assert colour_of(None) not in [colour for _, colour in STEPS]


def red_pixels(data):
    pixels = np.asarray(Image.open(io.BytesIO(data)).convert("RGB"), dtype=float)
    return int(((pixels[..., 0] > 1.8 * pixels[..., 1]) & (pixels[..., 0] > 1.8 * pixels[..., 2])).sum())


def test_what_is_over_one_is_red_in_the_picture():
    boat, report = heavy()
    assert report.findings
    fine = check_strength(boat, StrengthSettings(person=20.0))
    for name in ("frame-plan", "sheet-plan"):
        over = dict(use_pictures(report, boat, names=[name], width=700))[f"{name}.png"]
        under = dict(use_pictures(fine, boat, names=[name], width=700))[f"{name}.png"]
        assert red_pixels(over) > 5 * red_pixels(under)  # the legend has some in both


def test_all_files_are_written(tmp_path):
    boat, report = heavy()
    written = write_strength(report, boat, tmp_path, pictures=())
    assert sorted(path.name for path in written) == ["uses.csv", "working.txt"]
    assert all(path.stat().st_size > 100 for path in written)
    assert "use " in (tmp_path / "working.txt").read_text().split("Findings")[1]


def test_the_packet_has_a_page_of_it():
    boat, report = flat()
    pages = list(strength_pages(boat, report, papers_for(boat.units, None)))
    assert [page.section for page in pages] == ["Strength"]
    assert list(strength_pages(boat, None, papers_for(boat.units, None))) == []
