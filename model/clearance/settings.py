"""How much room is asked between pieces, by their kinds and, where that does not fit, by their names."""

from __future__ import annotations

from dataclasses import dataclass
from fnmatch import fnmatchcase
from functools import cached_property

from model.clearance.kinds import FIXED, ON_HULL, ROOM
from parts.faults import Place

ACCEPTED_BY = "accepted by "
"""Leads the name of who accepted a pair, in its reason."""

ANY = "any"
FITTING = "fitting"
"""Stands for every kind of thing of the catalogue but lids."""

KINDS = (*FIXED, "lid", FITTING, *ON_HULL, ROOM, ANY)
"""What a rule may name, besides the kinds of fittings one by one (seat, tank, battery ...)."""

EIGHTH = 3.175
SIXTEENTH = 1.5875


@dataclass(frozen=True)
class GapRule:
    """The least gap asked between two kinds, mm; 0 asks only that they do not overlap."""

    first: str
    second: str
    least: float

    def fit(self, one: str, other: str) -> int:
        """How closely the rule tells of two kinds: more is closer, -1 not at all."""
        return max(_fit(self.first, one, self.second, other), _fit(self.first, other, self.second, one))


@dataclass(frozen=True)
class Exempt:
    """A pair of pieces with a gap of their own; either name may hold `*` for any run of letters.

    Attributes:
        first, second: names of pieces, of a hull's parts, or patterns of names.
        least: gap asked, mm; None lets the two overlap as well.
        why: said in the report.
        place: where it was written.
        by: who accepted it, and when.
    """

    first: str
    second: str
    least: float | None
    why: str = ""
    place: Place | None = None
    by: str = ""

    @property
    def reason(self) -> str:
        """Why, and by whom it was accepted, as far as that is told."""
        return "; ".join(told for told in (self.why, f"{ACCEPTED_BY}{self.by}" if self.by else "") if told)

    def tells_of(self, one: str, other: str) -> bool:
        """Whether it is about these two."""
        return (fnmatchcase(one, self.first) and fnmatchcase(other, self.second)) or (
            fnmatchcase(other, self.first) and fnmatchcase(one, self.second)
        )


USUAL = (
    GapRule("member", "member", 0.0),
    GapRule("member", "sheet", 0.0),
    GapRule("sheet", "sheet", 0.0),
    GapRule("member", "hull", EIGHTH),
    GapRule("sheet", "hull", EIGHTH),
    GapRule("member", "rib", SIXTEENTH),
    GapRule("member", "stringer", SIXTEENTH),
    GapRule("sheet", "rib", SIXTEENTH),
    GapRule("sheet", "stringer", SIXTEENTH),
    GapRule("lid", ANY, SIXTEENTH),
    GapRule(FITTING, ANY, EIGHTH),
    GapRule(ROOM, ANY, 0.0),
)
"""Common practice: metal clear of the skin by 1/8 in, of ribs by 1/16 in; lids 1/16 in, fittings 1/8 in."""


@dataclass(frozen=True)
class ClearanceSettings:
    """What is asked of the gaps of a boat.

    Attributes:
        rules: least gaps by kind; the closest rule holds, of two as close the later one.
        exempt: pairs by name that have a gap of their own.
        slack: how deep pieces that are joined may lie in each other, mm: what a weld takes up.
        tolerance: by how much a gap may fall short unseen, mm: about what measuring it here is worth.
        told: how many of the least gaps of a boat are told beside the findings.
    """

    rules: tuple[GapRule, ...] = USUAL
    exempt: tuple[Exempt, ...] = ()
    slack: float = 0.5
    tolerance: float = 0.05
    told: int = 12

    @cached_property
    def _known(self) -> dict[tuple[str, str], float]:
        return {}

    def least(self, one: str, other: str) -> float:
        """The gap asked between two kinds, mm."""
        key = (one, other)
        if key not in self._known:
            best, found = -1, 0.0
            for rule in self.rules:
                fit = rule.fit(one, other)
                if fit >= 0 and fit >= best:
                    best, found = fit, rule.least
            self._known[key] = found
        return self._known[key]

    def exemption(self, one: str, other: str) -> Exempt | None:
        """The last exemption that tells of two pieces by name; that of a fitting tells of its room too."""
        bare = one.removesuffix(f"/{ROOM}"), other.removesuffix(f"/{ROOM}")
        told = (e for e in reversed(self.exempt) if e.tells_of(one, other) or e.tells_of(*bare))
        return next(told, None)

    def reach(self) -> float:
        """How far apart pieces are still measured, mm: the greatest gap that any are asked to keep, or 10."""
        asked = [rule.least for rule in self.rules] + [e.least or 0.0 for e in self.exempt]
        return max([*asked, 10.0])


def _fit(rule_a: str, a: str, rule_b: str, b: str) -> int:
    one, other = _one_fit(rule_a, a), _one_fit(rule_b, b)
    return -1 if one < 0 or other < 0 else one + other


def _one_fit(rule: str, kind: str) -> int:
    """3 for the kind itself, 1 for its family, 0 for any, -1 for another kind."""
    if rule == kind:
        return 3
    if rule == FITTING and kind not in (*FIXED, *ON_HULL, ROOM, "lid"):
        return 1
    return 0 if rule == ANY else -1
