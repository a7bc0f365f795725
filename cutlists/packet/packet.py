"""The shop packet: every page in the order in which the shop needs it, as one PDF."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from cutlists.boxes.coverage import USUAL, Coating
from cutlists.boxes.pages import box_pages
from cutlists.packet.afloat_pages import afloat_pages
from cutlists.packet.arrangement import arrangement_pages
from cutlists.packet.cover import cover_page
from cutlists.packet.electrics_pages import electrics_pages
from cutlists.packet.frame_pages import frame_pages
from cutlists.packet.hose_pages import hose_pages
from cutlists.packet.lid_pages import lid_pages
from cutlists.packet.list_pages import buy_pages, finding_pages, weight_pages, weld_pages
from cutlists.packet.page import Page, Stamp, write_pages
from cutlists.packet.paper import PaperSet, papers_for
from cutlists.packet.saw_pages import saw_pages, stick_pages
from cutlists.packet.sheet_pages import bevel_pages, mat_pages, nest_pages, sheet_pages
from cutlists.packet.strength_pages import strength_pages
from cutlists.packet.work_pages import work_pages
from cutlists.welds import WeldRates

if TYPE_CHECKING:
    from cutlists.plans import Plans
    from cutlists.saw_list import SawList
    from cutlists.scene import Scene
    from cutlists.work.standing import Standing
    from model.boat import Boat
    from model.capacity.float_report import FloatReport
    from model.electrics.report import ElectricsReport
    from model.findings import Finding
    from model.hoses.check import HoseReport
    from model.strength.check import StrengthReport

Tell = Callable[[str], None]
NAME = "packet.pdf"
UNIT_WORDS = {
    "in": "inches",
    "ft": "feet and inches",
    "mm": "millimetres",
    "cm": "centimetres",
    "m": "metres",
}


@dataclass(frozen=True, eq=False)
class Told:
    """What the packet shows of a build besides the boat itself.

    Attributes:
        saw: the saw list.
        plans: sticks, nests, mat, buy list.
        scene: of the boat.
        findings: of all checks.
        looked_at: by the checks.
        accepted: pairs let off by name, each with why.
        revision: its name.
        date: of the build, such as 2026-11-25.
        changed: piece marks that the last revision did not have.
        paper: `letter` or `A4`; by the boat's units where it is None.
        welding: rates of welding.
        coatings: paint and glue that the shop knows.
        afloat: how she floats, where that was worked out.
        strength: what her decks carry, where that was worked out.
        work: how the work on her stands, where that was planned.
        wiring: her wires, where they were looked at.
        plumbing: her hoses, likewise.
    """

    saw: SawList
    plans: Plans
    scene: Scene
    findings: Sequence[Finding] = ()
    looked_at: Sequence[str] = ()
    accepted: Sequence[tuple[str, str, str]] = ()
    revision: str = "1"
    date: str = ""
    changed: frozenset[str] = frozenset()
    paper: str | None = None
    welding: WeldRates = field(default_factory=WeldRates)
    coatings: Mapping[str, Coating] = field(default_factory=lambda: dict(USUAL))
    afloat: FloatReport | None = None
    strength: StrengthReport | None = None
    wiring: ElectricsReport | None = None
    plumbing: HoseReport | None = None
    work: Standing | None = None


def write_packet(boat: Boat, folder: Path, told: Told, tell: Tell = lambda _: None) -> Path:
    """Write `packet.pdf` into the folder of a build whose plans and pictures are written already.

    Raises:
        OSError: the file cannot be written.
    """
    papers = papers_for(boat.units, told.paper)
    tell("laying out the packet")
    others = packet_pages(boat, folder, told, papers)
    pages = [cover_page(boat, told.scene, told.plans, others, papers), *others]
    denominator = told.saw.shop.denominator
    stamp = Stamp(
        boat.title,
        told.revision,
        told.date,
        UNIT_WORDS[boat.units],
        f"marked to 1/{denominator} in" if boat.units in ("in", "ft") else "marked to 0.1 mm",
    )
    path = folder / NAME
    write_pages(path, pages, stamp, lambda words: tell(f"writing the packet, {words}"))
    return path


def packet_pages(boat: Boat, folder: Path, told: Told, papers: PaperSet) -> list[Page]:
    """All pages after the cover."""
    denominator, changed = told.saw.shop.denominator, told.changed
    return [
        *arrangement_pages(boat, told.scene, papers.drawings),
        *work_pages(told.work, papers),
        *frame_pages(boat, told.scene, told.saw, papers.drawings, changed),
        *weld_pages(boat, told.welding, papers),
        *saw_pages(told.saw, papers, changed),
        *stick_pages(folder, papers),
        *sheet_pages(boat, papers, denominator, changed),
        *bevel_pages(boat, papers),
        *nest_pages(folder, papers),
        *mat_pages(folder, papers),
        *box_pages(boat, told.coatings, papers),
        *lid_pages(boat, papers, denominator),
        *buy_pages(told.plans.buy, papers),
        *weight_pages(boat, papers),
        *afloat_pages(boat, told.afloat, papers),
        *strength_pages(boat, told.strength, papers),
        *electrics_pages(boat, told.wiring, papers),
        *hose_pages(boat, told.plumbing, papers),
        *finding_pages(told.findings, told.looked_at, papers, told.accepted),
    ]
