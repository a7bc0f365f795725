"""The command `athwart strength`: what the frame and decks of a boat carry, and what would do as well."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from app.reading import BOAT, read_boat
from parts.faults import BadInput, Place, did_you_mean

if TYPE_CHECKING:
    from app.progress import Progress
    from cutlists.shop_file import Shop
    from model.boat import Boat
    from model.strength.check import StrengthReport
    from model.strength.suggest import Suggestion

SHOWN = 12
"""Rows of the table of uses."""


@click.command(
    short_help="Walk the decks: use of every member and bay.",
    epilog="Example: athwart strength configs/lake16.yaml --spare",
)
@BOAT
@click.option(
    "-o", "--out", type=click.Path(path_type=Path), metavar="DIR", help="Folder for table, working, pictures."
)
@click.option("--spare", is_flag=True, help="Try what may be left out; takes a minute or more.")
@click.option(
    "--suggest", metavar="DECK", help="Find the lightest section and beam spacing; takes some minutes."
)
@click.option("--section", "sections", multiple=True, metavar="NAME", help="With --suggest: only these.")
@click.option("--jobs", type=click.IntRange(1, 256), metavar="N", help="At a time; all cores if not given.")
@click.option("--cluster", metavar="ADDRESS", help="A Dask cluster you trust, such as tcp://10.0.0.5:8786.")
@click.option("--seed", type=click.IntRange(0), default=1, help="Of the draw where choices are too many.")
def strength(
    boat: Path,
    out: Path | None,
    spare: bool,
    suggest: str | None,
    sections: tuple[str, ...],
    jobs: int | None,
    cluster: str | None,
    seed: int,
) -> int:
    """Try a person in every place of the decks of BOAT.yaml and tell the use of what carries him.

    Use is demand over what is allowed; above 1 is too weak, or too soft underfoot.
    """
    from app.progress import Progress

    with Progress() as progress:
        progress("starting")
        from model.strength.check import check_strength

        made, shop = read_boat(boat, progress)
        progress("walking the decks")
        report = check_strength(made)
        lines = _told(report, made)
        if spare:
            lines += _spare(made, jobs, cluster, progress)
        if suggest is not None:
            lines += _suggested(made, boat, shop, suggest, sections, jobs, cluster, seed, progress)
        if out is not None:
            _write(report, made, out, progress)
    for line in lines:
        click.echo(line)
    if out is not None:
        click.echo(f"written: {out}")
    return 1 if report.findings else 0


def _told(report: StrengthReport, boat: Boat) -> list[str]:
    from app.columns import columns
    from app.findings_out import finding_lines
    from cutlists.strength.working import CAUTIONS
    from model.strength.words import spot_told

    worst = sorted(report.all_uses, key=lambda row: -row[1])[:SHOWN]
    limits = {**{m.name: m.limit for m in report.members}, **{b.bay.name: b.limit for b in report.bays}}
    rows = [
        [f"{use:.2f}", name, limits.get(name, "sheet"), spot_told(where, boat.units)]
        for name, use, where in worst
    ]
    lines = columns(("use", "piece", "limited by", "worst at"), rows, right=(0,)) if rows else []
    lines += ["", *finding_lines(report.findings, boat.units), *_wrapped(report.summary(), "")]
    return [*lines, "", *_wrapped(CAUTIONS[0])]


def _wrapped(text: str, first: str = "- ") -> list[str]:
    import textwrap

    return textwrap.wrap(text, 98, initial_indent=first, subsequent_indent="  ")


def _spare(boat: Boat, jobs: int | None, cluster: str | None, progress: Progress) -> list[str]:
    """What may be left out, each alone and all together."""
    from app.columns import columns
    from model.strength.spare import spare_members

    with _cluster_faults(cluster):
        found = spare_members(boat, jobs=jobs, cluster=cluster, tell=progress)
    lines = ["", f"{found.tried} posts and beams thought away one by one; the boat can do without:"]
    if not found.single:
        return [*lines, "none of them"]
    rows = [[f"{s.mass:.2f}", f"{s.greatest:.2f}", ", ".join(s.names)] for s in found.single[:SHOWN]]
    lines += columns(("kg", "greatest use then", "piece"), rows, right=(0, 1))
    if len(found.single) > SHOWN:
        lines.append(f"and {len(found.single) - SHOWN} lighter ones")
    if found.together is not None:
        many, mass = len(found.together.names), found.together.mass
        lines.append(
            f"together {many} of them, {mass:.2f} kg, greatest use then {found.together.greatest:.2f}:"
        )
        lines += _wrapped(", ".join(found.together.names))
    return lines


def _suggested(
    boat: Boat,
    path: Path,
    shop: Shop,
    deck: str,
    sections: tuple[str, ...],
    jobs: int | None,
    cluster: str | None,
    seed: int,
    progress: Progress,
) -> list[str]:
    """The lightest frame of a deck.

    Raises:
        BadInput: there is no such deck or section.
    """
    from model.strength.suggest import suggest_frame

    decks = [name.removeprefix("deck.") for name in boat.layout.decks if name.startswith("deck.")]
    if deck not in decks:
        raise BadInput.at(
            Place(str(path), None, "decks"), f"there is no deck '{deck}'", did_you_mean(deck, decks)
        )
    for name in sections:
        if name not in shop.catalogue.sections:
            known = did_you_mean(name, shop.catalogue.sections)
            raise BadInput.at(Place("--section", None, ""), f"no section is called '{name}'", known)
    with _cluster_faults(cluster):
        found = suggest_frame(
            boat,
            deck,
            path.parent,
            shop.catalogue,
            sections=sections,
            seed=seed,
            jobs=jobs,
            cluster=cluster,
            tell=progress,
        )
    return _suggestion(found, boat.units, seed)


@contextmanager
def _cluster_faults(address: str | None) -> Iterator[None]:
    """Tells of a cluster that cannot be worked on as bad input.

    Raises:
        BadInput: no cluster answers at the address, or what it takes to ask one is not installed.
    """
    try:
        yield
    except ModuleNotFoundError as error:
        if address is None or error.name != "distributed":
            raise
        place = Place("--cluster", None, address)
        cure = "python3 -m pip install 'distributed>=2026.7,<2027'"
        raise BadInput.at(place, "dask.distributed is not installed", cure) from None
    except BadInput:
        raise
    except RuntimeError as error:
        if address is None:
            raise
        wrong = f"the cluster cannot do this work: {str(error).partition('. ')[0]}"
        cure = "install this same version of Athwart with its scheduler and workers"
        raise BadInput.at(Place("--cluster", None, address), wrong, cure) from None
    except (OSError, ValueError) as error:
        if address is None:
            raise
        place = Place("--cluster", None, address)
        raise BadInput.at(
            place, f"no cluster answers: {error}", "give the address of its scheduler"
        ) from None


def _suggestion(found: Suggestion, units: str, seed: int) -> list[str]:
    from model.strength.suggest import choice_told

    now, best = found.now, found.best
    told = f"{found.built} choices built, {len(found.checked)} checked from the lightest up"
    if found.left:
        told += f", {found.left} not drawn (seed {seed})"
    lines = [
        "",
        f"{found.deck} as it is: {choice_told(now.choice, units)};",
        f"  {now.mass:.2f} kg of members in the boat, greatest use of the deck {now.greatest or 0.0:.2f}",
    ]
    if best is None:
        return [*lines, f"{told}: none carries what is asked"]
    saved = now.mass - best.mass
    return [
        *lines,
        f"{told}; the lightest that carries:",
        f"  {choice_told(best.choice, units)};",
        f"  {best.mass:.2f} kg, {abs(saved):.2f} kg {'less' if saved >= 0 else 'more'} than now, "
        f"greatest use of the deck {best.greatest or 0.0:.2f}",
    ]


def _write(report: StrengthReport, boat: Boat, out: Path, progress: Progress) -> None:
    from cutlists.strength.files import write_strength

    out.mkdir(parents=True, exist_ok=True)
    write_strength(report, boat, out, progress)
