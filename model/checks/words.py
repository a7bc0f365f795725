"""What every finding tells, in words: how much is lacking, and where it is in the boat."""

from __future__ import annotations

import math

from model.clearance.words import length_told
from model.clearance.words import where_told as point_told
from model.findings import Finding

GALLON = 3.785411784
"""Litres of a US gallon."""


def short_told(finding: Finding, units: str) -> str:
    """How much is lacking; nothing where no number tells it.

    Args:
        finding: what is wrong.
        units: of the boat.
    """
    short, measure = finding.short, finding.measure
    if short is None or not math.isfinite(short):
        return ""
    if measure == "mm":
        return length_told(short, units)
    if measure == "rad":
        return f"{math.degrees(short):.1f} degrees"
    if measure == "litre":
        gallons = f" ({short / GALLON:.2f} US gal)" if units in ("in", "ft") else ""
        return f"{short:.1f} litres{gallons}"
    if not measure:
        return f"{100.0 * short:.0f} %"
    return f"{short:g} {measure}" if short == round(short) else f"{short:.1f} {measure}"


def where_told(finding: Finding, units: str) -> str:
    """From the transom, off the centreline, above the baseline; nothing where no point tells it."""
    return "" if finding.where is None else point_told(finding.where, units)
