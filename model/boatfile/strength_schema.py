"""The `strength:` part of a boat file: what the decks are asked to carry, and how far they may sag."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from model.boatfile.values import Entry, Length, Plain

Mass = Annotated[Plain, Field(description="a mass: 300 lb, 136 kg, or a bare number of kilograms")]


class StrengthEntry(Entry):
    """Loads on the decks, limits of sag and margins; every key may be left out."""

    person: Mass = Field(default="300 lb", description="mass of one heavy person")
    foot: Length = Field(default="12 in", description="side of the square that a person stands on")
    jump: float = Field(default=2.0, ge=1, le=5, description="times his weight when he jumps or lands")
    slam: float = Field(
        default=3.0, ge=1, le=10, description="times its weight that gear presses down when the hull slams"
    )
    gear: dict[str, Mass] = Field(default_factory=dict, description="mass of gear by locker")
    gear_density: float = Field(default=120.0, ge=0, le=3000, description="kg/m3 of the other lockers' gear")
    bracket_span: Length = Field(
        default="12 in", description="greatest distance between brackets of a ledger on the hull"
    )
    member_limit: float = Field(default=180, ge=50, le=1000, description="members may sag their span / this")
    sheet_limit: float = Field(default=60, ge=20, le=1000, description="sheet may sag its span / this")
    most_sag: Length = Field(default="1/4 in", description="nor may members and sheet sag more than this")
    sheet_held: float = Field(
        default=0.5,
        ge=0.05,
        le=1,
        description="how far the sheet beyond a bay holds its edges from drawing in; 1 is held fast",
    )
    ultimate_margin: float = Field(default=1.95, ge=1, le=10, description="on tensile strength")
    yield_margin: float = Field(default=1.65, ge=1, le=10, description="on yield")
    sheet_welded: bool = Field(
        default=True, description="the sheet is welded down along the members, not screwed or bonded"
    )
