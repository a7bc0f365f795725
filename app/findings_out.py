"""What the terminal says of a checked boat: a table of its findings, and what was looked at."""

from __future__ import annotations

import sys
import textwrap
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import click

from app.columns import WIDTH
from parts.faults import one_line

if TYPE_CHECKING:
    from rich.text import Text

    from model.checks.run import Checked
    from model.findings import Finding

MOST_NAMES = 3
WIDTHS = (2, 40, 11, 18, 21)
"""Columns of the table; with what is between them 100 letters."""


def print_checked(checked: Checked, units: str, also: Sequence[str] = ()) -> None:
    """Prints the findings, a table on a terminal and plain lines in a pipe, and then what was looked at.

    Args:
        checked: the findings.
        units: of the boat.
        also: lines to close with.
    """
    if checked.findings and sys.stdout.isatty():
        _print_table(checked.findings, units)
        click.echo()
    else:
        for line in finding_lines(checked.findings, units):
            click.echo(line)
    for line in (*looked_at(checked), *also):
        click.echo(line)


def finding_lines(findings: Sequence[Finding], units: str) -> Iterator[str]:
    """Each finding in lines of at most 100 letters, the first at the margin and the others set in."""
    for finding in findings:
        yield from _wrapped(_plain(finding, units))


def looked_at(checked: Checked) -> Iterator[str]:
    """What was looked at, a line for each kind of check."""
    for k, line in enumerate(checked.summary):
        yield from _wrapped(f"{'checked: ' if k == 0 else '         '}{one_line(line)}", " " * 11)


def _wrapped(text: str, indent: str = "    ") -> list[str]:
    return textwrap.wrap(
        text,
        WIDTH,
        subsequent_indent=indent,
        break_long_words=False,
        break_on_hyphens=False,
        drop_whitespace=True,
    )


def _plain(finding: Finding, units: str) -> str:
    """One finding as one line: kind, pieces, what, how much is short, the cure, where, line of the file."""
    from model.checks.words import short_told, where_told

    names = _names(finding)
    short, where = short_told(finding, units), where_told(finding, units)
    parts = [
        f"{finding.kind}{' ' if names else ''}{names}: {finding.what}",
        f"short by {short}" if short else "",
        finding.cure,
        where,
    ]
    place = f" ({one_line(str(finding.place))})" if finding.place else ""
    return "; ".join(one_line(part) for part in parts if part) + place


def _names(finding: Finding) -> str:
    more = len(finding.pieces) - MOST_NAMES
    return ", ".join(finding.pieces[:MOST_NAMES]) + (f" and {more} more" if more > 0 else "")


def _print_table(findings: Sequence[Finding], units: str) -> None:
    from rich.box import SIMPLE_HEAD
    from rich.console import Console
    from rich.table import Table

    console = Console(highlight=False)
    table = Table(box=SIMPLE_HEAD, padding=(0, 1, 0, 0), show_edge=False, pad_edge=False)
    for head, width in zip(("", "what is wrong", "short by", "where", "cure"), WIDTHS, strict=True):
        table.add_column(head, width=width, overflow="fold")
    for number, finding in enumerate(findings, 1):
        table.add_row(*_row(number, finding, units), end_section=number < len(findings))
    console.print(table, width=min(console.width, WIDTH))


def _row(number: int, finding: Finding, units: str) -> list[str | Text]:
    from rich.text import Text

    from model.checks.words import short_told, where_told

    what = Text(one_line(finding.kind), style="bold red")
    what.append(f" {one_line(_names(finding))}\n", style="bold")
    what.append(one_line(finding.what), style="not bold default")
    if finding.place is not None:
        what.append(f"\n{one_line(str(finding.place))}", style="dim")
    told = (short_told(finding, units), where_told(finding, units), one_line(finding.cure))
    return [str(number), what, *map(Text, told)]
