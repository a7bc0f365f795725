"""The files of a quote in a build: for the owner, for the shop, and for the next build to compare with."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from cutlists.price.pages import write_quotes
from cutlists.price.quote_file import NAME, quote_json
from cutlists.price.tables import quote_csv

if TYPE_CHECKING:
    from cutlists.plans import Plans
    from cutlists.price.records import Quote
    from cutlists.scene import Scene
    from cutlists.shop_file import Shop
    from model.boat import Boat

Tell = Callable[[str], None]


def write_quote(boat: Boat, shop: Shop, plans: Plans, quote: Quote, scene: Scene, folder: Path) -> None:
    """Write `quote.pdf`, `quote-shop.pdf`, `quote.csv` and `quote.json`; nothing without `quote:`.

    Raises:
        OSError: a file cannot be written.
    """
    if shop.quote is None:
        return
    write_quotes(boat, quote, shop.quote, plans, scene, folder, shop.paper)
    (folder / "quote.csv").write_text(quote_csv(quote), encoding="utf-8", newline="")
    (folder / NAME).write_text(quote_json(quote), encoding="utf-8")


def write_build_quote(
    boat: Boat, shop: Shop, plans: Plans, scene: Scene, day: str, revision: str, folder: Path, tell: Tell
) -> None:
    """Price a boat that is built and write its quote; nothing where the shop file does not price.

    Args:
        boat: the finished boat.
        shop: its settings.
        plans: what is cut up and bought.
        scene: of the boat.
        day: of the build, ISO 8601; today where it is empty.
        revision: of the build.
        folder: to write into.
        tell: hears what is being done.

    Raises:
        BadInput: a discount above the price, or a store that cannot be read.
        OSError: a file cannot be written.
    """
    if shop.quote is None:
        return
    from cutlists.price.of_boat import priced

    tell("writing the quote")
    today = date.fromisoformat(day) if day else None
    write_quote(boat, shop, plans, priced(boat, shop, plans, None, today, revision), scene, folder)
