"""The commands `athwart labels` and `athwart template`: paper for the pieces, in the size they are."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from app.reading import BOAT
from parts.faults import BadInput, Place, did_you_mean

if TYPE_CHECKING:
    from cutlists.packet.chosen import Chosen
    from cutlists.shop_file import Shop
    from model.boat import Boat

Marks = Mapping[str, tuple[str, str]]
"""Mark and signature by name, of an earlier build."""

OUT = click.option("-o", "--out", type=click.Path(path_type=Path), metavar="FILE", help="File to write.")


@click.command(
    short_help="Labels for the pieces.",
    epilog="Example: athwart labels configs/lake16.yaml --sheet letter-30 --start 7",
)
@BOAT
@click.argument("marks", nargs=-1, metavar="[MARK]...")
@OUT
@click.option("--sheet", default=None, metavar="NAME", help="letter-30, letter-10, A4-24 or A4-21.")
@click.option("--start", type=int, default=1, metavar="N", help="First free place of the first sheet.")
def labels(boat: Path, marks: tuple[str, ...], out: Path | None, sheet: str | None, start: int) -> None:
    """Write a PDF of labels for every piece of BOAT.yaml, or for some MARKs only."""
    from app.progress import Progress

    with Progress() as progress:
        progress("starting")
        from cutlists.packet.labels import SHEETS, labels_of, write_labels
        from cutlists.saw_list import saw_list

        made, shop, _ = _boat(boat, progress)
        name = sheet or ("letter-30" if made.units in ("in", "ft") else "A4-24")
        if name not in SHEETS:
            raise click.UsageError(f"there is no sheet {name}; there are {', '.join(SHEETS)}")
        target = out or Path(f"{boat.stem}-labels.pdf")
        saw = saw_list(made.members, made.marks, shop.saw)
        try:
            wanted = labels_of(made, saw, marks)
            pages = write_labels(target, wanted, SHEETS[name], start, progress)
        except KeyError as error:
            raise _unknown(error.args[0], set(made.marks.values())) from None
        except ValueError as error:
            raise click.UsageError(f"--start {start}: {error}") from None
    click.echo(f"{len(wanted)} labels on {pages} {'sheet' if pages == 1 else 'sheets'}: {target}")


@click.command(
    short_help="A full-size template of a piece.",
    epilog="Example: athwart template configs/lake16.yaml S17 --paper A4",
)
@BOAT
@click.argument("piece", metavar="MARK")
@OUT
@click.option("--paper", default=None, metavar="NAME", help="letter or A4, tiled; or `roll`.")
@click.option("--roll", default=None, metavar="LENGTH", help="Width of the roll, such as `36 in`.")
def template(boat: Path, piece: str, out: Path | None, paper: str | None, roll: str | None) -> None:
    """Write one sheet piece or piece of mat of BOAT.yaml at full size, to trace.

    MARK is a piece mark or a piece's name; with an edge behind it (S4/a) it is the bevel of that edge along
    the hull, as bevels.csv letters it. The file's ending says how: .pdf (the usual) on tiles or a roll, .svg
    or .dxf as one drawing.
    """
    from app.progress import Progress
    from parts.lengths import parse_length

    with Progress() as progress:
        progress("starting")
        from cutlists.packet.paper import PAPERS, papers_for
        from cutlists.packet.templates import template_svg, tiling, write_roll, write_tiles

        target = out or Path(f"{piece.replace('/', '-')}.pdf")
        if paper is not None and paper not in PAPERS:
            raise click.UsageError(f"there is no paper {paper}; there are {', '.join(PAPERS)}, or --roll")
        if target.suffix not in (".pdf", ".svg", ".dxf"):
            raise click.UsageError(f"{target.name}: a template is written as .pdf, .svg or .dxf")
        made, shop, earlier = _boat(boat, progress)
        asked = _chosen(made, shop, piece, earlier)
        found, papers = asked.template, papers_for(made.units, paper or shop.paper)
        if target.suffix == ".svg":
            target.write_text(template_svg(found), encoding="utf-8")
            told = "one drawing, full size"
        elif target.suffix == ".dxf":
            target.write_bytes(asked.dxf(shop.outline_units))
            told = "one drawing, full size"
        elif roll is not None:
            try:
                width, length = write_roll(target, found, parse_length(roll, made.units))
            except ValueError as error:
                tiles = tiling(found.size, papers.lists)
                cure = f"take a wider roll, or {tiles.count} tiles of {tiles.paper.name} without --roll"
                raise BadInput.at(Place("--roll", None, roll), str(error), cure) from None
            told = f"a roll {width:.0f} mm wide, {length:.0f} mm long"
        else:
            tiles = write_tiles(target, found, papers.lists, progress)
            told = f"{tiles.across} by {tiles.down} tiles of {tiles.paper.name}"
    click.echo(f"{found.name.split()[0]}: {told}: {target}")


def _boat(path: Path, progress: Callable[[str], None]) -> tuple[Boat, Shop, Marks | None]:
    """The boat with the marks of its last build, so that paper and pieces agree, and those marks."""
    from app.earlier import earlier_marks
    from cutlists.shop_file import shop_beside
    from model.boat import load_boat

    shop = shop_beside(path)
    earlier = earlier_marks(Path("out") / path.stem)
    return load_boat(path, progress, earlier, shop.catalogue, shop.limber), shop, earlier


def _chosen(boat: Boat, shop: Shop, asked: str, earlier: Marks | None) -> Chosen:
    """What a mark, a name, or an edge of one stands for."""
    from cutlists.packet.chosen import UnknownPieceError, chosen
    from cutlists.plans import mat_settings

    mat = None if boat.mat is None else mat_settings(boat.mat, shop)
    try:
        return chosen(boat, mat, asked, earlier)
    except UnknownPieceError as error:
        raise _unknown(asked, error.known) from None


def _unknown(asked: str, known: Sequence[str] | set[str]) -> BadInput:
    right = did_you_mean(asked, sorted(known)) or "`athwart build --table` lists the marks"
    return BadInput.at(Place("MARK", None, asked), "the boat has no such piece", right)
