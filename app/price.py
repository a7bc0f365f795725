"""The command `athwart price`: quotes, alternatives, what a change costs, actuals, and rates learnt."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import click

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
    """Price BOAT.yaml, or several boats side by side; writes only what `--pdf` asks for."""
    if len(boats) > 1 and (moved or since or pdf or as_csv):
        raise click.UsageError("--set, --since, --pdf and --csv are for one boat")
    if moved and since:
        raise click.UsageError("--set is for a dimension moved, --since for an earlier build: give one")
    from app.build_folder import check_target
    from app.progress import Progress

    if pdf is not None:
        check_target(pdf)
    with Progress() as progress:
        progress("starting")
        from app.pricing import Asked, answer, values_of

        today = day.date() if day else None
        asked = Asked(boats, values_of(moved), since, pdf, lines, as_csv, learnt, today, seconds)
        told = answer(asked, progress)
    for line in told:
        click.echo(line)
    if pdf is not None:
        click.echo(f"\nwritten: {pdf / 'quote.pdf'} for the owner, {pdf / 'quote-shop.pdf'} with the working")
    return 0
