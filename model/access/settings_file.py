"""The `access:` part of a shop file as settings; what cannot be is told with its line."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from model.access.settings import AccessSettings
from model.boatfile.access_schema import AccessEntry
from parts.checked import Path
from parts.faults import FaultList, Place
from parts.lengths import parse_length

LEAST = {"gap": 0.0, "reach": 50.0, "hand": 50.0, "arm": 20.0, "body": 100.0}
"""Less than this, mm, is a slip of the pen."""

MOST = {"gap": 100.0, "reach": 1000.0, "hand": 400.0, "arm": 250.0, "body": 1000.0}
"""More than this, mm, is one too: no arm is longer, nobody wider."""


def access_settings(
    entry: AccessEntry, units: str, place: Callable[[Path], Place], faults: FaultList
) -> AccessSettings:
    """The settings of a shop file.

    Args:
        entry: as read.
        units: of bare numbers.
        place: where a path of keys below `access` stands in the file.
        faults: gathers lengths that are none, or that no hand or arm has.
    """
    given: dict[str, float] = {}
    for key in LEAST:
        value = getattr(entry, key)
        if value is None:
            continue
        try:
            found = parse_length(value, units)
        except ValueError as error:
            wrong, _, right = str(error).partition("; ")
            faults.add(place((key,)), wrong, right)
            continue
        if not LEAST[key] <= found <= MOST[key]:
            wrong = f"{value} is out of bounds"
            faults.add(place((key,)), wrong, f"give {LEAST[key]:.0f} to {MOST[key]:.0f} mm")
        given[key] = found
    return replace(AccessSettings(), **given)
