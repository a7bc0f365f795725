"""Strength of a whole boat: every member, bay and foot, with what is too weak and what would cure it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from model.findings import Finding
from model.geometry import Array
from model.strength.bays import BayUse, bay_use, bays_of, foot_bears
from model.strength.bent_bars import BentBars, bent_bars
from model.strength.faces import face_ties
from model.strength.feet import Standing, standing
from model.strength.loads import all_loads
from model.strength.network import Network, network
from model.strength.part_use import PartUse
from model.strength.records import FootUse, MemberUse
from model.strength.settings import StrengthSettings
from model.strength.solve import Unheld, parted
from model.strength.spread import DeckLines, deck_lines
from model.strength.stiffness import assemble
from model.strength.ties import tied
from model.strength.uses import limits
from model.strength.words import alloy_findings, bay_findings, foot_finding, member_finding, unheld_finding

if TYPE_CHECKING:
    from model.boat import Boat


@dataclass(frozen=True, eq=False)
class StrengthReport:
    """Uses of everything that carries, and what follows.

    Attributes:
        settings: loads and limits.
        members: in the order of the boat; those that nothing holds are not among them.
        bays: of sheet between members.
        feet: of posts that stand on bare sheet.
        unheld: parts of the frame that do not stand.
        places: how many places a person was tried in.
        findings: uses above one and parts that do not stand, worst first.
        bent: hats and flanges that were counted, and that were not.
    """

    settings: StrengthSettings
    members: tuple[MemberUse, ...]
    bays: tuple[BayUse, ...]
    feet: tuple[FootUse, ...]
    unheld: tuple[Unheld, ...]
    places: int
    findings: tuple[Finding, ...]
    bent: BentBars = field(default_factory=BentBars)

    @property
    def all_uses(self) -> tuple[tuple[str, float, Array], ...]:
        """Name, use and worst place of every member, bay and foot."""
        return (
            *((m.name, m.use, m.force.where) for m in self.members),
            *((b.bay.name, b.use, b.bay.where) for b in self.bays),
            *((f.name, f.use, f.where) for f in self.feet),
        )

    def worst(self, deck: str) -> tuple[str, float, Array] | None:
        """The worst of one deck with its posts and bays; None where it carries nothing."""
        own = [row for row in self.all_uses if row[0].startswith(f"{deck}/")]
        return max(own, key=lambda row: row[1], default=None)

    @property
    def greatest(self) -> float:
        """The greatest use of the boat; infinite where a part of it does not stand."""
        return float("inf") if self.unheld else max((row[1] for row in self.all_uses), default=0.0)

    def summary(self) -> str:
        """One line: what was checked and what came of it."""
        over = sum(row[1] > 1.0 for row in self.all_uses)
        told = (
            f"strength: {len(self.members)} members, {len(self.bays)} bays of sheet, {len(self.feet)} feet "
            f"on bare sheet, one person tried in {self.places} places{self.bent.told()}"
        )
        loose = f", {len(self.unheld)} part(s) of the frame not held" if self.unheld else ""
        if not self.all_uses:
            return f"{told}: nothing to check{loose}"
        name, use, _ = max(self.all_uses, key=lambda row: row[1])
        return f"{told}: {over or 'none'} over 1.0, the greatest {use:.2f} at {name}{loose}"


def check_strength(
    boat: Boat, settings: StrengthSettings | None = None, without: Iterable[str] = ()
) -> StrengthReport:
    """The strength of a boat's frame and decks.

    Args:
        boat: the boat.
        settings: loads and limits; those of the boat file unless given.
        without: members that are thought away.
    """
    wanted = settings or boat.strength
    bent = bent_bars(boat)
    net = network(boat, wanted, frozenset(without), bent)
    decks = {name: lines for name, plan in boat.layout.decks.items() if (lines := deck_lines(net, plan))}
    bays = [bay_use(bay, wanted) for plan in boat.layout.decks.values() for bay in bays_of(net, plan)]
    members, feet, unheld, places = _frame(boat, net, decks, wanted)
    weak = [
        *(member_finding(use, boat, net) for use in members if use.use > 1.0),
        *bay_findings(bays, boat, wanted),
        *(foot_finding(use, boat) for use in feet if use.use > 1.0),
    ]
    findings = [*(unheld_finding(part, boat) for part in unheld), *alloy_findings(boat)]
    findings += sorted(weak, key=lambda finding: -(finding.short or 0.0))
    return StrengthReport(
        wanted,
        tuple(members),
        tuple(bays),
        tuple(feet),
        tuple(unheld),
        places,
        tuple(findings),
        bent,
    )


def _frame(
    boat: Boat, net: Network, decks: dict[str, DeckLines], settings: StrengthSettings
) -> tuple[list[MemberUse], list[FootUse], list[Unheld], int]:
    """Uses of members, uses of feet on bare sheet, parts that do not stand, how many places were tried."""
    if not net.members:
        return [], [], [], 0
    stiff = assemble(net)
    feet = standing(net, boat.layout, decks, settings)
    ties = [tie for foot in feet for tie in foot.ties] + face_ties(boat, net, decks, settings)
    parts, unheld = parted(net, tied(stiff.matrix, ties), ties)
    loads = all_loads(boat, net, decks, settings)
    everywhere = limits(net, stiff.elements, settings)
    members: list[MemberUse] = []
    used: list[FootUse] = []
    for part in parts:
        asked = [foot.ties[0] for foot in feet if foot.bare]
        own = PartUse(net, part, stiff.elements, loads, boat.layout.decks, everywhere, asked, settings)
        members += own.members()
        used += [_foot(net, foot, own, decks, settings) for foot in feet if _asked(net, foot, own)]
    order = {member.name: k for k, member in enumerate(net.members)}
    members.sort(key=lambda m: order[m.name])
    return members, used, unheld, sum(len(p.centres) for p in loads.places)


def _asked(net: Network, foot: Standing, part: PartUse) -> bool:
    """Whether a foot is that of a post on bare sheet, in this part."""
    upright = abs(float(net.members[foot.foot.member].axis[2])) > 0.5
    return foot.bare and upright and bool(part.place[foot.foot.node] >= 0)


def _foot(
    net: Network, foot: Standing, part: PartUse, decks: dict[str, DeckLines], settings: StrengthSettings
) -> FootUse:
    sheet = decks[foot.foot.deck].plan.sheet
    force, bears = part.pressed(foot.ties[0]), foot_bears(sheet, settings)
    name = f"{net.members[foot.foot.member].name}/foot"
    where: Array = np.array(net.points[foot.foot.node])
    return FootUse(name, foot.foot.deck, force / bears, force, bears, where)
