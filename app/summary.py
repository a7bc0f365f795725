"""What the terminal says of a finished boat, in lines of at most 100 columns."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from typing import TYPE_CHECKING

from parts.faults import one_line

if TYPE_CHECKING:
    from model.boat import Boat
    from model.findings import Finding

WIDTH = 100
MOST_NAMES = 3


def finding_lines(boat: Boat) -> Iterator[str]:
    """Each finding: its kind and pieces, what is wrong and what cures it, and its place in the file."""
    for finding in boat.findings:
        yield from textwrap.wrap(
            _told(finding, boat),
            WIDTH,
            subsequent_indent="    ",
            break_long_words=False,
            break_on_hyphens=False,
        )


def _told(finding: Finding, boat: Boat) -> str:
    names = ", ".join(finding.pieces[:MOST_NAMES])
    if len(finding.pieces) > MOST_NAMES:
        names += f" and {len(finding.pieces) - MOST_NAMES} more"
    place = boat.place(finding.pieces[0]) if finding.pieces else None
    where = f" ({place})" if place else ""
    pieces = f" {names}" if names else ""
    cure = f"; {finding.cure}" if finding.cure else ""
    return one_line(f"{finding.kind}{pieces}: {finding.what}{cure}{where}")


def summary_line(boat: Boat) -> str:
    """One line: the boat's title, how much there is of each thing, its findings."""
    mass = sum(member.mass for member in boat.members)
    counts = [
        f"{_count(len(boat.members), 'member')} ({mass:.1f} kg)",
        _count(len(boat.panels) + len(boat.strips), "sheet piece"),
        _count(len(boat.fixtures), "fitting"),
        _count(len(boat.findings), "finding"),
    ]
    return one_line(f"{boat.title}: {', '.join(counts)}")


def _count(number: int, thing: str) -> str:
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"
