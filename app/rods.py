"""The command `athwart rods`: what lies in which locker, and rod lengths as a face is moved."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from app.reading import BOAT, read_boat

if TYPE_CHECKING:
    from cutlists.shop_file import Shop
    from model.boat import Boat
    from model.rods.check import RodPlace, RodReport
    from model.rods.table import Rebuild, RodLengths

CAUTION = (
    "Metal only: no mat, padding or racks. A rod is stiff and straight here; leave the width of a hand, "
    "and try the longest one in the boat before the locker is welded."
)


@click.command(
    short_help="Lay rods in their lockers; lengths as a face moves.",
    epilog="Example: athwart rods configs/lake16.yaml --steps 5",
)
@BOAT
@click.option("--steps", type=click.IntRange(2, 25), metavar="N", help="Values of each; as in the boat file.")
@click.option("--no-table", is_flag=True, help="Leave out the table of lengths.")
def rods(boat: Path, steps: int | None, no_table: bool) -> int:
    """Tell the longest rod that lies in each locker of BOAT.yaml and is passed in, and what stops it.

    Where the boat file asks for a table, the boat is built anew with the face at each angle and offset.
    """
    from app.progress import Progress

    with Progress() as progress:
        progress("starting")
        from model.rods.check import check_rods
        from model.rods.table import rod_lengths

        made, shop = read_boat(boat, progress)
        progress("laying rods in lockers")
        report = check_rods(made)
        tables = () if no_table else rod_lengths(made, _rebuilder(made, shop), steps, progress)
    for line in (*_lines(report), *_table_lines(tables, made.units)):
        click.echo(line)
    return 1 if report.findings else 0


def _rebuilder(boat: Boat, shop: Shop) -> Rebuild:
    """What builds the boat anew from a changed document, on the hull it has."""
    from model.boat import build_boat

    return lambda document: build_boat(
        document, Path(), catalogue=shop.catalogue, hull=boat.hull, limber=shop.limber
    )


def _lines(report: RodReport) -> Iterator[str]:
    from textwrap import wrap

    from app.columns import WIDTH

    if not report.places:
        yield "no locker is marked for rods: name some under `rods:` in the boat file"
    for line in report.summary():
        yield from wrap(line, WIDTH, subsequent_indent="    ")
    for place in report.places:
        for told, held in _held(place):
            yield from wrap(f"  {told}: {', '.join(held)}", WIDTH, subsequent_indent="    ")
    for finding in report.findings:
        yield from wrap(f"{finding.kind} {finding}", WIDTH, subsequent_indent="    ")
    if report.places:
        yield from wrap(CAUTION, WIDTH)


def _held(place: RodPlace) -> Iterator[tuple[str, tuple[str, ...]]]:
    """What holds the longest where it lies, and where it is tightest on its way in."""
    from model.rods.passing import INSIDE, OVER

    if place.lying is not None:
        yield "where it lies it touches", place.lying.held_by
    if place.place.opening is None or place.lying is None:
        return
    ways = {passing.side: passing.held_by for passing in place.passings}
    for side in (INSIDE, OVER):
        if side in ways:
            yield f"{side} it is tightest between", ways[side]
        else:
            yield f"passed in {side}", ("no way was found",)


def _table_lines(tables: tuple[RodLengths, ...], units: str) -> Iterator[str]:
    from app.columns import columns
    from cutlists.rods.rod_tables import rod_length_lines

    for table in tables:
        for passes, told in ((False, "the longest that lies there"), (True, "the longest that is passed in")):
            yield ""
            across = f", {table.offset} across" if table.offset else ""
            yield f"{table.locker}: {told}; {table.angle or 'as it is'} down{across}"
            head, rows = rod_length_lines(table, units, passes)
            yield from columns(head, rows, range(1, len(head)))
