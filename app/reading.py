"""The boat file that a command is given, and the boat and shop that are read of it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from cutlists.shop_file import Shop
    from model.boat import Boat

BOAT = click.argument("boat", type=click.Path(path_type=Path), metavar="BOAT.yaml")
"""The argument of a command that takes one boat file."""


def read_boat(path: Path, tell: Callable[[str], None]) -> tuple[Boat, Shop]:
    """The boat of a file with the shop beside it.

    Args:
        path: the boat file.
        tell: hears what is being done.

    Raises:
        BadInput: the faults of one of the files, all at once.
        OSError: a file cannot be read.
    """
    from cutlists.shop_file import shop_beside
    from model.boat import load_boat

    shop = shop_beside(path)
    return load_boat(path, tell, catalogue=shop.catalogue, limber=shop.limber), shop
