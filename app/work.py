"""The command `athwart work`: what is to be done on a boat, in what order, when; and what of it is done."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from app.reading import BOAT, read_boat

if TYPE_CHECKING:
    from cutlists.shop_file import Shop
    from cutlists.work.standing import Standing
    from model.boat import Boat


@click.command(
    short_help="Order of work: who does what when; tick what is done.",
    epilog="Example: athwart work configs/lake16.yaml --tick weld.front --hours weld.front=2.5",
)
@BOAT
@click.option("--tick", multiple=True, metavar="TASK", help="It is done; `order.*` is all of them.")
@click.option("--untick", multiple=True, metavar="TASK", help="It is not done after all.")
@click.option("--over", multiple=True, metavar="TASK", help="What it waits for has come, or is dry.")
@click.option("--hours", multiple=True, metavar="TASK=H", help="Hours spent on it; they add up.")
@click.option("--note", multiple=True, metavar="TASK=TEXT", help="A word to keep with it.")
@click.option("--on", "day", metavar="DATE", help="Day of what is ticked or spent; today if not given.")
@click.option("--undo", is_flag=True, help="Take the last entry for this boat back.")
@click.option("--log", "show_log", is_flag=True, help="Show every entry for this boat.")
@click.option("--show", multiple=True, metavar="TASK", help="All about a task: hours, pieces, order.")
@click.option("--all", "show_all", is_flag=True, help="List what is done too.")
@click.option("--start", metavar="DATE", help="Plan from this day on; from today if not given.")
@click.option(
    "-o", "--out", type=click.Path(path_type=Path), metavar="DIR", help="Folder for work.csv and work.svg."
)
def work(
    boat: Path,
    tick: tuple[str, ...],
    untick: tuple[str, ...],
    over: tuple[str, ...],
    hours: tuple[str, ...],
    note: tuple[str, ...],
    day: str | None,
    undo: bool,
    show_log: bool,
    show: tuple[str, ...],
    show_all: bool,
    start: str | None,
    out: Path | None,
) -> int:
    """Plan the work on BOAT.yaml and keep a checklist of it.

    Tasks, hours and what must come before what follow from the model; rates, hands and lead times stand under
    `work:` in the shop file. Ticks are kept in the shop's stock file; the rest is planned anew from today.
    """
    from app.progress import Progress
    from app.work_entries import Asked, date_asked, entries_asked, names_asked

    first = date_asked(start, "--start")
    asked = Asked(tick, untick, over, hours, note, date_asked(day, "--on"), undo)
    with Progress() as progress:
        made, shop = read_boat(boat, progress)
        progress("putting the work in order")
        from cutlists.work.standing import standing_of

        standing = standing_of(made, shop, first)
        told = entries_asked(made, shop, standing, asked)
        if told:
            standing = standing_of(made, shop, first)
        shown = names_asked(show, standing.plan.all_tasks, "--show")
    if out is not None:
        _write(standing, made, out)
    for line in (*told, *_lines(standing, made, shop, shown, show_log, show_all)):
        click.echo(line)
    if out is not None:
        click.echo(f"written: {out}")
    return 1 if standing.plan.findings else 0


def _lines(
    standing: Standing, boat: Boat, shop: Shop, shown: Sequence[str], show_log: bool, show_all: bool
) -> list[str]:
    from app.work_lines import log_lines, standing_lines, task_lines

    if show_log:
        return list(log_lines(shop.stock, boat.name))
    if shown:
        return [line for name in shown for line in task_lines(standing, name)]
    return list(standing_lines(standing, boat, show_all))


def _write(standing: Standing, boat: Boat, out: Path) -> None:
    from cutlists.work.files import write_work

    out.mkdir(parents=True, exist_ok=True)
    write_work(standing, boat.title, out)
