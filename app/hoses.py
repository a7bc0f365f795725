"""The command `athwart hoses`: how hoses lie, what pumps bring, what comes through the skin."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from app.reading import BOAT, read_boat

if TYPE_CHECKING:
    from cutlists.afloat.leaf import Leaf
    from model.hoses.check import HoseReport


@click.command(
    short_help="Lead hoses; what pumps bring; holes through the skin.",
    epilog="Example: athwart hoses configs/lake16.yaml",
)
@BOAT
@click.option(
    "-o", "--out", type=click.Path(path_type=Path), metavar="DIR", help="Folder for lists and drawings."
)
@click.option("--json", "as_json", is_flag=True, help="Print the report as JSON.")
def hoses(boat: Path, out: Path | None, as_json: bool) -> int:
    """Lead the hoses of BOAT.yaml and tell lengths, what pumps bring, wells, holes through the skin."""
    from app.progress import Progress

    with Progress() as progress:
        progress("starting")
        from cutlists.hoses.files import write_plumbing
        from cutlists.hoses.goods import hose_buy_lines
        from cutlists.hoses.hoses_json import hoses_json
        from cutlists.hoses.leaves import leaves
        from model.hoses.check import hose_report

        made, shop = read_boat(boat, progress)
        progress("leading hoses and setting pumps to work")
        report = hose_report(made)
        if out is not None:
            write_plumbing(made, report, out, shop.prices, progress)
    if as_json:
        click.echo(hoses_json(report), nl=False)
    else:
        _print(report, leaves(report, hose_buy_lines(report, shop.prices)))
    if out is not None:
        click.echo(f"written: {out}", err=as_json)
    return 1 if report.findings else 0


def _print(report: HoseReport, leaves: list[Leaf]) -> None:
    """Tables on a terminal, plain text in a pipe; then remarks, findings and cautions."""
    from app.leaves_out import print_leaves
    from cutlists.afloat.leaf import leaf_lines

    if report.asked is None:
        click.echo("the boat has no hoses: tell of some under `hoses:` in the boat file")
        return
    if sys.stdout.isatty():
        print_leaves(leaves)
    else:
        for leaf in leaves:
            click.echo("\n".join((*leaf_lines(leaf), "")))
    for line in _told(report):
        click.echo(line)


def _told(report: HoseReport) -> Iterator[str]:
    from textwrap import wrap

    from app.columns import WIDTH
    from app.findings_out import finding_lines
    from model.hoses.check import CAUTIONS

    for remark in report.remarks:
        yield from wrap(f"- {remark}", WIDTH, subsequent_indent="  ")
    yield from finding_lines(report.findings, report.units)
    yield ""
    for caution in CAUTIONS:
        yield from wrap(f"- {caution}", WIDTH, subsequent_indent="  ")
