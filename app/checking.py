"""All checks of a boat run, and cures sought for what they find."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from parts.faults import FaultList, Place

if TYPE_CHECKING:
    from cutlists.shop_file import Shop
    from model.boat import Boat
    from model.checks.listed import Check
    from model.checks.run import Checked
    from model.hull import Hull
    from parts.yamlfile import Document

CURES = 10.0
"""Seconds for seeking cures, where there are findings; a clean boat takes none of them."""


def checked_boat(
    boat: Boat,
    file: Path,
    shop: Shop,
    tell: Callable[[str], None],
    seconds: float = CURES,
    only: Sequence[str] = (),
) -> Checked:
    """What all checks of a boat come to.

    Args:
        boat: as read from `file`.
        file: of the boat.
        shop: says what is asked.
        tell: hears what is being done.
        seconds: time for seeking the one dimension that cures each finding; 0 seeks none.
        only: names of the checks to run; all unless given.

    Raises:
        BadInput: something that is asked names what the boat has not, or there is no such check.
    """
    from model.checks.run import run_checks

    checks = _chosen(only, shop)
    checked = run_checks(boat, shop.asked, tell, checks)
    if not checked.findings or seconds <= 0.0:
        return checked
    from model.checks.cures import with_cures

    rebuild = partial(_rebuilt, file.parent, shop)
    return with_cures(boat, checked, rebuild, seconds, shop.asked, tell, checks)


def _chosen(only: Sequence[str], shop: Shop) -> tuple[Check, ...]:
    """The checks of these names in their usual order, the shop's own last; all where none is named."""
    from cutlists.stock_check import check_stock
    from cutlists.work.plan import plan_work
    from model.checks.listed import CHECKS, Check

    stock = Check("stock", "looking for sticks and sheets", lambda boat, _: check_stock(boat, shop))
    work = Check("work", "putting the work in order", lambda boat, _: plan_work(boat, shop))
    every = (*CHECKS, stock, work)
    names = [check.name for check in every]
    faults = FaultList()
    for name in only:
        if name not in names:
            faults.add(
                Place("--only", None, ""), f"there is no check '{name}'", f"give of {', '.join(names)}"
            )
    faults.raise_if_any()
    return tuple(check for check in every if not only or check.name in only)


def _rebuilt(folder: Path, shop: Shop, document: Document, hull: Hull | None) -> Boat:
    from model.boat import build_boat

    return build_boat(document, folder, catalogue=shop.catalogue, hull=hull, limber=shop.limber)
