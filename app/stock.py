"""The command `athwart stock`: what the shop has on hand, and what a build took of it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from cutlists.blank import Blank
    from cutlists.shop_file import Shop
    from cutlists.store.stock import Stock

Command = Callable[..., Any]

SHOP = click.option(
    "--shop",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="The shop file or its folder; the folder you are in if not given.",
)
COUNT = click.option("-n", "count", type=click.IntRange(1, 1000), default=1, help="How many of it.")
PLACE = click.option("--place", default="", metavar="TEXT", help="Where it lies.")
NOTE = click.option("--note", default="", metavar="TEXT", help="A word for the log.")


@click.group(
    short_help="What the shop has on hand.",
    epilog="Example: athwart stock add stick rect-2x1x0.125 96-1/2 -n 3",
)
def stock() -> None:
    """Sticks, sheets and offcuts on hand, kept in the file `stock.sqlite` beside the shop file.

    Builds use what is on hand before they buy. Without that file they go by the shop file alone.
    """


@stock.command("list", short_help="Show what is on hand.", epilog="Example: athwart stock list")
@SHOP
def list_(shop: Path | None) -> None:
    """Show what is on hand, like things on one line."""
    from app.stock_lines import item_lines

    with _opened(shop) as (settings, held):
        _print(item_lines(held.items(), settings))


@stock.group(short_help="Put sticks or sheets in.")
def add() -> None:
    """Put sticks, sheets or mat in; the first begins the stock file."""


@add.command(
    "stick", short_help="Put sticks in.", epilog="Example: athwart stock add stick rect-2x1x0.125 96-1/2 -n 3"
)
@click.argument("section")
@click.argument("length", nargs=-1, required=True)
@COUNT
@PLACE
@NOTE
@SHOP
def add_stick(
    section: str, length: tuple[str, ...], count: int, place: str, note: str, shop: Path | None
) -> None:
    """Put sticks of SECTION in, each LENGTH long."""
    from app.stock_input import shop_of, stick_of

    settings = shop_of(shop)
    _add(settings, stick_of(settings, section, length), count, place, note)


@add.command(
    "sheet",
    short_help="Put sheets or offcuts in.",
    epilog="Example: athwart stock add sheet 5052-0.090 4ft x 8ft",
)
@click.argument("name")
@click.argument("size", nargs=-1)
@click.option(
    "--outline",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="A line `x, y` a corner, x along the grain; after a blank line the corners of a hole.",
)
@COUNT
@PLACE
@NOTE
@SHOP
def add_sheet(
    name: str,
    size: tuple[str, ...],
    outline: Path | None,
    count: int,
    place: str,
    note: str,
    shop: Path | None,
) -> None:
    """Put sheets NAME in, WIDTH x LENGTH with the grain along the length, or of any outline."""
    from app.stock_input import sheet_of, shop_of

    settings = shop_of(shop)
    _add(settings, sheet_of(settings, "sheet", name, size, outline), count, place, note)


@add.command("mat", short_help="Put mat in.", epilog="Example: athwart stock add mat grey 40 x 80")
@click.argument("name")
@click.argument("size", nargs=-1, required=True)
@COUNT
@PLACE
@NOTE
@SHOP
def add_mat(name: str, size: tuple[str, ...], count: int, place: str, note: str, shop: Path | None) -> None:
    """Put sheets of mat NAME in, WIDTH x LENGTH with the grooves along the length."""
    from app.stock_input import sheet_of, shop_of

    settings = shop_of(shop)
    _add(settings, sheet_of(settings, "mat", name, size, None), count, place, note)


@stock.command(short_help="Take items out.", epilog="Example: athwart stock take 3 5-8")
@click.argument("item", nargs=-1, required=True)
@NOTE
@SHOP
def take(item: tuple[str, ...], note: str, shop: Path | None) -> None:
    """Take items out by their numbers; all of them, or none where one is gone."""
    from app.stock_input import item_numbers
    from cutlists.store.records import numbers

    wanted = item_numbers(item)
    with _opened(shop) as (_, held):
        entry = held.take(wanted, note)
    click.echo(f"taken: {numbers(list(entry.went))}, entry {entry.id} of the log")


@stock.command(
    short_help="Mark a build as cut.", epilog="Example: athwart stock cut out/lake16 --place 'rack 2'"
)
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--again", is_flag=True, help="It was marked before; a second boat is cut from it.")
@click.option("--place", default="", metavar="TEXT", help="Where the offcuts are put.")
@SHOP
def cut(folder: Path, again: bool, place: str, shop: Path | None) -> None:
    """Mark the plans in the build FOLDER as cut.

    What they used goes out of the stock and their offcuts come in, all or nothing. `athwart stock undo` takes
    it back.
    """
    from app.stock_lines import marked_lines
    from cutlists.plan_file import NAME, read_plans
    from cutlists.store.mark import mark_cut
    from parts.faults import Place

    plan = read_plans(folder)
    with _opened(shop) as (settings, held):
        thick = {name: sheet.thickness for name, sheet in settings.catalogue.sheets.items()}
        where = Place(str(folder / NAME), None, "")
        _print(marked_lines(mark_cut(held, plan, where, again, thick, place), folder))


@stock.command(short_help="Take the last change back.", epilog="Example: athwart stock undo")
@click.argument("entry", type=int, required=False)
@SHOP
def undo(entry: int | None, shop: Path | None) -> None:
    """Take the last change back, or that of the ENTRY of the log if no later one builds on it."""
    with _opened(shop) as (_, held):
        undone = held.undo(entry)
    click.echo(f"undone: entry {undone.id}, {undone.what}{f' {undone.note}' if undone.note else ''}")


@stock.command(short_help="Show every change.", epilog="Example: athwart stock log -n 10")
@click.option("-n", "last", type=click.IntRange(1), metavar="N", help="Only the last N.")
@SHOP
def log(last: int | None, shop: Path | None) -> None:
    """Show every change of the stock, the newest first."""
    from app.stock_lines import entry_lines

    with _opened(shop) as (_, held):
        _print(entry_lines(held.log(-1 if last is None else last)))


@contextmanager
def _opened(shop: Path | None) -> Iterator[tuple[Shop, Stock]]:
    """The shop's settings and its stock, which must be there."""
    from app.stock_input import shop_of
    from cutlists.store.stock import open_stock

    settings = shop_of(shop)
    assert settings.stock is not None
    with open_stock(settings.stock) as held:
        yield settings, held


def _add(shop: Shop, blank: Blank, count: int, place: str, note: str) -> None:
    from cutlists.store.stock import open_stock, told_items

    assert shop.stock is not None
    sheets = shop.catalogue.sheets
    thickness = sheets[blank.name].thickness if blank.kind == "sheet" else 0.0
    with open_stock(shop.stock, create=True) as held:
        items = held.add([blank] * count, place, note, thickness)
    size = blank.size(shop.units, shop.saw.denominator)
    click.echo(f"added: {told_items(items)}, {blank.name} {size}")


def _print(lines: Iterator[str]) -> None:
    for line in lines:
        click.echo(line)
