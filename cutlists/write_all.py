"""Writes everything the shop cuts from into one folder."""

from __future__ import annotations

import csv
import shutil
from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from cutlists.afloat.sheet_files import write_afloat
from cutlists.bevel_cards import bevel_cards, bevel_csv
from cutlists.boat_json import boat_json
from cutlists.boxes.files import write_boxes
from cutlists.electrics.files import write_electrics
from cutlists.findings.findings_json import findings_json
from cutlists.findings.pictures import write_pictures
from cutlists.handover.files import write_owner_folder
from cutlists.hoses.files import write_plumbing
from cutlists.lid_orders import lid_orders
from cutlists.mesh_files import glb_bytes, stl_bytes
from cutlists.notices import read_first, survey_check
from cutlists.outline_dxf import write_outlines
from cutlists.outline_svg import write_outline_pictures
from cutlists.packet.packet import Told, write_packet
from cutlists.panel_list import panel_rows, write_panel_csv, write_panel_workbook
from cutlists.pictures import picture_files
from cutlists.piece_drawing import write_piece_drawings
from cutlists.plans import Plans, make_plans
from cutlists.plans_out import write_plans
from cutlists.price.files import write_build_quote
from cutlists.revision import Last, changes_text, revision_of
from cutlists.rods.files import write_rods
from cutlists.run_pieces import with_runs
from cutlists.saw_list import SawList, saw_list
from cutlists.saw_tables import saw_csv, saw_text, write_saw_xlsx
from cutlists.scene import Scene, scene_of
from cutlists.shop_file import Shop
from cutlists.step_file import write_step
from cutlists.strength.files import IN_BUILD, write_strength
from cutlists.strut_list import strut_csv
from cutlists.welds import weld_csv, welds_of
from cutlists.well_list import well_rows
from cutlists.work.files import write_work
from cutlists.work.standing import Standing, standing_of
from model.capacity.float_report import FloatReport
from model.checks.listed import Report
from model.checks.run import Checked, run_checks
from model.clearance.check import FitReport
from model.clearance.strut_check import StrutReport
from model.electrics.report import ElectricsReport
from model.fairness import fairness
from model.hoses.check import HoseReport
from model.panel import Panel
from model.strength.check import StrengthReport
from model.strip import Strip

if TYPE_CHECKING:
    from model.boat import Boat
    from parts.yamlfile import Document

Tell = Callable[[str], None]


def write_build(
    boat: Boat,
    folder: Path,
    tell: Tell = lambda _: None,
    shop: Shop | None = None,
    last: Last | None = None,
    checked: Checked | None = None,
) -> Plans:
    """Write every list, outline, plan, drawing, picture and model of `boat` into the empty `folder`.

    Args:
        boat: the finished boat.
        folder: an existing folder.
        tell: hears what is being written.
        shop: the shop's settings; the usual ones unless given.
        last: the build that this one replaces.
        checked: what the boat's checks came to; they are run unless given.

    Returns:
        the cut plans that were written.

    Raises:
        BadInput: a piece fits nothing that it could be cut from, or the stock cannot be read.
        OSError: a file could not be written.
    """
    shop = shop or Shop()
    checked = checked or run_checks(boat, tell=tell)
    saw = saw_list(boat.members, boat.marks, shop.saw)
    last = last or Last()
    previous, revision = last.marks, revision_of(boat, last.build)
    plans = make_plans(boat, shop, previous, tell)
    tell("writing the saw list")
    write_saw(saw, folder)
    write_plans(plans, boat, shop, folder, tell)
    write_boxes(boat, shop.coatings, folder, tell, shop.outline_units, shop.saw.denominator)
    tell("writing sheet outlines")
    _write_sheets(boat, folder, shop)
    (folder / "lids.csv").write_text(
        lid_orders(boat.layout.decks.values(), shop.saw.denominator), encoding="utf-8", newline=""
    )
    wells = well_rows(boat)
    if len(wells) > 1:
        _write_rows(folder / "wells.csv", wells)
    _write_rows(folder / "survey-check.csv", survey_check(fairness(boat.hull), boat.units))
    known = {**(previous or {}), **plans.mat_marks}
    (folder / "boat.json").write_text(
        boat_json(boat, known, findings=checked.findings, revision=revision), encoding="utf-8"
    )
    (folder / "bevels.csv").write_text(bevel_csv(bevel_cards(boat), boat.units), encoding="utf-8", newline="")
    (folder / "welds.csv").write_text(
        weld_csv(welds_of(boat, shop.welding), boat.units), encoding="utf-8", newline=""
    )
    (folder / "changes.txt").write_text(changes_text(revision, boat, saw, last.cut), encoding="utf-8")
    tell("making meshes")
    scene = scene_of(boat)
    (folder / "boat.stl").write_bytes(stl_bytes(scene.pieces))
    whole = with_runs(scene, checked.reports.get("ways"))
    (folder / "boat.glb").write_bytes(glb_bytes(whole))
    _write_pictures(whole, boat, folder, tell)
    _write_findings(boat, checked, scene, folder, tell)
    _write_struts(checked.reports.get("struts"), folder)
    _write_rods(checked.reports.get("rods"), boat, shop, folder, tell)
    hoses = checked.reports.get("hoses")
    write_plumbing(boat, hoses, folder / "plumbing", shop.prices, tell)
    strength = _write_strength(checked.reports.get("strength"), boat, scene, folder, tell)
    report = checked.reports.get("float")
    afloat = report if isinstance(report, FloatReport) else None
    if afloat is not None:
        write_afloat(boat, afloat, folder)
    fit = checked.reports.get("fit")
    work = _write_work(boat, shop, last, folder)
    wires = checked.reports.get("wires")
    write_electrics(boat, wires, shop.wire, shop.prices, folder)
    told = Told(
        saw=saw,
        plans=plans,
        scene=scene,
        findings=checked.findings,
        looked_at=checked.summary,
        accepted=fit.clearances.exempt if isinstance(fit, FitReport) else (),
        revision=str(revision.number),
        date=last.today,
        changed=revision.marks(boat),
        paper=shop.paper,
        welding=shop.welding,
        coatings=shop.coatings,
        afloat=afloat,
        strength=strength,
        wiring=wires if isinstance(wires, ElectricsReport) else None,
        plumbing=hoses if isinstance(hoses, HoseReport) else None,
        work=work,
    )
    write_packet(boat, folder, told, tell)
    write_build_quote(boat, shop, plans, scene, told.date, told.revision, folder, tell)
    (folder / "handover").mkdir()
    write_owner_folder(boat, folder / "handover", shop, checked, scene, told.revision, told.date, tell)
    if (folder / "preview.html").is_file():
        shutil.copyfile(folder / "preview.html", folder / "handover" / "preview.html")
    tell("writing STEP")
    write_step(boat, folder / "boat.step", lambda name: tell(f"writing STEP: {name}"))
    (folder / "READ-FIRST.txt").write_text(read_first(boat, folder, checked), encoding="utf-8")
    return plans


def write_saw(saw: SawList, folder: Path) -> None:
    """The saw list as CSV, workbook and text, and a drawing of each piece."""
    (folder / "saw-list.csv").write_text(saw_csv(saw), encoding="utf-8", newline="")
    (folder / "saw-list.txt").write_text(
        "".join(f"{line.plain}\n" for line in saw_text(saw)), encoding="utf-8"
    )
    write_saw_xlsx(saw, folder / "saw-list.xlsx")
    write_piece_drawings(saw, folder / "pieces")


def _write_work(boat: Boat, shop: Shop, last: Last, folder: Path) -> Standing:
    """The plan of work from the day of the build on, less what is ticked."""
    today = date.fromisoformat(last.today) if last.today else None
    standing = standing_of(boat, shop, today=today)
    write_work(standing, boat.title, folder)
    return standing


def _write_rods(report: Report | None, boat: Boat, shop: Shop, folder: Path, tell: Tell) -> None:
    """Where rods lie; for the table of their lengths the boat is built anew on its hull."""
    from model.boat import build_boat

    def rebuild(document: Document) -> Boat:
        return build_boat(document, folder, catalogue=shop.catalogue, hull=boat.hull, limber=shop.limber)

    write_rods(boat, report, folder, rebuild, tell)


def _write_struts(report: Report | None, folder: Path) -> None:
    """Gas struts to buy, where any lid is to have some."""
    if isinstance(report, StrutReport) and report.struts:
        (folder / "struts.csv").write_text(strut_csv(report), encoding="utf-8", newline="")


def _write_findings(boat: Boat, checked: Checked, scene: Scene, folder: Path, tell: Tell) -> None:
    """What is wrong, as JSON, and a picture of each finding where there is any."""
    shown: dict[int, str] = {}
    if checked.findings:
        shown = write_pictures(boat, checked.findings, scene, folder / "findings", tell)
    named = {number: f"findings/{name}" for number, name in shown.items()}
    (folder / "findings.json").write_text(findings_json(boat, checked, named), encoding="utf-8")


def _write_sheets(boat: Boat, folder: Path, shop: Shop) -> None:
    sheets = folder / "sheets"
    sheets.mkdir()
    pieces: tuple[Panel | Strip, ...] = (*boat.panels, *boat.strips)
    rows = panel_rows(pieces, boat.marks)
    write_panel_csv(folder / "sheet-list.csv", rows)
    write_panel_workbook(folder / "sheet-list.xlsx", rows)
    write_outlines(sheets, pieces, boat.marks, shop.outline_units)
    write_outline_pictures(sheets, pieces, boat.marks, "in" if boat.units in ("in", "ft") else "mm")


def _write_pictures(scene: Scene, boat: Boat, folder: Path, tell: Tell) -> None:
    (folder / "pictures").mkdir()
    for name, data in picture_files(scene, boat):
        tell(f"drawing {name}")
        (folder / "pictures" / name).write_bytes(data)


def _write_strength(
    report: object, boat: Boat, scene: Scene, folder: Path, tell: Tell
) -> StrengthReport | None:
    """Uses of members and sheet with their working; the report, where the strength was checked."""
    if not isinstance(report, StrengthReport):
        return None
    (folder / "strength").mkdir()
    write_strength(report, boat, folder / "strength", tell, scene, IN_BUILD)
    return report


def _write_rows(path: Path, rows: Sequence[Sequence[str | float]]) -> None:
    with path.open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows(rows)
