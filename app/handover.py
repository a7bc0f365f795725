"""`athwart handover`: what the owner is given with the boat."""

from __future__ import annotations

import os
from datetime import date
from pathlib import Path

import click

from app.reading import BOAT, read_boat


@click.command(
    short_help="Make the folder for the owner.",
    epilog="Example: athwart handover configs/lake16.yaml -o out/for-the-owner",
)
@BOAT
@click.option(
    "-o",
    "--out",
    type=click.Path(path_type=Path),
    metavar="DIR",
    help="Folder; out/<boat file's name>-handover if not given.",
)
def handover(boat: Path, out: Path | None) -> int:
    """Make for the owner of BOAT.yaml a PDF and a page to turn her on; every build has them too.

    The PDF tells where everything is and how to get at it, wires, fuses, pumps and valves, weights and what
    she may carry, part numbers as in shop.yaml, and how to care for her.
    """
    from app.build_folder import check_target, fresh_build
    from app.progress import Progress

    target = out or Path("out") / f"{boat.stem}-handover"
    check_target(target)
    with Progress() as progress:
        progress("starting")
        from app.checking import checked_boat
        from app.preview.one_file import write_one_file
        from cutlists.handover.files import write_owner_folder
        from cutlists.scene import scene_of

        made, shop = read_boat(boat, progress)
        checked = checked_boat(made, boat, shop, progress, seconds=0.0)
        with fresh_build(target) as folder:
            progress("writing the page to hand over")
            write_one_file(made, shop, checked, folder)
            today = date.today().isoformat()
            write_owner_folder(made, folder, shop, checked, scene_of(made), date=today, tell=progress)
    for finding in checked.findings:
        click.echo(f"{finding.kind}: {finding}", err=True)
    click.echo(f"for the owner: {target}{os.sep}")
    return 1 if checked.findings else 0
