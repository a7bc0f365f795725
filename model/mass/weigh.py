"""Everything a boat is made of, weighed: by piece, by group, before and after the refit."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from shapely import union_all

from model.mass.lump import Lump, Total, by_group, total
from model.mass.skin import skin_estimate
from model.member_table import MemberTable

if TYPE_CHECKING:
    from model.boat import Boat
    from model.mat.settings import MatSettings

MAT_DENSITY = 150.0
"""Closed-cell traction mat with its glue, kg/m3 (an assumption: common foams run from 100 to 200)."""

GROUPS = ("hull", "removed", "frame", "sheet", "lids", "fittings", "batteries", "mat", "aboard")


@dataclass(frozen=True, eq=False)
class Weights:
    """What a boat weighs with nobody aboard.

    Attributes:
        hull: as weighed or estimated, and how that is known.
        how: in words.
        is_estimate: whether the hull was not weighed.
        removed: what is taken out, as positive masses.
        pieces: everything of the refit, piece by piece.
        aboard: what the file says is always aboard.
        kept: of `aboard` what was there before the refit too.
    """

    hull: Lump
    how: str
    is_estimate: bool
    removed: tuple[Lump, ...]
    pieces: tuple[Lump, ...]
    aboard: tuple[Lump, ...]
    kept: tuple[Lump, ...]

    @property
    def lumps(self) -> tuple[Lump, ...]:
        """Everything after the refit; what is taken out has masses below zero."""
        gone = tuple(Lump(lump.name, "removed", -lump.mass, lump.centre) for lump in self.removed)
        return (self.hull, *gone, *self.pieces, *self.aboard)

    @property
    def groups(self) -> dict[str, Total]:
        """Totals by group after the refit."""
        found = by_group(self.lumps)
        return {name: found[name] for name in GROUPS if name in found}

    @property
    def before(self) -> Total:
        """The boat as she was weighed, with what was aboard then."""
        return total((self.hull, *self.kept))

    @property
    def after(self) -> Total:
        """The boat with the refit in her, nobody aboard."""
        return total(self.lumps)

    @property
    def refit(self) -> Total:
        """The pieces of the refit alone."""
        return total(self.pieces)


def weigh(boat: Boat) -> Weights:
    """What a boat weighs: pieces by their solids, fittings by the catalogue, the rest as given.

    Tanks are empty; what fills them belongs to load cases.
    """
    plan = boat.weights
    estimate = skin_estimate(boat.hull)
    hull, how = estimate, "estimated from the skin: weigh her"
    if estimate.mass <= 0.0:
        how = "not known: she was not weighed, and her skin has no thickness"
    if plan.hull is not None:
        told = zip((plan.hull.x, plan.hull.y, plan.hull.z), estimate.centre.tolist(), strict=True)
        centre = np.array([value if value is not None else own for value, own in told])
        hull, how = Lump("hull", "hull", plan.hull.mass, centre), plan.hull.how
    return Weights(
        hull,
        how,
        plan.hull is None,
        plan.removed,
        tuple(piece_lumps(boat)),
        tuple(item.lump for item in plan.aboard),
        tuple(item.lump for item in plan.aboard if item.before),
    )


def piece_lumps(boat: Boat) -> Iterator[Lump]:
    """Every piece of the refit."""
    table = MemberTable(boat.members)
    for member, mass, centre in zip(boat.members, table.mass, table.centre, strict=True):
        yield Lump(member.name, "frame", float(mass), centre)
    for panel in boat.panels:
        yield Lump(panel.name, "sheet", panel.mass, panel.centre)
    for strip in boat.strips:
        yield Lump(strip.name, "sheet", strip.mass, strip.centre)
    for fixture in boat.fixtures:
        group = {"lid": "lids", "battery": "batteries"}.get(fixture.kind, "fittings")
        yield Lump(fixture.name, group, fixture.mass, fixture.centre)
    if boat.mat is not None:
        yield from _mat(boat, boat.mat)


def _mat(boat: Boat, mat: MatSettings) -> Iterator[Lump]:
    """Mat on decks and their lids and on upright faces, by the areas of what it lies on."""
    decks = boat.layout.decks.values()
    per_area = mat.thickness * MAT_DENSITY * 1e-9
    for deck in decks:
        if f"{deck.name}/top" in mat.leave_out:
            continue
        x = float(deck.plan_area().centroid.x)
        over = [other.plan_area() for other in decks if other.height_at(x) > deck.height_at(x) + 1.0]
        open_holes = [deck.in_plan(hole.polygon) for hole in deck.openings if hole.lid is None]
        bare = deck.plan_area().difference(union_all([*over, *open_holes])).buffer(-mat.reveal)
        if bare.is_empty:
            continue
        middle = bare.centroid
        centre = np.array([middle.x, middle.y, deck.height_at(middle.x) + mat.thickness / 2.0])
        yield Lump(f"{deck.name}/mat", "mat", bare.area / float(deck.frame.x[0]) * per_area, centre)
    for panel in boat.panels:
        if panel.role == "riser" and panel.name not in mat.leave_out:
            yield Lump(f"{panel.name}/mat", "mat", panel.prism.area * per_area, panel.prism.centre)
