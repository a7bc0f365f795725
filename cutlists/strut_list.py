"""Gas struts to buy and where their eyes go: a CSV with a row for each lid on struts."""

from __future__ import annotations

import csv
import io
import math

from model.clearance.strut import CAUTION
from model.clearance.strut_check import StrutReport
from parts.amounts import NEWTONS

UNASKED = "Whether anything stands in the way of the struts themselves was not checked: try one first."

COLUMNS = (
    "lid", "struts", "force N", "force lbf", "stroke mm", "shut mm", "open mm",
    "lid eye out mm", "lid eye down mm", "frame eye out mm", "frame eye down mm",
    "hand lifts N", "hand closes N", "hand most N", "holds from deg",
)  # fmt: skip
"""Shut and open are between the eyes; out is from the hinge line along the shut lid, down from its upper
face. A hand below zero pushes the other way. Force is that of each strut drawn out at 20 degrees C."""


def strut_csv(report: StrutReport) -> str:
    """A row for each lid whose struts are known (RFC 4180), with the caution in its last row."""
    text = io.StringIO()
    out = csv.writer(text)
    out.writerow(COLUMNS)
    for one in report.struts:
        plan = one.plan
        if plan is None:
            continue
        holds = "" if math.isinf(plan.holds_from) else round(math.degrees(plan.holds_from), 1)
        out.writerow([
            one.lid.name, plan.count, round(plan.force), round(plan.force / NEWTONS["lbf"], 1),
            *(round(v, 1) for v in (plan.stroke, plan.closed, plan.opened, *plan.lid_eye, *plan.frame_eye)),
            *(round(v, 1) for v in (plan.hand_closed, plan.hand_open, plan.hand_most)), holds,
        ])  # fmt: skip
    out.writerow([f"{CAUTION} {UNASKED}"])
    return text.getvalue()
