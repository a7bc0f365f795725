"""The command `athwart price`: quotes, alternatives, what a change costs, actuals, and rates learnt."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import click

from app.reading import BOAT

BOATS = click.argument(
    "boats", type=click.Path(path_type=Path), metavar="BOAT.yaml...", nargs=-1, required=True
)


class QuoteFirst(click.Group):
    """A group whose command `quote` is meant where none is named."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Puts the command in where the first word is none."""
        if args and args[0] not in (*self.commands, *ctx.help_option_names):
            args = ["quote", *args]
        return super().parse_args(ctx, args)


@click.group(
    cls=QuoteFirst,
    short_help="What a boat costs, and what a change does.",
    epilog="Example: athwart price configs/lake16.yaml --set front=15",
)
def price() -> None:
    """Price boats: `athwart price BOAT.yaml` is short for `athwart price quote BOAT.yaml`.

    How a shop prices stands under `quote:` in its shop.yaml.
    """


@price.command(
    "quote",
    short_help="Price a boat, or several side by side.",
    epilog="Example: athwart price configs/lake16.yaml configs/vee18.yaml",
)
@BOATS
@click.option(
    "--set",
    "moved",
    multiple=True,
    metavar="NAME=VALUE",
    help="A named dimension moved; tells what that costs. May be given several times.",
)
@click.option(
    "--since",
    type=click.Path(path_type=Path),
    metavar="DIR",
    help="Folder of an earlier build; tells what the changes since cost.",
)
@click.option("--lines", is_flag=True, help="Tell every line; of several boats, what differs from the first.")
@click.option(
    "--pdf",
    type=click.Path(path_type=Path),
    metavar="DIR",
    help="Write quote.pdf for the owner and quote-shop.pdf with the working into this folder.",
)
@click.option("--csv", "as_csv", is_flag=True, help="Print every line as CSV.")
@click.option(
    "--use-learned/--own-rates", "learnt", default=None, help="Hours by rates of finished boats, or not."
)
@click.option(
    "--date", "day", type=click.DateTime(["%Y-%m-%d"]), metavar="DAY", help="Made on; today if not given."
)
@click.option(
    "--seconds",
    type=click.FloatRange(0.1, 3600.0),
    metavar="S",
    help="Longest search for the sticks, and for the nests; as in the shop file if not given.",
)
def quote_command(
    boats: tuple[Path, ...],
    moved: tuple[str, ...],
    since: Path | None,
    lines: bool,
    pdf: Path | None,
    as_csv: bool,
    learnt: bool | None,
    day: datetime | None,
    seconds: float | None,
) -> int:
    """Price BOAT.yaml, or several boats side by side; writes only what `--pdf` asks for.

    The folder of a build in place of a boat file stands for the quote that was written there.
    """
    if len(boats) > 1 and (moved or since or pdf or as_csv):
        raise click.UsageError("--set, --since, --pdf and --csv are for one boat")
    if moved and since:
        raise click.UsageError("--set is for a dimension moved, --since for an earlier build: give one")
    from app.progress import Progress

    with Progress() as progress:
        progress("starting")
        from app.pricing import Asked, answer, check_folder, values_of

        if pdf is not None:
            check_folder(pdf)
        today = day.date() if day else None
        asked = Asked(boats, values_of(moved), since, pdf, lines, as_csv, learnt, today, seconds)
        told = answer(asked, progress)
    _echo(told)
    if pdf is not None:
        click.echo(f"\nwritten: {pdf / 'quote.pdf'} for the owner, {pdf / 'quote-shop.pdf'} with the working")
    return 0


SECONDS = click.option(
    "--seconds", type=click.FloatRange(0.1, 3600.0), default=0.5, metavar="S", help="Search for the plans."
)


@price.command(
    "actual",
    short_help="Note what a boat took; estimate against actual.",
    epilog="Example: athwart price actual my-boat/boat.yaml --task weld.bow --hours 6.5",
)
@BOAT
@click.option("--task", metavar="TASK", help="A task of the work plan, or a whole kind, such as weld.")
@click.option("--hours", metavar="H", help="It took.")
@click.option("--material", metavar="NAME", help="What was bought: materials, tube, or a line of the quote.")
@click.option("--cost", metavar="SUM", help="It cost, before tax.")
@click.option("--note", default="", metavar="TEXT", help="A word for the log.")
@click.option("--undo", "take_back", is_flag=True, help="Take back what was noted last of this boat.")
@click.option(
    "--against",
    type=click.Path(path_type=Path),
    metavar="DIR",
    help="Folder of the build whose quote is the estimate; the boat as it is now if not given.",
)
@SECONDS
def actual_command(
    boat: Path,
    task: str | None,
    hours: str | None,
    material: str | None,
    cost: str | None,
    note: str,
    take_back: bool,
    against: Path | None,
    seconds: float,
) -> int:
    """Note hours of a task or the cost of a material of BOAT.yaml; alone, tell all noted beside the estimate.

    It is kept in the shop's stock file. Hours noted with `athwart work` count too.
    """
    pairs = [(task, hours), (material, cost)]
    given = [pair for pair in pairs if pair != (None, None)]
    if (take_back and given) or len(given) > 1 or any(None in pair for pair in given):
        raise click.UsageError("give --task with --hours, or --material with --cost, or --undo alone")
    from app.progress import Progress

    with Progress() as progress:
        progress("starting")
        from app import price_store

        if take_back:
            told = price_store.undo(boat, progress)
        elif task is not None and hours is not None:
            told = price_store.record_hours(boat, task, hours, note, progress)
        elif material is not None and cost is not None:
            told = price_store.record_cost(boat, material, cost, note, seconds, progress)
        else:
            told = price_store.beside(boat, against, seconds, progress)
    _echo(told)
    return 0


@price.command(
    "finish",
    short_help="Note a boat as finished, to learn from.",
    epilog="Example: athwart price finish my-boat/boat.yaml",
)
@BOAT
@click.option("--reopen", is_flag=True, help="She is not finished after all.")
@SECONDS
def finish_command(boat: Path, reopen: bool, seconds: float) -> int:
    """Note BOAT.yaml as finished, with what was noted of her; rates are learnt from such boats."""
    from app.progress import Progress

    with Progress() as progress:
        progress("starting")
        from app.price_store import finish

        told = finish(boat, reopen, seconds, progress)
    _echo(told)
    return 0


@price.command(
    "learn",
    short_help="Rates learnt from finished boats.",
    epilog="Example: athwart price learn my-boat/boat.yaml",
)
@BOAT
@SECONDS
def learn_command(boat: Path, seconds: float) -> int:
    """Show what finished boats say of the hours of BOAT.yaml, beside the shop's rates; changes nothing."""
    from app.progress import Progress

    with Progress() as progress:
        progress("starting")
        from app.price_store import learn

        told = learn(boat, seconds, progress)
    _echo(told)
    return 0


def _echo(lines: list[str]) -> None:
    for line in lines:
        click.echo(line)
