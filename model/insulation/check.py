"""The check of insulated boxes: walls without foam, lids without foam, metal past the foam."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from model.findings import Finding
from model.insulation.plan import BoxPlan, box_plans
from parts.amounts import format_mass, format_temperature
from parts.lengths import format_length

if TYPE_CHECKING:
    from model.boat import Boat

MOST_BRIDGED = 0.5
"""Metal past the foam that passes more than this share of what the walls do is found fault with."""


@dataclass(frozen=True, eq=False)
class BoxReport:
    """Insulated boxes and what is wrong with them.

    Attributes:
        units: of the boat.
        boxes: those that the boat file asks about.
        findings: what is wrong.
    """

    units: str
    boxes: tuple[BoxPlan, ...]
    findings: tuple[Finding, ...]

    def summary(self) -> tuple[str, ...]:
        """Of each box what it holds and how long ice keeps, by the middle case of those asked."""
        return tuple(_told(box, self.units) for box in self.boxes)


def _told(box: BoxPlan, units: str) -> str:
    line = f"{box.name} holds {box.litres:.1f} litres ({box.quarts:.1f} qt)"
    if not box.asked.ice or not box.asked.outside:
        return line
    ice = min(box.asked.ice[len(box.asked.ice) // 2], box.ice_held)
    warm = box.asked.outside[len(box.asked.outside) // 2]
    days = box.heat.days(ice, warm)
    told, degrees = format_mass(ice, units), format_temperature(warm, units)
    return f"{line}; {told} of ice keep about {days:.1f} days at {degrees}, an estimate"


def check_boxes(boat: Boat) -> BoxReport:
    """The report of a boat."""
    boxes = box_plans(boat)
    findings = tuple(finding for box in boxes for finding in _findings(box, boat.units))
    return BoxReport(boat.units, boxes, findings)


def _findings(box: BoxPlan, units: str) -> Iterator[Finding]:
    place = box.asked.place
    bare = [wall.face for wall in box.walls if not wall.has_foam and wall.face not in ("lid", "deck")]
    if bare:
        wrong = f"{box.name} has no foam in {', '.join(bare)}"
        cure = "set `insulation` of the locker to board and liner, or move the wall in"
        yield Finding("ice", (box.name,), wrong, cure, None, place)
    lid = next((wall for wall in box.walls if wall.face == "lid"), None)
    if lid is not None and not lid.has_foam:
        cure = f"set `lid` under `boxes.{box.asked.locker}` and glue foam under it"
        yield Finding("ice", (box.name,), f"the lid of {box.name} has no foam", cure, None, place)
    deck = next((wall for wall in box.walls if wall.face == "deck"), None)
    if deck is not None and not deck.has_foam:
        wrong = f"the deck over {box.name} beside its lid has no foam"
        cure = "leave room between box and deck, or make the opening as large as the box"
        yield Finding("ice", (box.name,), wrong, cure, None, place)
    if box.heat.bridged > MOST_BRIDGED * box.heat.walls:
        worst = max(box.heat.bridges, key=lambda bridge: bridge.conductance)
        share = 100.0 * box.heat.bridged / box.heat.total
        wrong = (
            f"{box.name}: {share:.0f} % of the heat comes past the foam, most by {worst.name}, {worst.what}"
        )
        cure = "part the metal of liner and box: `rim: plastic`, thicker `tape` where frame lies on it"
        pieces = (box.name,) if worst.name == "rim" else (box.name, worst.name)
        yield Finding("ice", pieces, wrong, cure, None, place)
    if lid is not None and box.asked.lid > 0.0:
        room = box.inside.rim - box.inside.floor
        if box.asked.lid > room:
            told = [format_length(v, units) for v in (box.asked.lid, room)]
            wrong = (
                f"the foam of the lid of {box.name}, {told[0]}, is thicker than the box is deep, {told[1]}"
            )
            yield Finding("ice", (box.name,), wrong, "make it thinner", None, place)
