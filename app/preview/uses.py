"""What carries how much, for the page: a table of uses, and the colour of each piece by its use."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from app.preview.tables import Table
from cutlists.strength.picture import STEPS, UNKNOWN, colour_of
from parts.lengths import format_length

if TYPE_CHECKING:
    from model.boat import Boat
    from model.strength.check import StrengthReport

CAUTION = (
    "Use is demand over what is allowed. Not approved engineering: "
    "local codes and licensed practice come first."
)


def strength_sections(boat: Boat, report: StrengthReport) -> dict[str, Any]:
    """The sections `strength`, a table with the worst first, and `uses`, the colours with their legend.

    A bay of sheet has no piece of its own: a deck's sheet takes the colour of its worst bay.
    """
    uses = piece_uses(boat, report)
    legend = [[colour.name, colour.hexadecimal] for _, colour in STEPS]
    if any(use is None for use in uses.values()):
        legend.append([UNKNOWN.name, UNKNOWN.hexadecimal])
    colours = {name: colour_of(use).hexadecimal for name, use in uses.items()}
    return {
        "strength": strength_table(boat, report).plain(),
        "uses": {"colours": colours, "legend": legend, "caution": CAUTION},
    }


def piece_uses(boat: Boat, report: StrengthReport) -> dict[str, float | None]:
    """The use of every member and deck sheet; None of a member that nothing holds."""
    found: dict[str, float | None] = {member.name: None for member in boat.members}
    found |= {member.name: member.use for member in report.members}
    for name in sheets_of(boat):
        own = [bay.use for bay in report.bays if bay.bay.name.partition("/")[0] == name.partition("/")[0]]
        if own:
            found[name] = max(own)
    return found


def sheets_of(boat: Boat) -> list[str]:
    """Names of the pieces of sheet that are walked on."""
    return [panel.name for panel in boat.panels if panel.name.partition("/")[2].startswith("sheet")]


def strength_table(boat: Boat, report: StrengthReport) -> Table:
    """Every member, bay and foot by its use, the greatest first."""
    members = {m.name for m in boat.members} | {hat.name for hat in boat.hats}
    sheets = sheets_of(boat)
    rows = []
    for name, use, (x, y, z) in sorted(report.all_uses, key=lambda row: -row[1]):
        deck = name.partition("/")[0]
        pieces = (name,) if name in members else tuple(s for s in sheets if s.partition("/")[0] == deck)
        side = "to port" if y >= 0 else "to starboard"
        where = [format_length(float(value), boat.units) for value in (x, abs(y), z)]
        cells = (f"{use:.2f}", name, where[0], f"{where[1]} {side}", where[2])
        rows.append((name, pieces, cells))
    heads = ("use", "what", "from the transom", "off the centreline", "up")
    return Table(heads, (2, 3, 4), (2, 3, 4), tuple(rows), f"{report.summary()}. {CAUTION}")
