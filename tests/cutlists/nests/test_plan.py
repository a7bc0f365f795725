"""Plans held by the checker, by exact answers of easy cases and by enumeration."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
import shapely

from cutlists.nests.check import faults_of
from cutlists.nests.plan import plan_nests
from cutlists.nests.records import MaterialNest, NestPiece, NestPlan, Stock
from cutlists.nests.settings import NestSettings
from parts.faults import BadInput
from parts.outline import Loop
from tests.cutlists.nests.nest_samples import QUICK, box, deck_like, frame, offcut, piece


def planned(pieces: list[NestPiece], stock: list[Stock], settings: NestSettings = QUICK) -> MaterialNest:
    plan = plan_nests(pieces, {"plate": stock}, settings)
    assert faults_of(plan, pieces) == []
    (material,) = plan.materials
    assert material.bound <= material.cost * (1 + 1e-9)
    return material


def layout(plan: NestPlan) -> list[tuple[object, ...]]:
    return [
        (nest.stock.label, p.piece.name, p.turn, p.flipped, p.x, p.y)
        for material in plan.materials
        for nest in material.sheets
        for p in nest.placements
    ]


def test_four_pieces_that_fill_a_sheet_to_the_last() -> None:
    """2 x 2 rectangles with the spacing between and the margin round them: exactly one sheet."""
    pieces = [box(f"A.{k}", 487.5, 237.5) for k in range(4)]
    material = planned(pieces, [Stock.sheet("s", 500.0, 1000.0)])
    assert len(material.sheets) == 1
    assert material.is_least


def test_a_piece_as_large_as_the_sheet_needs_no_room_about_it() -> None:
    settings = replace(QUICK, margin=0.0)
    assert len(planned([box("A.1", 1000, 500)], [Stock.sheet("s", 500.0, 1000.0)], settings).sheets) == 1


def test_small_pieces_go_into_the_opening_of_a_large_one() -> None:
    """A frame 1000 with an opening of 800 and four squares of 390 on a sheet that holds the frame alone."""
    pieces = [frame("F.1", 1000, 800), *(box(f"S.{k}", 390, 390) for k in range(4))]
    material = planned(pieces, [Stock.sheet("s", 1020.0, 1020.0)])
    assert len(material.sheets) == 1
    assert material.sheets[0].used == pytest.approx((1000**2 - 800**2 + 4 * 390**2) / 1020**2)


def test_openings_in_openings() -> None:
    pieces = [frame("A.1", 900, 700), frame("B.1", 680, 500), box("C.1", 480, 480)]
    assert len(planned(pieces, [Stock.sheet("s", 920.0, 920.0)]).sheets) == 1


@pytest.mark.parametrize("count", [3, 5, 9, 13])
def test_the_cheapest_sheets_are_found(count: int) -> None:
    """Squares of which sheets hold 4, 6 or 8: least cost by enumeration over numbers of sheets."""
    holds, prices = (4, 6, 8), (10.0, 16.0, 18.5)
    stock = [
        Stock.sheet(f"{n}", 1000.0, 500.0 * n / 2 + 10.0, price)
        for n, price in zip(holds, prices, strict=True)
    ]
    pieces = [box(f"S.{k}", 485, 485) for k in range(count)]
    most = math.ceil(count / 4) + 1
    least = min(
        np.dot(numbers, prices)
        for numbers in itertools.product(range(most), repeat=3)
        if np.dot(numbers, holds) >= count
    )
    assert planned(pieces, stock).cost == pytest.approx(least)


def test_without_prices_the_least_area_is_bought() -> None:
    stock = [Stock.sheet("small", 500.0, 1000.0), Stock.sheet("large", 1000.0, 2000.0)]
    material = planned([box(f"A.{k}", 470, 470) for k in range(3)], stock)
    assert [nest.stock.label for nest in material.sheets] == ["small", "small"]
    assert material.cost == pytest.approx(1.0)
    assert not material.priced


def test_offcuts_come_first_and_are_used_as_often_as_they_are_there() -> None:
    stock = [
        Stock.sheet("new", 1000.0, 1000.0, 50.0),
        offcut("rest", [(0, 0), (330, 0), (330, 330), (0, 330)], quantity=2),
    ]
    material = planned([box(f"S.{k}", 300, 300) for k in range(3)], stock)
    assert sorted(nest.stock.label for nest in material.sheets) == ["new", "rest", "rest"]
    assert planned([box(f"S.{k}", 300, 300) for k in range(2)], stock).cost == 0


def test_an_offcut_of_any_outline_is_used_to_its_corners() -> None:
    """An L of two arms 300 wide takes two boxes of 600 x 280 that no rectangle inside it would hold."""
    ell = offcut("L", [(0, 0), (1000, 0), (1000, 300), (300, 300), (300, 1000), (0, 1000)])
    material = planned(
        [box("A.1", 600, 280), box("A.2", 600, 280)], [Stock.sheet("new", 700.0, 700.0, 9.0), ell]
    )
    assert [nest.stock.label for nest in material.sheets] == ["L"]


def test_a_slanted_offcut_takes_a_slanted_piece() -> None:
    wedge = offcut("wedge", [(0, 0), (900, 0), (0, 700)])
    shape = shapely.Polygon([(0, 0), (900, 0), (0, 700)]).buffer(-10.5, join_style="mitre")
    gusset = piece("G.1", list(shape.exterior.coords)[:-1], turns=(0,))
    material = planned([gusset], [Stock.sheet("new", 700.0, 900.0, 9.0), wedge])
    assert [nest.stock.label for nest in material.sheets] == ["wedge"]


def test_holes_of_an_offcut_are_kept_clear() -> None:
    holed = offcut("holed", [(0, 0), (1000, 0), (1000, 400), (0, 400)], Loop.circle(150, (500, 200)))
    pieces = [box(f"A.{k}", 400, 370) for k in range(2)]
    assert planned(pieces, [Stock.sheet("new", 500.0, 500.0, 9.0), holed]).cost == 0


def test_grain_holds_pieces_along_the_sheet() -> None:
    """Three planks that fit one sheet crosswise only: with grain they take three."""
    stock = [Stock.sheet("s", 500.0, 1000.0)]
    free = [box(f"A.{k}", 470, 300) for k in range(3)]
    held = [box(f"A.{k}", 470, 300, turns=(0, 180)) for k in range(3)]
    assert len(planned(free, stock).sheets) == 1
    material = planned(held, stock)
    assert len(material.sheets) == 2
    assert {p.turn for nest in material.sheets for p in nest.placements} <= {0, 180}


def test_a_flip_is_used_where_it_is_allowed() -> None:
    """A right triangle of the other hand than the offcut it is to come from."""
    mould = offcut("mould", [(0, 0), (600, 0), (600, 400)])
    shape = shapely.Polygon([(0, 0), (600, 0), (600, 400)]).buffer(-11, join_style="mitre")
    mirrored = [(-x, y) for x, y in list(shape.exterior.coords)[:-1]]
    stock = [Stock.sheet("new", 500.0, 700.0, 9.0), mould]
    flipped = planned([piece("T.1", mirrored, may_flip=True)], stock)
    assert [nest.stock.label for nest in flipped.sheets] == ["mould"]
    assert flipped.sheets[0].placements[0].flipped
    assert planned([piece("T.1", mirrored)], stock).cost == 9.0


@pytest.mark.parametrize("seed", range(3))
def test_any_pieces_lie_right(seed: int) -> None:
    rng = np.random.default_rng(seed)
    pieces = deck_like(rng, 11)
    ell = offcut("L", [(0, 0), (900, 0), (900, 300), (400, 300), (400, 800), (0, 800)])
    stock = [Stock.sheet("a", 900.0, 1500.0), Stock.sheet("b", 1000.0, 2000.0), ell]
    spacing, margin = float(rng.uniform(0.5, 12)), float(rng.uniform(0, 20))
    material = planned(pieces, stock, replace(QUICK, spacing=spacing, margin=margin, seed=seed))
    for nest in material.sheets:
        if nest.rest is not None:
            rest = shapely.box(*nest.rest)
            assert nest.stock.polygon.buffer(1e-3).covers(rest)
            assert all(rest.distance(p.polygon()) >= spacing - 0.06 for p in nest.placements)


def test_one_seed_gives_one_plan_and_the_clock_is_told() -> None:
    pieces = deck_like(np.random.default_rng(8), 8)
    stock = {"plate": [Stock.sheet("a", 900.0, 1500.0), Stock.sheet("b", 700.0, 1200.0)]}
    one, two = (plan_nests(pieces, stock, replace(QUICK, effort=1.6)) for _ in range(2))
    assert layout(one) == layout(two)
    assert not one.cut_short
    hasty = plan_nests(pieces, stock, replace(QUICK, seconds=0.001))
    assert hasty.cut_short
    assert faults_of(hasty, pieces) == []


def test_pieces_of_each_material_lie_on_their_own_sheets() -> None:
    thin, thick = box("A.1", 300, 300), replace(box("B.1", 300, 300), sheet="thick")
    told: list[str] = []
    stock = {"plate": [Stock.sheet("s", 500.0, 500.0)], "thick": [Stock.sheet("t", 500.0, 500.0)]}
    plan = plan_nests([thin, thick], stock, QUICK, told.append)
    assert [material.sheet for material in plan.materials] == ["plate", "thick"]
    assert faults_of(plan, [thin, thick]) == []
    assert told[0] == "plate: 1 sheet holds everything"


def test_a_piece_larger_than_any_sheet_is_refused_with_the_excess_and_the_cure() -> None:
    stock = [Stock.sheet("1000 x 2000 mm", 1000.0, 2000.0), Stock.sheet("500 x 500 mm", 500.0, 500.0)]
    pieces = [box("S1.1", 2300, 700), box("S2.1", 1500, 1200), box("S3.1", 100, 100)]
    with pytest.raises(BadInput) as caught:
        plan_nests(pieces, {"plate": stock}, QUICK)
    one, two = (str(fault) for fault in caught.value.faults)
    assert "S1 S1.1 is larger than any sheet of plate: 2300.0 mm x 700.0 mm is 320.0 mm too long" in one
    assert "for 1000 x 2000 mm within its margin of 10.0 mm; one seam across it would make 2 parts" in one
    assert "1150.0 mm" in one
    assert "220.0 mm too wide" in two
    assert "600.0 mm" in two


def test_pieces_that_fit_full_offcuts_only_are_refused() -> None:
    stock = [Stock.sheet("s", 200.0, 200.0), offcut("R", [(0, 0), (520, 0), (520, 520), (0, 520)])]
    with pytest.raises(BadInput, match="the offcuts are full"):
        plan_nests([box("A.1", 480, 480), box("A.2", 480, 480)], {"plate": stock}, QUICK)


def test_nothing_to_cut_is_an_empty_plan() -> None:
    assert plan_nests([], {}, QUICK).materials == ()
