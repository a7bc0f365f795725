"""What the terminal says of a finished boat, in a line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from parts.faults import one_line

if TYPE_CHECKING:
    from model.boat import Boat


def summary_line(boat: Boat, findings: int) -> str:
    """One line: the boat's title, how much there is of each thing, how many findings."""
    mass = sum(member.mass for member in boat.members)
    counts = [
        f"{_count(len(boat.members), 'member')} ({mass:.1f} kg)",
        _count(len(boat.panels) + len(boat.strips), "sheet piece"),
        _count(len(boat.fixtures), "fitting"),
        _count(findings, "finding"),
    ]
    return one_line(f"{boat.title}: {', '.join(counts)}")


def _count(number: int, thing: str) -> str:
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"
