"""All checks of a boat run, and cures sought for what they find."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from cutlists.shop_file import Shop
    from model.boat import Boat
    from model.checks.run import Checked
    from model.hull import Hull
    from parts.yamlfile import Document

CURES = 10.0
"""Seconds for seeking cures, where there are findings; a clean boat takes none of them."""


def checked_boat(
    boat: Boat, file: Path, shop: Shop, tell: Callable[[str], None], seconds: float = CURES
) -> Checked:
    """What all checks of a boat come to.

    Args:
        boat: as read from `file`.
        file: of the boat.
        shop: says what is asked.
        tell: hears what is being done.
        seconds: time for seeking the one dimension that cures each finding; 0 seeks none.

    Raises:
        BadInput: something that is asked names what the boat has not.
    """
    from model.checks.run import run_checks

    checked = run_checks(boat, shop.asked, tell)
    if not checked.findings or seconds <= 0.0:
        return checked
    from model.checks.cures import with_cures

    return with_cures(boat, checked, partial(_rebuilt, file.parent, shop), seconds, shop.asked, tell)


def _rebuilt(folder: Path, shop: Shop, document: Document, hull: Hull | None) -> Boat:
    from model.boat import build_boat

    return build_boat(document, folder, catalogue=shop.catalogue, hull=hull, limber=shop.limber)
