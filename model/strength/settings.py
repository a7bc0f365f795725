"""What the frame is asked to carry, and what of the metal's strength is counted on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from parts.amounts import POUND

GRAVITY = 9.80665
"""Standard gravity, m/s2 (CGPM 1901)."""


@dataclass(frozen=True)
class StrengthSettings:
    """Loads, limits and margins.

    Attributes:
        person: mass of one heavy person, kg: 300 lb, heavier than any convention counts a person.
        foot: side of the square he stands on, mm: one foot.
        jump: by how much his weight counts when he jumps or lands; 2 is a common engineering choice
            (from memory).
        slam: times their weight that gear, fixtures and the frame itself press down when the hull slams.
        gear: kg of gear by locker; other lockers are filled at `gear_density`, wells with water.
        gear_density: kg/m3 of a filled locker (common practice: loose tackle, rope, bottles).
        bracket_span: greatest distance between the brackets that hold a ledger to the hull's side, mm.
        member_limit: members may sag by their span over this; 180 as for roofs and platforms that people
            walk on (IBC table 1604.3; common practice for decks).
        sheet_limit: sheet between members may sag by its span over this; 60 as for formed metal sheet
            (IBC table 1604.3, note a).
        most_sag: nor by more than this, mm: 1/4 in, as platforms for people are made (gefinc.com/platforms).
        sheet_held: share of the hold of edges that cannot draw in: the sheet beyond a bay gives way about as
            much as the bay itself (estimate); 1 is held fast, 0 is sheet that only bends.
        ultimate_margin: on tensile strength, 1.95 (Aluminum Design Manual, building type).
        yield_margin: on yield, 1.65 (the same).
        zone: metal nearer than this to a weld is softened, mm: 1 in (the same).
        sheet_welded: whether the sheet is welded down along the members, not only screwed or bonded.
    """

    person: float = 300 * POUND
    foot: float = 304.8
    jump: float = 2.0
    slam: float = 3.0
    gear: Mapping[str, float] = field(default_factory=dict)
    gear_density: float = 120.0
    bracket_span: float = 304.8
    member_limit: float = 180.0
    sheet_limit: float = 60.0
    most_sag: float = 6.35
    sheet_held: float = 0.5
    ultimate_margin: float = 1.95
    yield_margin: float = 1.65
    zone: float = 25.4
    sheet_welded: bool = True

    def member_sag(self, span: float) -> float:
        """How far a member may sag over a span, mm."""
        return min(span / self.member_limit, self.most_sag)

    def sheet_sag(self, span: float) -> float:
        """How far sheet may sag over its shorter span, mm."""
        return min(span / self.sheet_limit, self.most_sag)
