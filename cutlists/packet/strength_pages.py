"""The packet's page of strength: the worst of every deck, with what limits it and where the limit is from."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from cutlists.packet.leaf import Column
from cutlists.packet.page import Page, table_pages
from cutlists.packet.paper import PaperSet
from cutlists.strength.working import CAUTIONS
from model.strength.check import StrengthReport
from model.strength.settings import GRAVITY
from model.strength.words import spot_told

if TYPE_CHECKING:
    from model.boat import Boat

SECTION = "Strength"
COLUMNS = (
    Column("deck", 28.0),
    Column("use", 11.0, "right"),
    Column("piece", 56.0),
    Column("worst at", 52.0),
    Column("limit", 40.0),
)


def strength_pages(boat: Boat, report: StrengthReport | None, papers: PaperSet) -> Iterator[Page]:
    """What a builder asks of the decks, with the cautions that go with it; nothing without a report."""
    if report is None:
        return
    limits = {m.name: _member_limit(m.limit, report) for m in report.members}
    limits |= {b.bay.name: _bay_limit(b.limit, report) for b in report.bays}
    rows = []
    for deck in boat.layout.decks:
        worst = report.worst(deck)
        if worst is not None:
            name, use, where = worst
            limit = limits.get(name, "bare sheet, yield lines")
            rows.append((deck, f"{use:.2f}", name, spot_told(where, boat.units), limit))
    s, weight = report.settings, report.settings.person * GRAVITY
    asked = (
        "Use is demand over what is allowed; above 1 is too weak or too soft. Asked: one person of "
        f"{s.person:.0f} kg ({weight:.0f} N) on {s.foot:.0f} mm square in each of {report.places} places, "
        f"{s.jump:g} times his weight as he jumps; gear and frame {s.slam:g} times theirs as the hull slams. "
        "The working of the worst is in strength/working.txt, every use in strength/uses.csv."
    )
    yield from table_pages(SECTION, "What the decks carry", papers.lists, COLUMNS, rows, (*CAUTIONS, asked))


def _member_limit(limit: str, report: StrengthReport) -> str:
    if limit == "sag":
        return f"span/{report.settings.member_limit:g}, IBC 1604.3"
    return "stress, Aluminum Design Manual"


def _bay_limit(limit: str, report: StrengthReport) -> str:
    if limit == "sag":
        return f"span/{report.settings.sheet_limit:g}, IBC 1604.3"
    return {"middle": "stress in its middle, same manual", "edge": "pull at its welds, same manual"}[limit]
