"""Flows, times and speeds of water in words."""

from __future__ import annotations

import math

from model.hoses.pump_curve import LITRE_AN_HOUR
from parts.lengths import format_length

GALLON = 3.785411784
"""Litres of a US gallon (NIST SP 811, appendix B.8)."""


def flow_told(flow: float, units: str) -> str:
    """A flow in mm3/s: US gallons an hour and litres a minute, or only these in a metric boat."""
    litres = flow / LITRE_AN_HOUR
    metric = f"{litres / 60.0:.1f} l/min"
    return f"{litres / GALLON:.0f} gal/h ({metric})" if units in ("in", "ft") else metric


def head_told(head: float, units: str) -> str:
    """A head in mm: feet and metres, or metres."""
    metric = f"{head / 1000.0:.2f} m"
    return f"{head / 304.8:.1f} ft ({metric})" if units in ("in", "ft") else metric


def time_told(seconds: float) -> str:
    """A time of seconds to hours."""
    if not math.isfinite(seconds):
        return "never"
    if seconds < 90.0:
        return f"{seconds:.0f} s"
    minutes = seconds / 60.0
    return f"{minutes:.1f} min" if minutes < 90.0 else f"{minutes / 60.0:.1f} h"


def over_told(height: float, units: str) -> str:
    """A height over the water."""
    told = format_length(abs(height), units)
    return f"{told} under water" if height < 0.0 else f"{told} over the water"
