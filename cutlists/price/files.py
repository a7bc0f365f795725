"""The files of a quote in a build: for the owner, for the shop, and for the next build to compare with."""

from __future__ import annotations

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
