"""Pages of the packet: insulated boxes, foam blocks with where each goes, paint and glue."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from cutlists.boxes import covering_words, foam_words, ice_words
from cutlists.boxes.amounts import coating_amounts
from cutlists.boxes.boards import board_plan
from cutlists.boxes.coverage import Coating
from cutlists.boxes.foam_picture import layer_pictures
from cutlists.packet.grid import Cell, grid_pages
from cutlists.packet.leaf import Column
from cutlists.packet.page import Page, table_pages
from cutlists.packet.paper import PaperSet
from model.foam.check import check_foam
from model.insulation.plan import BoxPlan, box_plans

if TYPE_CHECKING:
    from model.boat import Boat

SECTION = "Boxes and foam"
PAINT = "Paint and glue"
FACE_COLUMNS = tuple(
    Column(head, 20.0, "left" if k == 0 else "right") for k, head in enumerate(ice_words.FACE_HEAD)
)
PIECE_COLUMNS = (
    Column("mark", 14.0), Column("foam of", 24.0), Column("length", 24.0, "right"),
    Column("height", 24.0, "right"), Column("thick", 24.0, "right"), Column("cut from", 30.0),
    Column("", 46.0),
)  # fmt: skip
MARK_COLUMNS = (
    Column("mark", 14.0), Column("no", 10.0, "right"), Column("board", 26.0), Column("over all", 46.0),
    Column("goes, in the order of laying", 90.0),
)  # fmt: skip


def box_pages(boat: Boat, coatings: Mapping[str, Coating], papers: PaperSet) -> Iterator[Page]:
    """What the boat file asks of these; nothing where it asks of none."""
    for box in box_plans(boat):
        yield from _ice(boat, box, papers)
    yield from _foam(boat, papers)
    yield from _paint(boat, coatings, papers)


def _ice(boat: Boat, box: BoxPlan, papers: PaperSet) -> Iterator[Page]:
    head, days = ice_words.day_rows(box, boat.units)
    notes = (f"{box.name} {ice_words.holds_line(box, boat.units)}.", *ice_words.CAUTIONS)
    columns = [Column(text, 38.0) for text in head]
    yield from table_pages(SECTION, f"Ice in {box.name}: days it keeps", papers.lists, columns, days, notes)
    work = ice_words.working(box, boat.units)
    rows = ice_words.face_rows(box, boat.units)
    yield from table_pages(SECTION, f"Walls of {box.name}", papers.lists, FACE_COLUMNS, rows, work)
    heat = ice_words.heat_rows(box)
    sums = (Column("heat into the box", 150.0), Column("W/K", 24.0, "right"))
    yield from table_pages(SECTION, f"Heat into {box.name}", papers.lists, sums, heat)
    cut = ice_words.piece_rows(box, board_plan(boat).box_cuts, boat.units)
    yield from table_pages(SECTION, f"Foam to cut for {box.name}", papers.lists, PIECE_COLUMNS, cut)


def _foam(boat: Boat, papers: PaperSet) -> Iterator[Page]:
    report = check_foam(boat)
    plan = report.plan
    if plan is None:
        return
    notes = (*(f"{line}." for line in foam_words.sum_lines(report)), *foam_words.CAUTIONS)
    columns = [Column(text, 34.0 if k == 0 else 24.0) for k, text in enumerate(foam_words.DECK_HEAD)]
    rows = foam_words.deck_rows(plan, boat.units)
    yield from table_pages(SECTION, "Foam under the decks", papers.lists, columns, rows, notes)
    marks = foam_words.mark_rows(plan, boat.units)
    yield from table_pages(SECTION, "Foam blocks", papers.lists, MARK_COLUMNS, marks)
    cells = [Cell(picture.svg) for picture in layer_pictures(boat, plan)]
    yield from grid_pages(SECTION, "Where each block goes", papers.drawings, cells, 2, 2)


def _paint(boat: Boat, coatings: Mapping[str, Coating], papers: PaperSet) -> Iterator[Page]:
    if boat.finish is None:
        return
    amounts = coating_amounts(boat, coatings)
    units = boat.units
    columns = [Column(text, 40.0 if text == "area" else 27.0) for text in covering_words.COAT_HEAD]
    lines = (*covering_words.coverage_lines(amounts, units), *covering_words.CAUTIONS)
    rows = covering_words.coat_rows(amounts, units)
    yield from table_pages(PAINT, "Paint and glue: where", papers.lists, columns, rows, lines)
    tins = [Column("of", 40.0), Column("litres", 30.0, "right"), Column("tins", 90.0)]
    yield from table_pages(
        PAINT, "Paint and glue: tins", papers.lists, tins, covering_words.tin_rows(amounts, units)
    )
