"""The boat's pieces as kernel solids, each with its place in the STEP tree.

The kernel takes over a second to import: import this module late.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any

from OCP.BRep import BRep_Builder
from OCP.TopoDS import TopoDS_Compound

from cutlists.scene import items
from cutlists.step_file import StepPiece
from cutlists.twins import twins
from model.hull_solid import body_solid, sheet_solid
from model.member import Member
from model.member_solid import member_solid
from model.panel import Panel
from model.prism_solid import joined_solid, prism_solid
from model.strip import Strip
from model.strip_solid import strip_solid

if TYPE_CHECKING:
    from model.boat import Boat


def step_pieces(boat: Boat, tell: Callable[[str], None] = lambda _: None) -> Iterator[StepPiece]:
    """Every piece of the boat with its solid, in the order of `items`.

    Args:
        boat: the finished boat.
        tell: called with the name of each piece before its solid is made.
    """
    members = [member for member in boat.members if not member.is_cut_away]
    copies = {member.name: (first, motion) for member, first, motion in twins(members, boat.marks)}
    made: dict[str, Any] = {}
    for item in items(boat):
        tell(item.name)
        first, motion = copies.get(item.name, (item.record, None))
        is_copy = first is not item.record
        key = first.name if isinstance(first, Member) else item.name
        if key not in made:
            made[key] = _solid(first)
        part_name = item.mark or item.name
        yield StepPiece(item.name, item.path, part_name, made[key], item.colour, motion if is_copy else None)


def _solid(record: Any) -> Any:
    """The kernel shape of one record: a solid, or a compound where it has several."""
    if isinstance(record, Member):
        return member_solid(record)
    if isinstance(record, Panel):
        return joined_solid(record.prisms)
    if isinstance(record, Strip):
        return strip_solid(record)
    if hasattr(record, "prisms"):
        return _together([prism_solid(prism) for prism in record.prisms])
    # A hull whose sheet has no thickness has no metal; what can be shown as a solid is the body it holds.
    return sheet_solid(record) if record.thickness > 0.0 else body_solid(record)


def _together(solids: list[Any]) -> Any:
    if len(solids) == 1:
        return solids[0]
    whole, builder = TopoDS_Compound(), BRep_Builder()
    builder.MakeCompound(whole)
    for solid in solids:
        builder.Add(whole, solid)
    return whole
