"""`athwart boxes`: how long ice keeps, which blocks of foam fit, how much paint and glue it takes."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from app.reading import BOAT, read_boat

if TYPE_CHECKING:
    from cutlists.boxes.amounts import CoatingAmounts
    from model.boat import Boat
    from model.findings import Finding
    from model.foam.check import FoamReport
    from model.insulation.check import BoxReport


@click.command(
    short_help="Ice in boxes, foam that fits, paint and glue.",
    epilog="Example: athwart boxes configs/lake16.yaml",
)
@BOAT
@click.option("--json", "as_json", is_flag=True, help="Print all of it as JSON.")
@click.option("--blocks", is_flag=True, help="List every block of foam too.")
def boxes(boat: Path, as_json: bool, blocks: bool) -> int:
    """Tell how long ice keeps in boxes of BOAT.yaml, which foam fits under its decks, what paint it takes.

    Each where the boat file asks for it: `boxes`, `foam`, `finish`. It writes nothing.
    """
    from app.progress import Progress

    with Progress() as progress:
        progress("starting")
        from cutlists.boxes.amounts import coating_amounts
        from model.foam.check import check_foam
        from model.insulation.check import check_boxes

        made, shop = read_boat(boat, progress)
        progress("measuring walls of boxes")
        ice = check_boxes(made)
        progress("fitting foam under decks")
        foam = check_foam(made)
        progress("measuring what is painted")
        amounts = coating_amounts(made, shop.coatings)
    findings = (*ice.findings, *foam.findings)
    if as_json:
        from cutlists.boxes.as_json import boxes_json

        click.echo(boxes_json(ice.boxes, foam, amounts), nl=False)
    else:
        for line in (*_ice(made, ice), *_foam(made, foam, blocks), *_paint(made, amounts), *_wrong(findings)):
            click.echo(line)
    return 1 if findings else 0


def _ice(boat: Boat, report: BoxReport) -> Iterator[str]:
    from app.columns import columns
    from cutlists.boxes import ice_words

    if not report.boxes:
        yield "no insulated box is told of under `boxes` in the boat file"
    for box in report.boxes:
        yield from _wrapped(f"{box.name} {ice_words.holds_line(box, boat.units)}")
        yield ""
        yield from columns(ice_words.FACE_HEAD, ice_words.face_rows(box, boat.units), range(1, 9))
        yield ""
        yield from columns(("heat in", "W/K"), ice_words.heat_rows(box), (1,))
        yield ""
        yield from columns(*ice_words.day_rows(box, boat.units))
        yield ""
        for line in (*ice_words.working(box, boat.units), *ice_words.CAUTIONS):
            yield from _wrapped(line)
        yield ""


def _foam(boat: Boat, report: FoamReport, blocks: bool) -> Iterator[str]:
    from app.columns import columns
    from cutlists.boxes import foam_words

    plan = report.plan
    if plan is None:
        yield "no foam is asked for under `foam` in the boat file"
        return
    for line in foam_words.sum_lines(report):
        yield from _wrapped(line)
    yield ""
    yield from columns(foam_words.DECK_HEAD, foam_words.deck_rows(plan, boat.units), range(1, 7))
    yield ""
    if blocks:
        head = ("mark", "no", "board", "over all", "goes")
        yield from columns(head, foam_words.mark_rows(plan, boat.units), (1,))
        yield ""
    for line in foam_words.CAUTIONS:
        yield from _wrapped(line)
    yield ""


def _paint(boat: Boat, amounts: CoatingAmounts) -> Iterator[str]:
    from app.columns import columns
    from cutlists.boxes import covering_words

    if boat.finish is None:
        yield "no paint is asked for under `finish` in the boat file"
        return
    rows = covering_words.coat_rows(amounts, boat.units)
    yield from columns(covering_words.COAT_HEAD, rows, (3, 5))
    yield ""
    yield from columns(covering_words.TIN_HEAD, covering_words.tin_rows(amounts, boat.units), (1,))
    yield ""
    for line in (*covering_words.coverage_lines(amounts, boat.units), *covering_words.CAUTIONS):
        yield from _wrapped(line)


def _wrong(findings: tuple[Finding, ...]) -> Iterator[str]:
    for finding in findings:
        yield from _wrapped(f"{finding.kind} {finding}")


def _wrapped(line: str) -> list[str]:
    from textwrap import wrap

    from app.columns import WIDTH

    return wrap(line, WIDTH, subsequent_indent="  ")
