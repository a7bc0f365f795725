"""Tables of a report in the terminal."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from cutlists.afloat.leaf import Leaf


def print_leaves(leaves: Iterable[Leaf]) -> None:
    """Prints each table with a blank line before it."""
    from rich.console import Console

    from cutlists.afloat.leaf import leaf_table

    console = Console(highlight=False)
    for leaf in leaves:
        console.print()
        console.print(leaf_table(leaf))
