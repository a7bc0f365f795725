"""The cut plans as files in a build folder, and as tables in a terminal."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from cutlists.buy_tables import buy_csv, buy_table, write_buy_xlsx
from cutlists.mats.files import files_of
from cutlists.mats.mat_list import mat_rows, mat_table
from cutlists.nests.nest_files import plan_files
from cutlists.nests.nest_table import nest_table
from cutlists.plan_file import NAME
from cutlists.plans import Plans
from cutlists.shop_file import Shop
from cutlists.sticks.cut_words import Marking
from cutlists.sticks.stick_files import stick_files
from cutlists.sticks.stick_table import stick_table
from cutlists.sticks.stick_text import stick_pictures

if TYPE_CHECKING:
    from rich.console import RenderableType

    from model.boat import Boat

Tell = Callable[[str], None]


def write_plans(plans: Plans, boat: Boat, shop: Shop, folder: Path, tell: Tell = lambda _: None) -> None:
    """Write what the shop cuts from, what it buys, and `plans.json`, into an existing folder."""
    tell("writing cut plans")
    marked, drawn = shop.saw.denominator, shop.outline_units
    _write(folder / "sticks", stick_files(plans.sticks, boat.units, marked))
    _write(folder / "nests", plan_files(plans.nests, shop.nests, boat.units, drawn, marked))
    if plans.matting and plans.mats:
        _write(folder / "mat", files_of(boat, plans.matting, plans.mats, tell, drawn))
    (folder / "buy-list.csv").write_text(buy_csv(plans.buy), encoding="utf-8", newline="")
    write_buy_xlsx(plans.buy, folder / "buy-list.xlsx")
    (folder / NAME).write_text(plans.cut.text(), encoding="utf-8")


def _write(folder: Path, files: Iterable[tuple[str, bytes]]) -> None:
    folder.mkdir()
    for name, data in files:
        (folder / name).write_bytes(data)


def plan_tables(plans: Plans, units: str, denominator: int = 16) -> Iterator[RenderableType]:
    """The plans for a terminal, none wider than 100 columns; lengths in a boat's units."""
    from rich.text import Text

    marking = Marking(units, denominator)
    yield stick_table(plans.sticks, marking)
    yield Text("\n".join(stick_pictures(plans.sticks, marking)))
    yield nest_table(plans.nests, units)
    if plans.matting:
        yield mat_table(mat_rows(plans.matting))
    yield buy_table(plans.buy)
