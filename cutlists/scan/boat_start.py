"""A boat file to start from: the hull of a scan, and a sole to see it by."""

from __future__ import annotations

import math
from collections.abc import Iterator

from cutlists.scan.survey_file import number
from model.scan.ribs import RibRun
from model.scan.survey_scan import ScanReport
from model.scan.units import NAMES

SOLE_SHARE = 0.28
"""Height of the sole over the depth amidships; to be changed at once."""


def boat_start(report: ScanReport, name: str, survey: str, thickness: float) -> str:
    """The text of a boat file that reads `survey` beside it and builds as it stands.

    Args:
        report: of the scan.
        name: of the boat.
        survey: name of the survey's file.
        thickness: of the sheet, mm.
    """
    return "\n".join(_lines(report, name, survey, thickness)) + "\n"


def _lines(report: ScanReport, name: str, survey: str, thickness: float) -> Iterator[str]:
    units = report.units
    yield f"# A boat to start from, surveyed from the scan {' '.join(report.name.split())}."
    yield "# Read scan-report.txt and look at sections.svg first; then check some stations by tape."
    yield f"# Bare numbers are {NAMES[units]}: x forward from the transom, y to port, z up from the baseline."
    yield f"boat: {name}"
    yield f"units: {units}"
    yield ""
    yield "hull:"
    yield f"  survey: {survey}"
    yield f"  lines: [{', '.join(report.survey.lines)}]"
    yield "  loft: fair"
    yield f"  transom: {{rake: {max(0.0, round(math.degrees(report.rake), 1)):g}}}"
    if report.bow_rake is not None:
        yield f"  bow: {{rake: {max(0.0, round(math.degrees(report.bow_rake), 1)):g}}}"
    known = "scanned from outside" if report.inset > 0.0 else "not seen by the scan: measure it"
    yield f"  thickness: {number(thickness, units)}   # {known}"
    yield from _stiffeners(report)
    yield ""
    yield from _sole(report)


def _stiffeners(report: ScanReport) -> Iterator[str]:
    units = report.units
    if report.ribs:
        yield "  ribs:                # told from the skin; see to the first and the last"
        yield from (f"    - {_rib(rib, units)}" for rib in report.ribs)
    if report.stringers:
        yield "  stringers:"
    for k, bar in enumerate(report.stringers):
        name = "stringer" if len(report.stringers) == 1 else f"stringer-{k + 1}"
        sizes = (
            ("off_centre", bar.off),
            ("from", bar.aft),
            ("to", bar.forward),
            ("height", bar.height),
            ("width", bar.width),
        )
        told = ", ".join(f"{key}: {number(value, units)}" for key, value in sizes)
        yield f"    - {{name: {name}, {told}}}"


def _rib(rib: RibRun, units: str) -> str:
    sizes = [("at", rib.at)]
    if rib.count > 1:
        sizes += [("every", rib.every), ("until", rib.until + 0.1 * rib.every)]
    sizes += [("height", rib.height), ("width", rib.width)]
    told = ", ".join(f"{key}: {number(value, units)}" for key, value in sizes)
    return f"{{{told}, from: {rib.low}, to: {rib.high}}}"


def _sole(report: ScanReport) -> Iterator[str]:
    """A deck over the flat part of the bottom, so that the file builds; clear of ribs and stringers."""
    units, survey = report.units, report.survey
    heights = [p.height for p in survey.points]
    middle = [
        p for p in survey.points if abs(p.station - survey.stations[-1] / 2.0) < survey.stations[-1] / 4.0
    ]
    chine = max((p.height for p in middle if p.line in survey.lines[:2]), default=min(heights))
    base = min(heights)
    proud = max([rib.height for rib in report.ribs] + [bar.height for bar in report.stringers] + [0.0])
    height = max(base + SOLE_SHARE * (max(heights) - base), chine + 40.0, base + proud + 60.0)
    top = min(p.height for p in middle if p.line == survey.lines[-1])
    height = min(height, top - 60.0)
    length = survey.stations[-1]
    yield "defaults: {hull_gap: " + number(6.35, units) + ", fit_gap: " + number(3.2, units) + "}"
    yield ""
    yield "decks:"
    yield "  sole:                # only to see the hull by; draw your own"
    yield f"    height: {number(height, units)}"
    yield f"    aft: {number(0.15 * length, units)}"
    yield f"    forward: {number(0.5 * length, units)}"
    yield ""
    yield "water:"
    yield f"  drains: {{plug: {{of: hull, at: [{number(25.4, units)}, 0], to: overboard}}}}"
