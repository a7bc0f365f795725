"""The owner's folder: one PDF that tells what is where, how she is wired and plumbed, and how to keep her."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from cutlists.afloat.leaf import Leaf as Told
from cutlists.drawing.drawing import Drawing
from cutlists.drawing.onto import Onto
from cutlists.drawing.strokes import draw_seen
from cutlists.handover.care import OWNER_CAUTIONS, care_of
from cutlists.handover.map_drawing import map_svg
from cutlists.handover.naming import called
from cutlists.handover.things import Located, Thing, lid_rows, things_of
from cutlists.packet.afloat_pages import afloat_pages
from cutlists.packet.cover import draw_cover
from cutlists.packet.grid import Cell, grid_pages
from cutlists.packet.leaf import Column, Leaf
from cutlists.packet.page import Page, Stamp, table_pages, words_height, write_pages
from cutlists.packet.paper import PaperSet, papers_for
from cutlists.packet.stacked import stacked_pages
from cutlists.view_camera import PLAN, PROFILE, View
from cutlists.well_list import well_rows
from model.boatfile.handover_schema import HandoverEntry
from model.hull import Hull
from model.insulation.check import check_boxes
from parts.lengths import format_length

if TYPE_CHECKING:
    from cutlists.scene import Scene
    from model.boat import Boat
    from model.capacity.float_report import FloatReport

NAME = "handover.pdf"
Tell = Callable[[str], None]
COVER, PLACES, LIDS, CARE, PICTURES = "Cover", "Where things are", "Lids, wells and boxes", "Care", "Pictures"
BOW = View.looking("bow", "From the port bow", eye=(0.75, 0.9, 0.75))
THING_COLUMNS = (
    Column("no", 9.0, "right"),
    Column("thing", 30.0),
    Column("what it is", 36.0),
    Column("where", 47.0),
    Column("how to get at it", 38.0),
    Column("part number", 26.0),
)
WIDTHS = {"Lids": (44.0, 74.0, 40.0, 28.0), "Wells and boxes": (60.0, 30.0, 48.0, 48.0)}
"""Of the columns of tables, mm."""


@dataclass(frozen=True, eq=False)
class HandedOver:
    """What the folder shows besides the boat itself.

    Attributes:
        scene: of the boat.
        afloat: how she floats, where that was worked out.
        part_numbers: as the shop entered them.
        others: things aboard that are no fixtures.
        systems: pages of her wires and hoses, made for the paper that they are given.
        revision: its name.
        date: of the build.
        paper: `letter` or `A4`; by the boat's units where it is None.
    """

    scene: Scene
    afloat: FloatReport | None = None
    part_numbers: Mapping[str, str] = field(default_factory=dict)
    others: Sequence[Located] = ()
    systems: Callable[[PaperSet], Sequence[Page]] = lambda _: ()
    revision: str = "1"
    date: str = ""
    paper: str | None = None


def write_handover(boat: Boat, folder: Path, given: HandedOver, tell: Tell = lambda _: None) -> Path:
    """Write `handover.pdf` into an existing folder.

    Raises:
        OSError: the file cannot be written.
    """
    papers = papers_for(boat.units, given.paper)
    told = told_of(boat)
    others = list(handover_pages(boat, given, told, papers))
    pages = [_cover(boat, given, told, others, papers), *others]
    stamp = Stamp(boat.title, given.revision, given.date, "For the owner", "keep aboard")
    path = folder / NAME
    write_pages(
        path, pages, stamp, lambda words: tell(f"writing the owner's folder, {words}"), "owner's folder"
    )
    return path


def told_of(boat: Boat) -> HandoverEntry:
    """What the boat file says for the folder."""
    return HandoverEntry.model_validate(boat.document.data.get("handover") or {})


def handover_pages(boat: Boat, given: HandedOver, told: HandoverEntry, papers: PaperSet) -> Iterator[Page]:
    """All pages after the cover."""
    things = things_of(boat, given.part_numbers, given.others)
    if things:
        yield from _places(boat, things, papers)
    yield from _lids(boat, given, papers)
    yield from given.systems(papers)
    yield from afloat_pages(boat, given.afloat, papers, working=False)
    yield from _care(boat, told, papers)
    yield from _pictures(given.scene, papers)


def _cover(
    boat: Boat, given: HandedOver, told: HandoverEntry, others: Sequence[Page], papers: PaperSet
) -> Page:
    paper = papers.lists
    facts = list(_facts(boat, given, told))

    def draw(leaf: Leaf) -> None:
        draw_cover(leaf, given.scene, ("The boat", facts), others, ("Before you go out", OWNER_CAUTIONS, 8.5))

    return Page(COVER, boat.title, paper, draw)


def _facts(boat: Boat, given: HandedOver, told: HandoverEntry) -> Iterator[tuple[str, str]]:
    if told.owner:
        yield "for", told.owner
    if told.builder:
        yield "built by", told.builder
    if told.hull_number:
        yield "hull number", told.hull_number
    yield "handed over", given.date or "not dated"
    yield "hull, inside", format_length(boat.hull.length, boat.units)
    yield "beam, inside", format_length(_beam(boat.hull), boat.units)
    decks = [deck for name, deck in boat.layout.decks.items() if name.startswith("deck.")]
    yield "decks", f"{len(decks)}, with {sum(fixture.kind == 'lid' for fixture in boat.fixtures)} lids in all"


def _beam(hull: Hull) -> float:
    """Greatest breadth between the gunwales, mm."""
    low, high = hull.span
    x = np.linspace(low, high, 60)
    port, starboard = (hull.line(hull.lines[-1], x, side)[:, 1] for side in ("port", "starboard"))
    return float(np.abs(port - starboard).max())


def _places(boat: Boat, things: Sequence[Thing], papers: PaperSet) -> Iterator[Page]:
    paper = papers.lists
    room = paper.room

    def draw(leaf: Leaf) -> None:
        leaf.drawing(map_svg(boat, things, (room[2], room[3])), room, true_size=True)

    yield Page(PLACES, "Where things are", paper, draw)
    rows = [
        (str(thing.number), thing.name, thing.what, thing.where, thing.reach, thing.order) for thing in things
    ]
    note = "Measured along the boat from the inside of the transom. Part numbers as the builder entered them."
    yield from table_pages(PLACES, "Where things are, by number", paper, THING_COLUMNS, rows, (note,))


def _lids(boat: Boat, given: HandedOver, papers: PaperSet) -> Iterator[Page]:
    tables = []
    lids = tuple(lid_rows(boat, given.part_numbers))
    if lids:
        note = (
            "Length fore and aft by width. To replace one, measure the cut-out in the boat: she is right, "
            "not this list."
        )
        tables.append(Told("Lids", ("lid", "size", "opens", "part, or its number"), lids, (note,)))
    head, *wells = well_rows(boat)
    at = {str(name): k for k, name in enumerate(head)}
    if wells:
        rows = tuple(
            (
                called(str(row[at["name"]])),
                str(row[at["kind"]]),
                _holds(row, at, "overflow"),
                _holds(row, at, "rim"),
            )
            for row in wells
        )
        ice = tuple(f"{_sentence(line)}." for line in check_boxes(boat).summary())
        tables.append(Told("Wells and boxes", ("name", "kind", "to its overflow", "to its rim"), rows, ice))
    yield from stacked_pages(LIDS, papers.lists, tables, WIDTHS)


def _sentence(line: str) -> str:
    """A line about a box, which begins with its name in the boat, as the owner would say it."""
    name, _, rest = line.partition(" ")
    said = called(name)
    return f"The {said} {rest}" if said.endswith("box") else f"The {said} box {rest}"


def _holds(row: Sequence[str | float], at: Mapping[str, int], to: str) -> str:
    litres, gallons = row[at[f"litres to {to}"]], row[at[f"US gal to {to}"]]
    return "" if litres == "" else f"{float(litres):.1f} L, {float(gallons):.1f} US gal"


def _care(boat: Boat, told: HandoverEntry, papers: PaperSet) -> Iterator[Page]:
    """Paragraphs, over as many pages as they take."""
    paper = papers.lists
    left, top, wide, high = paper.room
    parts = [*care_of(boat), *(("from the builder", note) for note in told.notes)]
    pages: list[list[tuple[str, str]]] = [[]]
    used = 0.0
    for name, words in parts:
        tall = 5.0 + words_height(words, wide - 44.0, 9.0)
        if used + tall > high and pages[-1]:
            pages.append([])
            used = 0.0
        pages[-1].append((name, words))
        used += tall
    for number, own in enumerate(pages, 1):

        def draw(leaf: Leaf, own: Sequence[tuple[str, str]] = tuple(own)) -> None:
            y = top
            for name, words in own:
                low = leaf.paragraph(left, y, 40.0, name, 9.0, bold=True)
                y = max(leaf.paragraph(left + 44.0, y, wide - 44.0, words, 9.0), low) + 5.0

        title = "Care" if len(pages) == 1 else f"Care ({number} of {len(pages)})"
        yield Page(CARE, title, paper, draw)


def _pictures(scene: Scene, papers: PaperSet) -> Iterator[Page]:
    def cell(view: View) -> Cell:
        return Cell(lambda wide, high: _view_svg(scene, view, (wide, high)))

    cells = [cell(view) for view in (BOW, PLAN, PROFILE)]
    yield from grid_pages(PICTURES, "Pictures", papers.lists, cells, 1, 3)


def _view_svg(scene: Scene, view: View, size: tuple[float, float]) -> str:
    """The finished boat from one side, in lines, as large as its place allows."""
    drawing = Drawing(*size, title=view.title)
    seen = scene.points @ view.axes[:2].T
    low, high = seen.min(axis=0), seen.max(axis=0)
    fit = max((high - low) / (size[0] - 8.0, size[1] - 10.0))
    foot = np.array([(size[0] - (high - low)[0] / fit) / 2, (size[1] + 6.0 + (high - low)[1] / fit) / 2])
    draw_seen(drawing, scene, view, Onto(low, foot, float(fit)))
    drawing.text(4.0, 4.0, view.title, 2.8)
    return drawing.svg()
