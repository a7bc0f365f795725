"""The folder that goes with the boat, from what a build and its checks came to."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from cutlists.handover.folder import HandedOver, write_handover
from cutlists.handover.systems import systems_located, systems_pages
from model.capacity.float_report import FloatReport

if TYPE_CHECKING:
    from cutlists.scene import Scene
    from cutlists.shop_file import Shop
    from model.boat import Boat
    from model.checks.run import Checked

Tell = Callable[[str], None]


def write_owner_folder(
    boat: Boat,
    folder: Path,
    shop: Shop,
    checked: Checked,
    scene: Scene,
    revision: str = "1",
    date: str = "",
    tell: Tell = lambda _: None,
) -> Path:
    """Writes what the owner is given into an existing folder, besides the page to turn her on.

    Args:
        boat: the finished boat.
        folder: the owner's.
        shop: whose part numbers and paper it has.
        checked: what the boat's checks came to.
        scene: of the boat.
        revision: its name.
        date: of the build.
        tell: hears what is being written.

    Raises:
        OSError: something could not be written.
    """
    afloat = checked.reports.get("float")
    given = HandedOver(
        scene=scene,
        afloat=afloat if isinstance(afloat, FloatReport) else None,
        part_numbers=shop.part_numbers,
        others=tuple(systems_located(boat, checked)),
        systems=lambda papers: tuple(systems_pages(boat, checked, papers)),
        revision=revision,
        date=date,
        paper=shop.paper,
    )
    return write_handover(boat, folder, given, tell)
