"""Boxes, foam, paint and glue as lists, drawings and goods."""

import csv
import itertools
import json

import ezdxf
import pytest
import shapely
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from cutlists.boxes.amounts import coating_amounts, tin_told
from cutlists.boxes.as_json import boxes_json
from cutlists.boxes.boards import board_for, board_plan
from cutlists.boxes.coverage import GALLON, QUART, USUAL, Coating, CoverageEntry, coatings_of
from cutlists.boxes.files import write_boxes
from cutlists.boxes.goods import box_goods
from cutlists.boxes.ice_words import ice_text
from cutlists.boxes.pages import box_pages
from cutlists.packet.paper import papers_for
from model.foam.check import check_foam
from model.foam.plan import foam_plan
from model.foam.settings import USUAL_BOARDS, FoamBoard
from model.insulation.check import check_boxes
from parts.faults import BadInput, FaultList, Place
from tests.model.boats import DECK, build

HOLE = {"aft": 1300, "length": 400, "starboard": -200, "port": 200, "lid": {"flange": 20}}


@pytest.fixture(scope="module")
def boat():
    locker = {"kind": "box", "under": "main.hole", "floor": 100, "insulation": 40}
    return build(
        decks={"main": {**DECK, "forward": 1900, "openings": {"hole": HOLE}}},
        lockers={"ice": locker},
        boxes={"ice": {"lid": 30, "ice": ["3 kg", "900 kg"]}},
        foam={"bilge": 20},
        mat={},
        finish={
            "paint": {"decks": {"on": ["deck.main"], "faces": "back", "primer": "primer"}},
            "adhesive": "contact",
        },
    )


@pytest.fixture(scope="module")
def folder(boat, tmp_path_factory):
    path = tmp_path_factory.mktemp("boxes")
    write_boxes(boat, USUAL, path)
    return path


def rows_of(path):
    with path.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def test_every_block_is_listed_with_its_size(boat, folder):
    plan = foam_plan(boat)
    rows = rows_of(folder / "foam" / "foam-blocks.csv")
    assert [row["block"] for row in rows] == [block.name for block in plan.blocks]
    assert sum(float(row["litres"]) for row in rows) == pytest.approx(
        plan.volume * 1e-6, abs=0.001 * len(rows)
    )
    decks = {boat.marks[panel.name] for panel in boat.panels if panel.role == "deck"}
    assert all(row["covered then by"] and set(row["covered then by"].split(", ")) <= decks for row in rows)
    assert sum(float(row["lifts kg"]) for row in rows) == pytest.approx(plan.lift, abs=0.01 * len(rows))


def test_boards_hold_every_piece_once_and_true(boat, folder):
    # what is cut, read back from the DXF files by ezdxf, against the blocks and the foam of the box
    boards = board_plan(boat)
    layers = sum(cut.layers * cut.piece.outline.area for cut in boards.box_cuts)
    wanted = sum(block.outline.area for block in foam_plan(boat).blocks) + layers
    cut = 0.0
    for path in (folder / "foam").glob("foam*.dxf"):
        cut += cut_area(path)
    assert cut == pytest.approx(wanted, rel=1e-4)
    for own in boards.box_cuts:
        assert cut_area(folder / "foam" / f"{own.mark}.dxf") == pytest.approx(
            own.piece.outline.area, rel=1e-6
        )


def cut_area(path):
    """Area of all that is cut in a DXF file, mm2."""
    lines = ezdxf.readfile(path).modelspace().query("LWPOLYLINE[layer=='CUT']")
    return sum(shapely.Polygon([(x, y) for x, y, *_ in line.get_points()]).area for line in lines)


def test_foam_of_the_box_names_board_and_note(folder):
    rows = {row["foam of"]: row for row in rows_of(folder / "foam" / "box-foam.csv")}
    assert set(rows) == {"floor", "aft", "forward", "port", "starboard", "lid"}
    assert rows["aft"]["cut from"] == "foam 1-1/2 in"  # 38 mm is what 40 leave behind the liner's 2 mm
    assert "swings free" in rows["lid"]["note"]


def test_ice_is_told_with_working_and_cautions(boat):
    text = "\n".join(ice_text(boat))
    assert "does not fit" in text  # 900 kg
    assert "kJ/kg" in text
    assert "estimate" in text
    assert "US qt" in text
    box = check_boxes(boat).boxes[0]
    assert f"{box.heat.days(3.0, box.asked.outside[0]):.1f} days" in text


def test_faces_are_listed_with_what_paints_them(boat, folder):
    rows = rows_of(folder / "coverings.csv")
    painted = [row for row in rows if row["painted by"] == "decks"]
    assert painted
    assert {row["face"] for row in painted} == {"back"}
    area = sum(float(row["left bare m2"]) for row in painted)
    assert area == pytest.approx(coating_amounts(boat).coats[0].area, abs=1e-3)


def test_litres_by_hand():
    # 12 m2, two coats, 10 m2 a litre, 15 % lost: 24 / 8.5
    assert Coating("topcoat", 10.0, 0.15).litres(12.0, 2) == pytest.approx(24.0 / 8.5)
    assert Coating("glue", 4.0, 0.0, sides=2).litres(2.0) == pytest.approx(1.0)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.sampled_from([0.25, 0.5, 0.9463529, 1.0, 2.5, 3.7854118]), min_size=1, max_size=3),
    st.floats(0.01, 9),
)
def test_tins_hold_enough_with_the_least_left_over(sizes, litres):
    found = Coating("any", 1.0, 0.0, tuple(sizes)).tins_for(litres)
    held = sum(size * count for size, count in found)
    assert held >= litres - 1e-6
    every = sorted(set(sizes))
    counts = [range(int(litres / size) + 2) for size in every]
    sums = [sum(s * n for s, n in zip(every, own, strict=True)) for own in itertools.product(*counts)]
    assert held == pytest.approx(min(total for total in sums if total >= litres - 1e-9))


def test_coverage_is_read_in_both_ways():
    faults = FaultList()

    def place(keys):
        return Place("shop.yaml", None, ".".join(("coverage", *keys)))

    entries = {
        "a": CoverageEntry(covers="400 ft2/gal", tins=["1 gal", 2.5]),
        "b": CoverageEntry(covers=12),
        "c": CoverageEntry(covers="thick"),
        "d": CoverageEntry(covers=900, tins=["many"]),
    }
    found = coatings_of(entries, place, faults)
    # 400 square feet of 0.09290304 m2 by a gallon of 3.785411784 litres
    assert found["a"].covers == pytest.approx(400 * 0.09290304 / 3.785411784)
    assert found["a"].tins == (GALLON, 2.5)
    assert found["b"].covers == 12.0
    assert found["primer"] == USUAL["primer"]
    with pytest.raises(BadInput) as error:
        faults.raise_if_any()
    assert [fault.place.key for fault in error.value.faults] == [
        "coverage.c.covers",
        "coverage.d.covers",
        "coverage.d.tins",
    ]
    assert (tin_told(QUART, "in"), tin_told(GALLON, "in"), tin_told(2.5, "in")) == ("1 qt", "1 gal", "2.5 L")
    assert tin_told(QUART, "mm") == "0.946 L"


def test_goods_are_boards_and_tins(boat):
    lines = box_goods(boat, USUAL, {"foam 2 in": 40.0, "primer 0.946 L": 18.0})
    boards = board_plan(boat)
    assert {line.name: line.need for line in lines if line.material == "foam"} == boards.counts()
    priced = next(line for line in lines if line.name == "foam 2 in")
    assert priced.cost == pytest.approx(40.0 * priced.need)
    paint = {line.name for line in lines if line.material == "paint"}
    assert paint == {"primer", "topcoat", "contact"}
    for name in boards.counts():
        board = boards.boards[name]
        assert boards.used(name) <= boards.counts()[name] * board.width * board.length


def test_a_paint_that_the_shop_does_not_know_is_told(boat):
    with pytest.raises(BadInput, match="the shop knows no paint or glue 'contact'"):
        coating_amounts(boat, {name: own for name, own in USUAL.items() if name != "contact"})


def test_boards_make_up_any_thickness():
    inch = 25.4
    three = (*USUAL_BOARDS, FoamBoard("foam 3 in", 3 * inch, 1000.0, 1000.0))
    for thickness, name, layers in (
        (24.0, "foam 1 in", 1),
        (51.0, "foam 2 in", 1),
        (74.0, "foam 3 in", 1),
        (101.0, "foam 2 in", 2),
    ):
        board, count = board_for(thickness, three)
        assert (board.name, count) == (name, layers)


def test_json_tells_all(boat):
    told = json.loads(boxes_json(check_boxes(boat).boxes, check_foam(boat), coating_amounts(boat)))
    assert told["boxes"][0]["days"][0]["ice_kg"] == 3.0
    assert len(told["foam"]["blocks"]) == len(foam_plan(boat).blocks)
    assert {coat["use"] for coat in told["coverings"]["coats"]} == {"primer", "paint", "adhesive"}


def test_pages_and_pictures_show_every_block(boat, folder):
    titles = [page.title for page in box_pages(boat, USUAL, papers_for("mm", None))]
    assert any(title.startswith("Where each block goes") for title in titles)
    assert any("Ice in locker.ice" in title for title in titles)
    drawn = "".join(path.read_text(encoding="utf-8") for path in (folder / "foam").glob("foam-main-*.svg"))
    for block in foam_plan(boat).blocks:
        assert f'data-name="{block.name}"' in drawn


def test_blocks_can_be_looked_at_in_the_frame(boat, folder):
    # read back by trimesh: metres, one node a block, each the volume of its block
    scene = trimesh.load(folder / "foam" / "foam.glb")
    for block in foam_plan(boat).blocks:
        _, name = scene.graph[block.name]
        assert scene.geometry[name].volume == pytest.approx(block.volume * 1e-9, rel=1e-3)
    told = json.loads((folder / "boxes.json").read_text(encoding="utf-8"))
    assert told["foam"]["litres"] == pytest.approx(foam_plan(boat).volume * 1e-6, abs=1e-3)


def test_a_boat_that_asks_for_nothing_writes_nothing(tmp_path):
    plain = build(decks={"main": DECK})
    write_boxes(plain, USUAL, tmp_path)
    assert list(tmp_path.iterdir()) == []
    assert box_goods(plain, USUAL, {}) == ()
