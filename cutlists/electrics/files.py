"""Writes the wires into a build: a folder of tables, diagram, plan of the runs and labels."""

from __future__ import annotations

import csv
import io
import textwrap
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from cutlists.afloat.leaf import WIDTH, leaf_lines
from cutlists.buy_list import BuyLine
from cutlists.drawing.runs_drawing import runs_svg
from cutlists.electrics.budget_tables import budget_csv
from cutlists.electrics.buy import wire_buy_lines
from cutlists.electrics.diagram import diagram_svg
from cutlists.electrics.labels import wire_labels
from cutlists.electrics.leaves import wire_leaves
from cutlists.electrics.run_words import drawn_runs, run_words
from cutlists.electrics.schedule import fuse_csv, schedule_csv
from cutlists.electrics.spool_file import WireStock
from cutlists.electrics.wires_json import wires_json
from cutlists.electrics.words import CAUTIONS
from model.electrics.report import ElectricsReport

if TYPE_CHECKING:
    from model.boat import Boat

FOLDER = "electrics"
SIZE = (400.0, 250.0)
"""Of the plan of the runs, mm."""

BUY = ("what", "name", "size", "buy", "each", "cost", "note")


def write_electrics(
    boat: Boat, report: object, stock: WireStock, prices: Mapping[str, float], folder: Path
) -> None:
    """The folder `electrics` of a build; nothing for a boat without wires.

    Args:
        boat: the finished boat.
        report: of the check of wires; anything else writes nothing.
        stock: spools that can be bought.
        prices: of fuses and terminals by name.
        folder: an existing folder.
    """
    if not isinstance(report, ElectricsReport) or report.electrics is None:
        return
    from cutlists.packet.labels import SHEETS, write_labels

    own = folder / FOLDER
    own.mkdir()
    texts = {
        "schedule.csv": schedule_csv(report),
        "fuse-map.csv": fuse_csv(report),
        "buy.csv": buy_csv(wire_buy_lines(report, stock, prices)),
        "wires.txt": wires_text(boat, report, stock, prices),
        "wires.json": wires_json(boat, report),
        "diagram.svg": diagram_svg(report),
        "runs.svg": runs_svg(boat, drawn_runs(report), SIZE, f"{boat.title}: wires", run_words(report)),
    }
    if report.budget is not None:
        texts["budget.csv"] = budget_csv(report)
    for name, text in texts.items():
        (own / name).write_text(text, encoding="utf-8", newline="")
    sheet = SHEETS["letter-30" if boat.units in ("in", "ft") else "A4-24"]
    write_labels(own / "labels.pdf", wire_labels(report), sheet)


def wires_text(boat: Boat, report: ElectricsReport, stock: WireStock, prices: Mapping[str, float]) -> str:
    """Cautions, then every table as text of at most 100 columns, then the findings."""
    title = f"{boat.title}: wires"
    lines = [title, "=" * len(title), ""]
    for caution in CAUTIONS:
        lines += textwrap.wrap(caution, WIDTH, initial_indent="- ", subsequent_indent="  ")
    for leaf in wire_leaves(report, wire_buy_lines(report, stock, prices)):
        lines += ["", *leaf_lines(leaf)]
    if report.findings:
        lines += ["", "Findings", "--------"]
        for finding in report.findings:
            lines += textwrap.wrap(f"{finding.kind}: {finding}", WIDTH, subsequent_indent="  ")
    return "\n".join(lines) + "\n"


def buy_csv(lines: list[BuyLine]) -> str:
    """A CSV (RFC 4180) of what to buy."""
    text = io.StringIO()
    out = csv.writer(text)
    out.writerow(BUY)
    for line in lines:
        price, cost = ("" if v is None else round(v, 2) for v in (line.price, line.cost))
        out.writerow([line.material, line.name, line.size, line.need, price, cost, line.note])
    return text.getvalue()
