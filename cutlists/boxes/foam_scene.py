"""The blocks of foam in the frame as a scene to turn and look into; decks and lids are left off."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutlists.scene import Colour, Scene, ScenePiece, scene_of
from model.foam.plan import FoamPlan
from model.prism_mesh import meshes

if TYPE_CHECKING:
    from model.boat import Boat

FOAM = Colour("foam", 0.93, 0.86, 0.62)
SHOWN = ("hull", "members")


def foam_scene(boat: Boat, plan: FoamPlan) -> Scene:
    """Hull, frame, and each block by its name and mark in a group by its deck."""
    bare = scene_of(boat).only(SHOWN)
    made = meshes([block.prism for block in plan.blocks])
    blocks = tuple(
        ScenePiece(block.name, ("foam", block.deck), FOAM, mesh, block.mark)
        for block, mesh in zip(plan.blocks, made, strict=True)
    )
    return Scene(f"{boat.title}: foam", (*bare.pieces, *blocks), bare.lines)
