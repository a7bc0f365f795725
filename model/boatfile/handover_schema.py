"""The `handover:` part of a boat file: what the owner's folder says besides what the model knows."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, StrictStr

from model.boatfile.values import Entry

LONGEST = 600
"""Letters in one note."""


Note = Annotated[StrictStr, Field(max_length=LONGEST)]


class HandoverEntry(Entry):
    """For whom she is, how the hull is known, and what the builder wants said."""

    owner: str | None = Field(default=None, max_length=80)
    builder: str | None = Field(default=None, max_length=120, description="name and how to reach the shop")
    hull_number: str | None = Field(default=None, max_length=40, description="as it stands on the transom")
    notes: list[Note] = Field(default_factory=list, max_length=30, description="paragraphs of your own")
