"""The command `athwart`. Thin: each command imports its workers when it runs, so that help comes at once.

Exit codes: 0 all is fine, 1 the boat has findings, 2 the input is bad, 70 a fault of Athwart itself.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from app.afloat import float_command
from app.boxes import boxes
from app.checking import CURES, checked_boat
from app.handover import handover
from app.hoses import hoses
from app.paper import labels, template
from app.price import price
from app.reading import BOAT, read_boat
from app.rods import rods
from app.scan import scan
from app.stock import stock
from app.strength import strength
from app.wires import wires
from app.work import work
from parts.faults import BadInput, one_line

if TYPE_CHECKING:
    from cutlists.plans import Plans
    from cutlists.shop_file import Shop
    from model.boat import Boat
    from model.checks.run import Checked

FINE, FINDINGS, BAD_INPUT, OWN_FAULT, STOPPED = 0, 1, 2, 70, 130


@click.group(
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog="Start with: athwart new my-boat",
)
@click.version_option(package_name="athwart", message="%(version)s")
def cli() -> None:
    """From a measured aluminium hull and a layout to the welded frame and what the shop cuts it from."""


@cli.command(short_help="Lay out a folder with a starter boat.", epilog="Example: athwart new my-boat")
@click.argument("folder", type=click.Path(path_type=Path), metavar="DIR")
def new(folder: Path) -> int:
    """Lay out DIR with a starter boat and shop settings, each line explained."""
    from app.new_boat import lay_out

    for path in lay_out(folder):
        click.echo(path)
    click.echo(f"\nnext: athwart build {folder / 'boat.yaml'}")
    return FINE


@cli.command(
    short_help="Build everything the shop cuts from.",
    epilog="Example: athwart build configs/lake16.yaml -o out/lake16",
)
@BOAT
@click.option(
    "-o",
    "--out",
    type=click.Path(path_type=Path),
    metavar="DIR",
    help="Folder; out/<boat file's name> if not given.",
)
@click.option("--table", is_flag=True, help="Print the saw list, the plans and the buy list too.")
@click.option(
    "--seconds",
    type=click.FloatRange(0.1, 3600.0),
    metavar="S",
    help="Longest search for the sticks, and for the nests; as in the shop file if not given.",
)
def build(boat: Path, out: Path | None, table: bool, seconds: float | None) -> int:
    """Build BOAT.yaml: saw list, outlines, cut plans, buy list, STEP, STL, GLB and pictures in one folder.

    An earlier build in that folder is replaced once the new one is whole; bad input leaves it as it is.
    """
    from app.build_folder import check_target, fresh_build
    from app.progress import Progress

    target = out or Path("out") / boat.stem
    check_target(target)
    with Progress() as progress:
        progress("starting")
        from app.earlier import build_before
        from app.preview.one_file import write_one_file
        from cutlists.revision import Last
        from cutlists.shop_file import shop_beside
        from cutlists.write_all import write_build
        from model.boat import load_boat

        shop = shop_beside(boat)
        before = build_before(target, shop.stock)
        shop = shop.searching(seconds) if seconds else shop
        made = load_boat(boat, progress, before.marks, shop.catalogue, shop.limber)
        checked = checked_boat(made, boat, shop, progress)
        last = Last(before.marks, before.build, before.cut, date.today().isoformat())
        with fresh_build(target) as folder:
            progress("writing the page to hand over")
            write_one_file(made, shop, checked, folder)
            plans = write_build(made, folder, progress, shop, last, checked)
    if table:
        _print_tables(made, shop, plans)
        _print_afloat(made, checked)
    code = _print_findings(made, checked)
    click.echo(f"to buy: {plans.buy.words()}")
    click.echo(f"built: {target}{os.sep}, begin with {target / 'READ-FIRST.txt'}")
    return code


@cli.command(
    short_help="Tell what is wrong with a boat.",
    epilog="Example: athwart check configs/lake16.yaml",
)
@BOAT
@click.option(
    "--pictures",
    type=click.Path(path_type=Path),
    metavar="DIR",
    help="Draw each finding into this folder; pictures of an earlier check there are replaced.",
)
@click.option("--json", "as_json", is_flag=True, help="Print the findings as JSON.")
@click.option(
    "--cures",
    type=click.FloatRange(0.0, 3600.0),
    default=CURES,
    metavar="S",
    show_default=True,
    help="Seconds for seeking the dimension that cures each finding; 0 seeks none.",
)
@click.option("--only", metavar="NAMES", help="Only these checks, such as fit,rods; all if not given.")
def check(boat: Path, pictures: Path | None, as_json: bool, cures: float, only: str | None) -> int:
    """Read BOAT.yaml, make the boat in memory and tell what is wrong; writes only the pictures asked for."""
    from app.build_folder import check_target
    from app.progress import Progress

    if pictures is not None:
        check_target(pictures)
    with Progress() as progress:
        progress("starting")
        made, shop = read_boat(boat, progress)
        names = [name.strip() for name in (only or "").split(",") if name.strip()]
        checked = checked_boat(made, boat, shop, progress, cures, names)
        shown = {} if pictures is None else _draw(made, checked, pictures, progress)
    if not as_json:
        return _print_findings(made, checked)
    from cutlists.findings.findings_json import findings_json

    click.echo(findings_json(made, checked, shown), nl=False)
    return FINDINGS if checked.findings else FINE


@cli.command(
    short_help="See a boat live in the browser.",
    epilog="Example: athwart preview configs/lake16.yaml",
)
@BOAT
@click.option(
    "--port", type=click.IntRange(0, 65535), default=0, metavar="N", help="Port; any free one if not given."
)
@click.option("--share", is_flag=True, help="For others on the network too, each by a link that works once.")
@click.option("--no-open", is_flag=True, help="Do not open the page here.")
@click.option(
    "--marks",
    type=click.Path(path_type=Path),
    metavar="DIR",
    help="Build whose piece marks are kept; out/<boat file's name> if not given.",
)
def preview(boat: Path, port: int, share: bool, no_open: bool, marks: Path | None) -> int:
    """Show BOAT.yaml in the browser, where it follows its dimensions as they are dragged, and its file."""
    from app.earlier import earlier_marks
    from app.preview.serve import serve

    earlier = earlier_marks(marks or Path("out") / boat.stem)
    serve(boat, port, share, not no_open, earlier, click.echo)
    return FINE


@cli.command(short_help="Try what Athwart stands on; tell the cure.", epilog="Example: athwart doctor")
@click.option("-q", "--quiet", is_flag=True, help="Print only what fails.")
def doctor(quiet: bool) -> int:
    """Try each library that Athwart stands on; print the line that cures what fails."""
    from app.doctor import examine, report

    results = examine()
    for line in report(results, quiet):
        click.echo(line)
    return FINDINGS if any(result.wrong for result in results) else FINE


@cli.command(
    short_help="Print the JSON Schema of a boat file.", epilog="Example: athwart schema > boat.schema.json"
)
@click.option("--shop", is_flag=True, help="That of a shop file instead.")
def schema(shop: bool) -> int:
    """Print the JSON Schema of a boat file, with which an editor completes and marks it."""
    import json

    if shop:
        from cutlists.shop_file import shop_schema as wanted
    else:
        from model.boatfile.schema import json_schema as wanted
    click.echo(json.dumps(wanted(), indent=2))
    return FINE


cli.add_command(boxes)
cli.add_command(float_command)
cli.add_command(handover)
cli.add_command(hoses)
cli.add_command(labels)
cli.add_command(price)
cli.add_command(rods)
cli.add_command(scan)
cli.add_command(stock)
cli.add_command(strength)
cli.add_command(template)
cli.add_command(wires)
cli.add_command(work)


def _draw(boat: Boat, checked: Checked, target: Path, tell: Callable[[str], None]) -> dict[int, str]:
    """Draws each finding into a fresh folder that takes the place of `target`."""
    from app.build_folder import fresh_build
    from cutlists.findings.pictures import write_pictures
    from cutlists.scene import scene_of

    with fresh_build(target) as folder:
        return write_pictures(boat, checked.findings, scene_of(boat), folder, tell)


def _print_findings(boat: Boat, checked: Checked) -> int:
    """Prints the findings, what was looked at, and a line that sums up; the exit code that goes with them."""
    from app.findings_out import print_checked
    from app.summary import summary_line

    print_checked(checked, boat.units, [summary_line(boat, len(checked.findings))])
    return FINDINGS if checked.findings else FINE


def _print_tables(boat: Boat, shop: Shop, plans: Plans) -> None:
    from rich.console import Console

    from cutlists.plans_out import plan_tables
    from cutlists.saw_list import saw_list
    from cutlists.saw_tables import print_saw_list

    print_saw_list(saw_list(boat.members, boat.marks, shop.saw))
    console = Console(highlight=False, width=None if sys.stdout.isatty() else 100)
    for table in plan_tables(plans, boat.units, shop.saw.denominator):
        console.print()
        console.print(table)
    console.print()


def _print_afloat(boat: Boat, checked: Checked) -> None:
    from app.afloat import print_afloat
    from model.capacity.float_report import FloatReport

    report = checked.reports.get("float")
    if isinstance(report, FloatReport):
        print_afloat(boat, report)


def run(arguments: list[str]) -> int:
    """Runs one command line and gives its exit code; every failure is a line on stderr, never a traceback."""
    try:
        code = cli.main(arguments, prog_name="athwart", standalone_mode=False)
        return code if isinstance(code, int) else FINE
    except BadInput as error:
        for fault in error.faults:
            click.echo(str(fault), err=True)
        return BAD_INPUT
    except click.ClickException as error:
        error.show()
        return BAD_INPUT
    except (click.Abort, KeyboardInterrupt):
        click.echo("stopped; nothing was replaced", err=True)
        return STOPPED
    except SystemExit:
        # click's way to say that the reader of a pipe, such as `head`, has seen enough.
        return FINE
    except OSError as error:
        where = f"{error.filename}: " if error.filename else ""
        click.echo(one_line(f"{where}{error.strerror or error}"), err=True)
        return BAD_INPUT
    except Exception as error:
        return _own_fault(error)


def _own_fault(error: Exception) -> int:
    """Tells of a fault of Athwart itself in one line, or in full where ATHWART_TRACE is set."""
    if os.environ.get("ATHWART_TRACE"):
        raise error
    trace = error.__traceback__
    while trace is not None and trace.tb_next is not None:
        trace = trace.tb_next
    spot = f"{Path(trace.tb_frame.f_code.co_filename).name}:{trace.tb_lineno}" if trace else "?"
    told = f"a fault of Athwart itself, {type(error).__name__} at {spot}: {error}"
    click.echo(one_line(told) + "\nATHWART_TRACE=1 shows where it comes from", err=True)
    return OWN_FAULT


def main() -> None:
    """The console script."""
    sys.exit(run(sys.argv[1:]))


if __name__ == "__main__":
    main()
