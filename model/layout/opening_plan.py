"""Openings: where they lie in their deck, what closes them, and whether they can be there at all."""

from __future__ import annotations

from shapely import Polygon, STRtree, box

from model.boatfile.numbers import Key
from model.boatfile.schema import OpeningEntry
from model.layout.context import Context, Copy, copies
from model.layout.edges import holds, largest
from model.layout.lid_plan import lid_plan
from model.layout.opening_drawing import INSIDE, DeckShape, Drawing, Drawn
from model.layout.records import Opening


def resolve_openings(
    ctx: Context, deck: DeckShape, entries: dict[str, OpeningEntry], *path: Key
) -> tuple[Opening, ...]:
    """The openings of a deck, both sides and repeats written out; faults are noted in the context."""
    found = [
        opening
        for key, entry in entries.items()
        for opening in resolve_opening(ctx, deck, key, entry, *path, key)
    ]
    _no_overlap(ctx, found)
    return tuple(found)


def resolve_opening(
    ctx: Context, deck: DeckShape, key: str, entry: OpeningEntry, *path: Key
) -> list[Opening]:
    """One opening of the file with its repeats; `path` leads to where it is told."""
    drawn = Drawing(ctx, deck, entry, path).drawn()
    if drawn is None:
        return []
    middle = float(drawn.outline.centroid[1])
    made = (
        _opening(ctx, deck, key, entry, drawn, copy, *path)
        for copy in copies(ctx, key, entry.both_sides, entry.every, middle, *path)
    )
    return [opening for opening in made if opening is not None]


def _opening(
    ctx: Context, deck: DeckShape, key: str, entry: OpeningEntry, described: Drawn, copy: Copy, *path: Key
) -> Opening | None:
    mirrored = copy.mirrored != deck.mirrored
    drawn = described.copied(mirrored, copy.forward)
    polygon = drawn.outline.to_shapely()
    if not holds(deck.area, polygon, INSIDE):
        out = polygon.difference(deck.area)
        ctx.fault(
            path,
            f"the opening reaches off its deck ({out.area / 100:.0f} cm2 of it)",
            f"move it within the deck, which spans {_span(ctx, deck.area)}",
        )
        return None
    setback = ctx.numbers.not_negative(entry.setback, *path, "setback")
    corners = box(*drawn.outline.bounds) if drawn.is_rectangle else Polygon(drawn.corners)
    clear = largest(corners.buffer(setback, join_style="mitre")) if setback > 0 else corners
    turn = ctx.numbers.angle(entry.rotate, *path, "rotate") * (-1.0 if mirrored else 1.0)
    lid = lid_plan(ctx, entry, drawn.outline, turn, mirrored, path)
    if lid is not None and not holds(deck.area, lid.outline.to_shapely(), 1.0):
        ctx.fault(
            (*path, "lid"), "the lid reaches off its deck", "move the opening inward, or make its flange less"
        )
    name = f"{deck.name}/{copy.name}"
    return Opening(name, key, copy.hand, deck.name, drawn.outline, polygon, corners, clear, lid, path)


def _span(ctx: Context, area: Polygon) -> str:
    u0, v0, u1, v1 = (ctx.text(value) for value in area.bounds)
    return f"{u0} to {u1} forward and {v0} to {v1} to port"


def _no_overlap(ctx: Context, openings: list[Opening]) -> None:
    """Notes openings, or their lids, that share any of their deck."""
    if len(openings) < 2:
        return
    cuts = [o.polygon for o in openings]
    lids = [o.lid.outline.to_shapely() if o.lid else Polygon() for o in openings]
    told: set[tuple[int, int]] = set()
    for what, shapes in (("openings", cuts), ("lids", lids)):
        pairs = STRtree(shapes).query(shapes, predicate="intersects").T
        for i, j in sorted((int(a), int(b)) for a, b in pairs if a < b):
            if (i, j) not in told and shapes[i].intersection(shapes[j]).area > 1.0:
                told.add((i, j))
                wrong = f"the {what} of {openings[i].name} and {openings[j].name} overlap"
                ctx.fault(openings[j].path, wrong, "move one of them, or make it smaller")
