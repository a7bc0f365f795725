"""`athwart float`: weight, trim, safe loading, foam and drive of a boat, in the terminal."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from app.reading import BOAT, read_boat

if TYPE_CHECKING:
    from model.boat import Boat
    from model.capacity.float_report import FloatReport


@click.command(
    "float",
    short_help="Weigh a boat and tell how she floats; writes nothing.",
    epilog="Example: athwart float configs/lake16.yaml",
)
@BOAT
def float_command(boat: Path) -> int:
    """Weigh BOAT.yaml, set her afloat in each load case, work out what she may carry; writes nothing."""
    from app.progress import Progress

    with Progress() as progress:
        progress("starting")
        from model.capacity.float_report import check_float

        made, _ = read_boat(boat, progress)
        progress("weighing her and setting her afloat")
        report = check_float(made)
    print_afloat(made, report)
    return 1 if report.findings else 0


def print_afloat(boat: Boat, report: FloatReport) -> None:
    """Prints the sheet: tables on a terminal, plain text in a pipe."""
    from cutlists.afloat.sheet_files import afloat_text

    if not sys.stdout.isatty():
        click.echo(afloat_text(boat, report), nl=False)
        return
    from app.findings_out import finding_lines
    from app.leaves_out import print_leaves
    from cutlists.afloat.leaves import CAUTIONS, leaves

    print_leaves(leaves(boat, report))
    for line in finding_lines(report.findings, boat.units):
        click.echo(line)
    click.echo()
    for caution in CAUTIONS:
        click.echo(f"- {caution}")
