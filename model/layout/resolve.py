"""The layout of a boat file resolved to numbers, with every fault of the whole file told at once."""

from __future__ import annotations

from model.layout.bulkhead_plan import resolve_bulkheads
from model.layout.checks import check_hull, check_layout
from model.layout.console_plan import resolve_consoles
from model.layout.context import Context
from model.layout.deck_plan import resolve_decks
from model.layout.fixture_plan import resolve_fixtures, resolve_members, resolve_service
from model.layout.locker_plan import clear_of_walls, resolve_lockers
from model.layout.records import Layout
from model.layout.seat_box_plan import resolve_seat_boxes
from model.layout.surfaces import Surfaces
from model.layout.unchanged import unchanged


def resolve_layout(ctx: Context) -> Layout:
    """Decks first, then what stands on them or hangs under them.

    Faults are noted in the context; the layout is to be used only where there is none.

    Raises:
        BadInput: the hull is of no size for a boat, so that nothing in it can be judged.
    """
    if not check_hull(ctx):
        ctx.numbers.faults.raise_if_any()
    decks = resolve_decks(ctx)
    surfaces = Surfaces(ctx, decks)
    surfaces.decks = decks = {**decks, **resolve_seat_boxes(ctx, surfaces)}
    lockers = resolve_lockers(ctx, surfaces)
    surfaces.decks = decks = clear_of_walls(decks, lockers)
    surfaces.lockers = lockers
    layout = Layout(
        decks={name: unchanged(ctx.hull, deck) for name, deck in decks.items()},
        lockers={name: unchanged(ctx.hull, locker) for name, locker in lockers.items()},
        bulkheads=tuple(unchanged(ctx.hull, bulkhead) for bulkhead in resolve_bulkheads(ctx, surfaces)),
        consoles=tuple(unchanged(ctx.hull, console) for console in resolve_consoles(ctx, surfaces)),
        fixtures=resolve_fixtures(ctx, surfaces),
        members=resolve_members(ctx),
        fit_gap=ctx.default("fit_gap"),
        hull_gap=ctx.default("hull_gap"),
        seam_gap=ctx.default("seam_gap"),
        service=resolve_service(ctx),
    )
    check_layout(ctx, layout)
    return layout
