"""Papers that a shop prints on, mm."""

from __future__ import annotations

from dataclasses import dataclass

MARGIN = 12.0
"""Clear border, mm; most printers reach within 6 mm of the edge."""
HEAD = 9.0
FOOT = 7.0


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet of paper as it is read, mm."""

    name: str
    width: float
    height: float

    @property
    def room(self) -> tuple[float, float, float, float]:
        """Left, top, width and height of what a page may use, mm, y down from the upper edge."""
        wide = self.width - 2 * MARGIN
        return MARGIN, MARGIN + HEAD, wide, self.height - 2 * MARGIN - HEAD - FOOT


@dataclass(frozen=True, slots=True)
class PaperSet:
    """The two papers of a packet: upright for lists, twice as large and lying for drawings."""

    name: str
    lists: Paper
    drawings: Paper


PAPERS = {
    "letter": PaperSet("letter", Paper("letter", 215.9, 279.4), Paper("tabloid", 431.8, 279.4)),
    "A4": PaperSet("A4", Paper("A4", 210.0, 297.0), Paper("A3", 420.0, 297.0)),
}
"""ANSI/ASME Y14.1 (letter A, tabloid B) and ISO 216 (A4, A3)."""


def papers_for(units: str, asked: str | None = None) -> PaperSet:
    """The papers asked for, or the usual ones of a shop that measures in `units`."""
    return PAPERS[asked or ("letter" if units in ("in", "ft") else "A4")]
