"""A quote as the file `quote.json` of a build, read back to tell what has changed since."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

from pydantic import TypeAdapter, ValidationError

from cutlists.price.records import COST, KINDS, Quote
from parts.faults import BadInput, Place

FORMAT = "athwart-quote"
VERSION = 1
"""Raised when a reader of the older form would misread the newer."""
NAME = "quote.json"


@cache
def _adapter() -> TypeAdapter[Quote]:
    return TypeAdapter(Quote)


def quote_json(quote: Quote) -> str:
    """The file: amounts as decimal text, so that no reader rounds them."""
    told = {"format": FORMAT, "version": VERSION, "quote": _adapter().dump_python(quote, mode="json")}
    return json.dumps(told, indent=1, ensure_ascii=False) + "\n"


def read_quote(folder: Path) -> Quote:
    """The quote in the folder of a build.

    Raises:
        BadInput: there is none, or it cannot be read.
    """
    path = folder / NAME
    place = Place(str(path), None, "")
    if not path.is_file():
        right = "build with `quote:` in the shop file; every such build leaves one"
        raise BadInput.at(place, "there is no quote of an earlier build here", right)
    try:
        data = json.loads(path.read_text(encoding="utf-8"))
        if data.get("format") != FORMAT or data.get("version") != VERSION:
            raise BadInput.at(place, "another version of Athwart wrote this quote", "build again")
        quote = _adapter().validate_python(data["quote"])
    except (ValueError, ValidationError, AttributeError, KeyError, RecursionError) as error:
        if isinstance(error, BadInput):
            raise
        raise BadInput.at(place, "this is no quote that can be read", "build again") from None
    whole = quote.steps and quote.steps[0].name == COST
    if not whole or any(set(step.amounts) != set(KINDS) for step in quote.steps):
        raise BadInput.at(place, "this is no quote that can be read", "build again")
    return quote
