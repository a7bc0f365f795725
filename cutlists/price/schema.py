"""The `quote:` part of a shop file, key by key."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StrictBool, StrictFloat, StrictInt, StrictStr

Number = StrictFloat | StrictInt
Amount = Annotated[Number, Field(ge=0, le=1e9, allow_inf_nan=False)]
Above = Annotated[Number, Field(gt=0, le=1e9, allow_inf_nan=False)]
Percent = Annotated[Number, Field(ge=0, le=1000, allow_inf_nan=False)]
Share = Annotated[Number, Field(ge=0, le=100, allow_inf_nan=False)]
Words = Annotated[StrictStr, Field(max_length=300)]
Name = Annotated[StrictStr, Field(min_length=1, max_length=60)]
KindName = Literal["materials", "fittings", "consumables", "labour", "extras"]
ByKind = Percent | dict[KindName, Percent]


class _Entry(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class CurrencyEntry(_Entry):
    """The shop's money."""

    code: Name = Field(description="by ISO 4217, such as USD or CAD")
    symbol: Annotated[StrictStr, Field(max_length=6)] = Field(
        default="", description="written beside amounts; the code if left out"
    )
    after: StrictBool = Field(default=False, description="whether it stands behind the number")


class OffcutsEntry(_Entry):
    """What becomes of offcuts worth keeping, and of stock that the shop has already."""

    kept: Literal["charge", "credit"] = Field(
        default="charge", description="whether the boat pays for them, or has them credited"
    )
    value: Share = Field(default=100, description="percent of what their share cost, where credited")
    on_hand: Literal["charge", "free"] = Field(
        default="charge", description="whether the boat pays for what comes out of the rack"
    )


class MadeLidsEntry(_Entry):
    """What a lid made to order costs: so much each, and so much a square metre."""

    each: Amount = 0
    per_m2: Amount = 0


class ConsumableEntry(_Entry):
    """Something used up: so much of it for each of what it is `per`, or one that `lasts` for so many."""

    per: Name = Field(description="what it goes by, such as cut, seam_m or mat_m2")
    price: Amount = Field(description="of one unit")
    unit: Name = Field(default="piece", description="it is bought by, such as kg")
    use: Above | None = Field(default=None, description="units for each; 1 unless given")
    lasts: Above | None = Field(default=None, description="for so many of what it goes by, in place of `use`")
    whole: StrictBool = Field(default=False, description="whether only whole units are charged")


class DiscountEntry(_Entry):
    """What is let off the price: a percent or an amount, and why."""

    percent: Share | None = None
    amount: Amount | None = None
    why: Words = ""


class RoundingEntry(_Entry):
    """To what the price before tax is rounded, and the total to the coins there are."""

    price: Amount = Field(default=0, description="the price before tax to a multiple of this; 0 leaves it")
    way: Literal["nearest", "up", "down"] = "nearest"
    total: Amount = Field(default=0, description="the total to a multiple of this, such as 0.05")


class TaxEntry(_Entry):
    """A tax, and what it is on."""

    name: Name
    percent: Share
    of: Annotated[list[KindName], Field(min_length=1)] | None = Field(
        default=None, description="kinds it is on; all unless given"
    )


class PaymentEntry(_Entry):
    """One payment; the one without `percent` is the rest."""

    name: Name
    percent: Share | None = None
    when: Words = ""


class ExtraEntry(_Entry):
    """Something else that costs money, such as haulage."""

    amount: Amount
    note: Words = ""


class AgreedEntry(_Entry):
    """What is agreed for one boat."""

    owner: Words = ""
    note: Words = ""
    discount: DiscountEntry | None = None
    extras: dict[Name, ExtraEntry] = Field(default_factory=dict)
    excluded: list[Words] = Field(default_factory=list)


class LearnEntry(_Entry):
    """Whether hours go by what finished boats took."""

    use: StrictBool = Field(default=False, description="true: learnt rates in place of the shop's own")
    boats: Annotated[StrictInt, Field(ge=2, le=1000)] = Field(
        default=4, description="fewest finished boats that a rate is taken from"
    )


class QuoteEntry(_Entry):
    """How a boat is priced; with it a build writes `quote.pdf` for the owner."""

    shop: list[Words] = Field(default_factory=list, description="lines at the head: name, place")
    currency: Name | CurrencyEntry = Field(description="its ISO 4217 code, or code, symbol, after")
    rates: dict[Name, Amount] = Field(
        default_factory=dict, description="of an hour, by kind of task; `usual` for the rest"
    )
    consumables: dict[Name, ConsumableEntry] = Field(default_factory=dict, description="by name")
    offcuts: OffcutsEntry = Field(default_factory=OffcutsEntry)
    made_lids: MadeLidsEntry | None = Field(default=None, description="lids made to order; unpriced without")
    extras: dict[Name, ExtraEntry] = Field(default_factory=dict, description="of every boat, by name")
    overhead: ByKind = Field(default=0, description="percent of cost, one number or by kind")
    markup: ByKind | None = Field(default=None, description="profit in percent of cost")
    margin: ByKind | None = Field(default=None, description="profit in percent of price, not `markup`")
    discount: DiscountEntry | None = None
    rounding: RoundingEntry = Field(default_factory=RoundingEntry)
    tax: list[TaxEntry] = Field(default_factory=list)
    payments: list[PaymentEntry] = Field(default_factory=list, description="in order, a deposit first")
    valid: Annotated[StrictInt, Field(ge=1, le=3650)] = Field(default=30, description="days it holds")
    excluded: list[Words] = Field(default_factory=list, description="what the price does not hold")
    terms: list[Words] = Field(default_factory=list, description="on the owner's sheet, a line each")
    boats: dict[Name, AgreedEntry] = Field(
        default_factory=dict, description="by the boat's short name, what is agreed for it"
    )
    learn: LearnEntry = Field(default_factory=LearnEntry)
