"""`athwart wires`: circuits, fuses, the wire schedule, what to buy and the day of the batteries."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from app.reading import BOAT, read_boat

if TYPE_CHECKING:
    from cutlists.shop_file import Shop
    from model.boat import Boat
    from model.electrics.report import ElectricsReport


@click.command(
    short_help="Wires to cut, fuses, hours of the batteries.",
    epilog="Example: athwart wires configs/lake16.yaml --diagram wires.svg",
)
@BOAT
@click.option(
    "--diagram", type=click.Path(path_type=Path), metavar="FILE", help="Write the one-line diagram."
)
@click.option("--labels", type=click.Path(path_type=Path), metavar="FILE", help="Write labels of the wires.")
def wires(boat: Path, diagram: Path | None, labels: Path | None) -> int:
    """Lead the wires of BOAT.yaml along its ways; tell conductors, fuses, lengths and battery hours."""
    from app.progress import Progress

    with Progress() as progress:
        progress("starting")
        from model.electrics.check import electrics_report

        made, shop = read_boat(boat, progress)
        progress("leading wires and choosing fuses")
        report = electrics_report(made)
    if report.electrics is None:
        click.echo("the boat file tells of no wires: name batteries, loads and circuits under `electrics:`")
        return 0
    _print(made, report, shop)
    _write(made, report, diagram, labels)
    return 1 if report.findings else 0


def _write(boat: Boat, report: ElectricsReport, diagram: Path | None, labels: Path | None) -> None:
    """The files that are asked for."""
    if diagram is not None:
        from cutlists.electrics.diagram import diagram_svg

        diagram.write_text(diagram_svg(report), encoding="utf-8")
        click.echo(f"one-line diagram: {diagram}")
    if labels is not None:
        from cutlists.electrics.labels import wire_labels
        from cutlists.packet.labels import SHEETS, write_labels

        sheet = SHEETS["letter-30" if boat.units in ("in", "ft") else "A4-24"]
        told = wire_labels(report)
        pages = write_labels(labels, told, sheet)
        click.echo(f"{len(told)} labels on {pages} {'sheet' if pages == 1 else 'sheets'}: {labels}")


def _print(boat: Boat, report: ElectricsReport, shop: Shop) -> None:
    """Tables on a terminal, plain text in a pipe."""
    if not sys.stdout.isatty():
        from cutlists.electrics.files import wires_text

        click.echo(wires_text(boat, report, shop.wire, shop.prices), nl=False)
        return
    from app.findings_out import finding_lines
    from app.leaves_out import print_leaves
    from cutlists.electrics.buy import wire_buy_lines
    from cutlists.electrics.leaves import wire_leaves
    from cutlists.electrics.words import CAUTIONS

    print_leaves(wire_leaves(report, wire_buy_lines(report, shop.wire, shop.prices)))
    for line in finding_lines(report.findings, boat.units):
        click.echo(line)
    click.echo()
    for caution in CAUTIONS:
        click.echo(f"- {caution}")
