"""What the terminal says of a finished boat, in lines of at most 100 columns."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from typing import TYPE_CHECKING

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
    return f"{finding.kind}{pieces}: {finding.what}{cure}{where}"


def summary_line(boat: Boat) -> str:
    """One line: the boat's title, how much there is of each thing, its findings."""
    members = sum(member.mass for member in boat.members)
    counts = [
        f"{len(boat.members)} members ({members:.1f} kg)",
        f"{len(boat.panels) + len(boat.strips)} sheet pieces",
        f"{len(boat.fixtures)} fittings",
        f"{len(boat.findings)} findings" if len(boat.findings) != 1 else "1 finding",
    ]
    return f"{boat.title or boat.name}: {', '.join(counts)}"
