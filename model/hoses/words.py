"""Flows, times and speeds of water in words."""

from __future__ import annotations

import math

from model.hoses.pump_curve import LITRE_AN_HOUR
from parts.lengths import format_length

GALLON = 3.785411784
"""Litres of a US gallon (NIST SP 811, appendix B.8)."""


def flow_told(flow: float, units: str) -> str:
    """A flow in mm3/s: US gallons an hour and litres a minute, or only these in a metric boat."""
    metric = f"{flow / LITRE_AN_HOUR / 60.0:.1f} l/min"
    return f"{flow_short(flow, units)} ({metric})" if units in ("in", "ft") else metric


def flow_short(flow: float, units: str) -> str:
    """A flow in mm3/s for a table: US gallons an hour, or litres a minute in a metric boat."""
    litres = flow / LITRE_AN_HOUR
    return f"{litres / GALLON:.0f} gal/h" if units in ("in", "ft") else f"{litres / 60.0:.1f} l/min"


def head_told(head: float, units: str) -> str:
    """A head in mm: feet and metres, or metres."""
    metric = f"{head / 1000.0:.2f} m"
    return f"{head_short(head, units)} ({metric})" if units in ("in", "ft") else metric


def head_short(head: float, units: str) -> str:
    """A head in mm for a table: feet, or metres in a metric boat."""
    return f"{head / 304.8:.1f} ft" if units in ("in", "ft") else f"{head / 1000.0:.2f} m"


def volume_short(volume: float, units: str) -> str:
    """A volume in mm3 for a table: US gallons, or litres in a metric boat."""
    litres = volume * 1e-6
    return f"{litres / GALLON:.1f} gal" if units in ("in", "ft") else f"{litres:.1f} l"


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
