"""Writes the sheet into a build: `afloat.txt`, `afloat.json`, and `weights.csv` with every piece."""

from __future__ import annotations

import csv
import io
import json
import math
import textwrap
from pathlib import Path
from typing import TYPE_CHECKING, Any

from cutlists.afloat.leaf import WIDTH, leaf_lines
from cutlists.afloat.leaves import CAUTIONS, leaves
from model.capacity.float_report import FloatReport
from model.capacity.loading import Loading
from model.hydrostatics.afloat import CaseFound
from parts.amounts import POUND

if TYPE_CHECKING:
    from model.boat import Boat

FORMAT, VERSION = "athwart-afloat", 1
COLUMNS = ("name", "mark", "group", "mass kg", "x mm", "y mm", "z mm", "mass lb")


def write_afloat(boat: Boat, report: FloatReport, folder: Path) -> None:
    """Writes the three files into `folder`."""
    (folder / "afloat.txt").write_text(afloat_text(boat, report), encoding="utf-8")
    (folder / "afloat.json").write_text(afloat_json(boat, report), encoding="utf-8")
    (folder / "weights.csv").write_text(weights_csv(boat, report), encoding="utf-8", newline="")


def afloat_text(boat: Boat, report: FloatReport) -> str:
    """Every leaf as text of at most 100 columns, then the cautions."""
    title = f"{boat.title}: weight, trim and what she may carry"
    lines = [title, "=" * len(title), ""]
    for caution in CAUTIONS:
        lines += textwrap.wrap(caution, WIDTH, initial_indent="- ", subsequent_indent="  ")
    for leaf in leaves(boat, report):
        lines += ["", *leaf_lines(leaf)]
    if report.findings:
        lines += ["", "Findings", "--------"]
        for finding in report.findings:
            lines += textwrap.wrap(str(finding).lstrip(": "), WIDTH, subsequent_indent="  ")
    return "\n".join(lines) + "\n"


def weights_csv(boat: Boat, report: FloatReport) -> str:
    """Every piece with its mass and centre as CSV (RFC 4180), then totals before and after the refit."""
    text = io.StringIO()
    out = csv.writer(text)
    out.writerow(COLUMNS)
    weights = report.weights
    rows = [(lump.name, lump.group, lump.mass, lump.centre) for lump in weights.lumps]
    rows += [(f"total {name}", name, total.mass, total.centre) for name, total in weights.groups.items()]
    rows += [("before the refit", "total", weights.before.mass, weights.before.centre)]
    rows += [("after the refit", "total", weights.after.mass, weights.after.centre)]
    for name, group, mass, centre in rows:
        x, y, z = (round(float(v), 2) + 0.0 for v in centre)
        out.writerow([name, boat.marks.get(name, ""), group, round(mass, 4), x, y, z, round(mass / POUND, 3)])
    return text.getvalue()


def afloat_json(boat: Boat, report: FloatReport) -> str:
    """The report as JSON: mm, kg, degrees; what a rule gives in its own pounds, feet and horsepower."""
    rules, weights = report.rules, report.weights
    data = {
        "format": FORMAT,
        "version": VERSION,
        "boat": {"name": boat.name, "title": boat.title, "shown_in": boat.units},
        "cautions": list(CAUTIONS),
        "weight": {
            "hull": weights.how,
            "before": _total(weights.before),
            "after": _total(weights.after),
            "groups": {name: _total(found) for name, found in weights.groups.items()},
        },
        "before": _case(report.before),
        "cases": [_case(one) for one in report.cases],
        "rules": {
            "apply": rules.applies,
            "length_ft": _number(rules.sizes.length / 304.8),
            "displacement_lb": _number(rules.displacement),
            "before": _loading(rules.before),
            "after": _loading(rules.after),
            "power_hp": rules.powering.power,
            "foam_ft3": _number(rules.flotation.total),
            "foam_room_ft3": _number(rules.room),
        },
        "drive": None
        if report.drive is None
        else [
            {"share": run.share, "amps": _number(run.amps), "hours": _number(run.hours)}
            for run in report.drive.runs
        ],
    }
    return json.dumps(data, ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def _number(value: float | None) -> float | None:
    return None if value is None or not math.isfinite(value) else round(float(value), 4) + 0.0


def _total(found: Any) -> dict[str, Any]:
    return {"mass": _number(found.mass), "centre": [_number(v) for v in found.centre]}


def _loading(found: Loading) -> dict[str, Any]:
    return {
        "boat_lb": _number(found.boat),
        "weight_lb": _number(found.weight),
        "persons_lb": _number(found.persons_weight),
        "persons": found.persons,
        "needs_test": found.needs_test,
    }


def _case(one: CaseFound) -> dict[str, Any]:
    """A load case at rest, and its righting arms."""
    rest, curve = one.rest, one.curve
    told: dict[str, Any] = {
        "name": one.case.name,
        "mass": _number(one.loaded.load.mass),
        "persons": one.loaded.persons,
        "floats": rest is not None,
    }
    if rest is None:
        return told
    told |= {
        "heel": _number(math.degrees(rest.heel)),
        "trim": _number(math.degrees(rest.trim)),
        "freeboard": _number(one.freeboard),
        "lowest": one.lowest[1],
        "draft_aft": _number(one.draft_aft),
        "draft_forward": _number(one.draft_forward),
        "gm": _number(rest.gm),
    }
    if curve is not None:
        told["arms"] = {
            "side": curve.side,
            "heel": [_number(math.degrees(v)) for v in curve.heels],
            "arm": [_number(v) for v in curve.arms],
            "floods_over": curve.floods_at or None,
        }
    return told
