"""The checker catches each thing that can be wrong with a plan; a right plan passes."""

from __future__ import annotations

import pytest

from cutlists.nests.check import faults_of
from cutlists.nests.records import MaterialNest, NestPiece, NestPlan, Placement, SheetNest, Stock
from parts.outline import Loop
from tests.cutlists.nests.nest_samples import at, box, frame, offcut, piece

SHEET = Stock.sheet("1000 x 2000", 1000.0, 2000.0)
A, B = box("A.1", 400, 300, turns=(0, 180)), box("B.1", 200, 100)
RIGHT = [at(A, 210, 160), at(B, 515, 60)]


def plan(placements: list[Placement], stock: Stock = SHEET, sheet: str = "plate") -> NestPlan:
    nests = (SheetNest(stock, tuple(placements)),)
    return NestPlan((MaterialNest(sheet, nests, 0.0, "", False),), 5.0, 10.0, 1)


def faults(placements: list[Placement], pieces: list[NestPiece] | None = None, stock: Stock = SHEET) -> str:
    return "; ".join(faults_of(plan(placements, stock), [A, B] if pieces is None else pieces))


def test_a_right_plan_has_no_faults() -> None:
    assert not faults(RIGHT)


@pytest.mark.parametrize(
    ("placements", "said"),
    [
        ([RIGHT[0], at(B, 514, 60)], "4.0000 mm apart"),
        ([RIGHT[0], at(B, 400, 60)], "overlap"),
        ([RIGHT[0], at(B, 210, 160)], "overlap"),
        ([at(A, 209, 160), RIGHT[1]], "9.0000 mm from the edge"),
        ([at(A, 190, 160), RIGHT[1]], "leaves the sheet"),
        ([RIGHT[0], at(B, 3000, 60)], "leaves the sheet"),
        ([at(A, 210, 300, turn=90), RIGHT[1]], "A.1 may not be turned"),
        ([RIGHT[0], at(B, 515, 60, flipped=True)], "B.1 may not be flipped"),
        ([RIGHT[0]], "B.1 is laid 0 times"),
        ([*RIGHT, at(B, 1000, 500)], "B.1 is laid 2 times"),
        ([*RIGHT, at(box("C.1", 50, 50), 1000, 500)], "C.1 was not asked for"),
        ([RIGHT[0], at(box("B.1", 20, 10), 515, 60)], "not the piece asked for"),
    ],
)
def test_each_fault_is_told(placements: list[Placement], said: str) -> None:
    assert said in faults(placements)


def test_a_piece_may_lie_in_an_opening_and_keeps_the_spacing_there() -> None:
    host, guest = frame("F.1", 800, 600), box("G.1", 100, 100)
    assert not faults([at(host, 500, 500), at(guest, 500, 500)], [host, guest])
    assert "4.0000 mm apart" in faults([at(host, 500, 500), at(guest, 746, 500)], [host, guest])


def test_the_margin_holds_at_the_holes_of_an_offcut() -> None:
    with_hole = offcut("R", [(0, 0), (1000, 0), (1000, 500), (0, 500)], Loop.circle(200, (700, 250)))
    assert not faults([at(B, 480, 250)], [B], with_hole)
    assert "from the edge" in faults([at(B, 495, 250)], [B], with_hole)
    assert "leaves the sheet" in faults([at(B, 700, 250)], [B], with_hole)


def test_an_offcut_is_not_used_more_often_than_it_is_there() -> None:
    rest = offcut("R", [(0, 0), (500, 0), (500, 400), (0, 400)])
    nests = tuple(SheetNest(rest, (at(one, 250, 200),)) for one in (A, B))
    found = NestPlan((MaterialNest("plate", nests, 0.0, "", False),), 5.0, 10.0, 1)
    assert faults_of(found, [A, B]) == ["plate: offcut R is used 2 times"]


def test_arcs_are_measured_as_arcs() -> None:
    """Two discs whose tessellation to 0.05 mm would pass: the true gap is told."""
    one, two = piece("R.1", Loop.circle(300)), piece("R.2", Loop.circle(300))
    assert not faults([at(one, 200, 200), at(two, 505, 200)], [one, two])
    assert "4.99" in faults([at(one, 200, 200), at(two, 504.99, 200)], [one, two])


def test_the_wrong_material_is_told() -> None:
    assert any("is of plate" in said for said in faults_of(plan(RIGHT, sheet="other"), [A, B]))
