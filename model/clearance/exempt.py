"""Pairs of pieces let off by name: read from a shop file or a boat file, held against the boat's pieces."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from fnmatch import fnmatchcase
from typing import Any

from model.boatfile.clearance_schema import ExemptEntry
from model.clearance.settings import Exempt
from parts.faults import FaultList, Place, did_you_mean


def exemptions(
    entries: Iterable[ExemptEntry], length: Callable[[Any, int], float], place: Callable[[int], Place]
) -> tuple[Exempt, ...]:
    """Pairs let off by name, of a shop file or a boat file.

    Args:
        entries: as read.
        length: reads the gap of an entry by its number, mm.
        place: where the names of an entry stand, by its number.
    """
    return tuple(
        Exempt(
            one.between[0],
            one.between[1],
            None if one.overlap else length(one.least, i),
            one.why,
            place(i),
            one.by,
        )
        for i, one in enumerate(entries)
    )


def check_exempt(
    exempt: Iterable[Exempt], names: Iterable[str], faults: FaultList, patterns: bool = True
) -> None:
    """Notes every exemption that names no piece of a boat.

    Args:
        exempt: pairs let off.
        names: of all bodies of the boat.
        faults: gathers them.
        patterns: whether a pattern must tell of a piece too; those of a shop are for all its boats.
    """
    known = sorted(names)
    for one in exempt:
        for name in (one.first, one.second):
            if ("*" not in name or patterns) and not any(fnmatchcase(piece, name) for piece in known):
                where = one.place or Place("settings", None, "exempt")
                faults.add(where, f"there is no piece called '{name}'", did_you_mean(name, known))
