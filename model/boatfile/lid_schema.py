"""How a lid opens and what holds it up, as a boat file tells it."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from model.boatfile.values import Entry, Length, Plain

Eye = Annotated[
    list[Length],
    Field(
        min_length=2,
        max_length=2,
        description="[out, down]: along the shut lid from the hinge line, and below the lid's upper face",
    ),
]


class StrutEntry(Entry):
    """Gas struts of a lid, all alike; what is left out is chosen."""

    count: int = Field(default=2, strict=True, ge=1, le=6)
    force: Plain | None = Field(default=None, description="of each, drawn out: 180 N, 40 lbf, 18 kgf")
    stroke: Length | None = None
    on_lid: Eye | None = Field(default=None, description="eye on the lid")
    on_frame: Eye | None = Field(default=None, description="eye on the frame or the locker's side")
