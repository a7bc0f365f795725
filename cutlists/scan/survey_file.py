"""The survey of a scan as the CSV file that the tape's readings are written in."""

from __future__ import annotations

from model.scan.survey_scan import DECIMALS, ScanReport
from model.scan.units import NAMES
from model.survey import SurveyPoint
from model.survey_csv import COLUMNS
from parts.lengths import UNITS


def survey_csv(report: ScanReport) -> str:
    """The rows, in the report's units, from the transom forward and from the keel up."""
    lines = [
        f"# surveyed from the scan {' '.join(report.name.split())}; all lengths in {NAMES[report.units]}",
        ",".join(COLUMNS),
    ]
    lines += [_row(point, report.units) for point in report.survey.points]
    return "\n".join(lines) + "\n"


def _row(point: SurveyPoint, units: str) -> str:
    sizes = [number(value, units) for value in (point.station, point.half_breadth, point.height)]
    return f"{sizes[0]},{point.side},{point.name},{sizes[1]},{sizes[2]}"


def number(mm: float, units: str) -> str:
    """A length as a bare number of the unit, without needless noughts."""
    text = f"{mm / UNITS[units]:.{DECIMALS[units]}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text
