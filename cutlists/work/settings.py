"""How a shop works: hands, hours, days off, lead times, and how long each kind of work takes it.

The usual rates are common practice for one experienced hand in a small shop, rounded, and to be replaced by
the shop's own.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StrictFloat, StrictInt, StrictStr

from cutlists.work.calendar import WorkDays
from cutlists.work.records import KINDS
from parts.faults import FaultList, Place, did_you_mean

WEEK = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
Day = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
Number = StrictFloat | StrictInt
Minutes = Annotated[Number, Field(ge=0, le=100_000, allow_inf_nan=False)]
Days = Annotated[Number, Field(ge=0, le=400, allow_inf_nan=False)]
Pace = Annotated[Number, Field(gt=0, le=100, allow_inf_nan=False)]


class _Entry(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class RatesEntry(_Entry):
    """Minutes of one hand for each of what a task is counted in; common practice."""

    point: Minutes = Field(default=2, description="a point of the survey")
    strip: Minutes = Field(default=240, description="stripping any boat")
    removed: Minutes = Field(default=60, description="a thing that is taken out of her")
    order: Minutes = Field(default=30, description="an order written and checked")
    cut: Minutes = Field(default=4, description="a saw cut: marked, set, cut, edges broken")
    hole: Minutes = Field(default=2, description="a hole drilled through a tube")
    outline: Minutes = Field(default=5, description="a metre of sheet cut, its edge broken")
    piece: Minutes = Field(default=10, description="a piece of sheet laid out")
    bend: Minutes = Field(default=8, description="a bend")
    square: Minutes = Field(default=45, description="a frame set up, squared and levelled")
    joint: Minutes = Field(default=6, description="a joint fitted and tacked")
    fit: Minutes = Field(default=30, description="an upright or locker panel fitted in place")
    seam: Minutes = Field(default=20, description="a metre of sheet seam welded, tacks and all")
    leak: Minutes = Field(default=45, description="a leak test, filling and looking")
    paint: Minutes = Field(default=35, description="a square metre cleaned, etched and coated once")
    coat: Minutes = Field(default=10, description="a square metre coated once more")
    wire: Minutes = Field(default=6, description="a metre of wire led and clipped")
    end: Minutes = Field(default=8, description="an end of a wire joined, sealed and marked")
    hose: Minutes = Field(default=8, description="a metre of hose led and clipped")
    clamp: Minutes = Field(default=5, description="an end of a hose cut, pushed on and clamped")
    plumbing: Minutes = Field(default=45, description="a pump, valve, drain or skin fitting set and sealed")
    foam: Minutes = Field(default=0.6, description="a litre of foam cut, fitted and held down")
    insulation: Minutes = Field(default=30, description="a square metre of a box insulated")
    close: Minutes = Field(default=75, description="a square metre of deck fitted, trimmed and fastened")
    mat: Minutes = Field(default=60, description="a square metre of mat cut and stuck down")
    lid: Minutes = Field(default=50, description="a lid hung, with its latch")
    strut: Minutes = Field(default=20, description="a gas strut fitted")
    rig: Minutes = Field(default=40, description="a seat, tray, battery or other fitting mounted")
    motor: Minutes = Field(default=150, description="a motor hung and connected")
    test: Minutes = Field(default=180, description="afloat: trim, leaks, pumps, wires")


class LeadEntry(_Entry):
    """Days by the calendar from an order until it is there; 0 for what lies in the shop."""

    tube: Days = Field(default=5)
    sheet: Days = Field(default=5)
    lids: Days = Field(default=21, description="lids made to order")
    parts: Days = Field(default=7, description="lids of a catalogue, seats, pumps and other fittings")
    struts: Days = Field(default=7)
    mat: Days = Field(default=10)
    wire: Days = Field(default=5)
    hose: Days = Field(default=5)
    foam: Days = Field(default=5)
    paint: Days = Field(default=3)


class CureEntry(_Entry):
    """Days by the calendar that nobody may go on: drying, curing, standing full of water."""

    paint: Days = Field(default=1)
    mat: Days = Field(default=1, description="the mat's adhesive")
    foam: Days = Field(default=0, description="blocks need none, foam that is poured does")
    leak: Days = Field(default=0.5, description="a well stands full overnight")


class WorkShopEntry(_Entry):
    """How the shop works, for the plan of work."""

    hands: int = Field(default=1, strict=True, ge=1, le=20, description="who work at once")
    day: Annotated[Number, Field(ge=0.5, le=24, allow_inf_nan=False)] = Field(
        default=8, description="hours of a working day"
    )
    begins: StrictStr = Field(default="8:00", description="when it begins, such as 7:30")
    days: list[Day] = Field(default=["mon", "tue", "wed", "thu", "fri"], min_length=1)
    holidays: list[StrictStr] = Field(default_factory=list, description="dates, such as 2026-12-25")
    lead: LeadEntry = Field(default_factory=LeadEntry, description="days from an order until it is there")
    cure: CureEntry = Field(default_factory=CureEntry, description="days of drying and curing")
    rates: RatesEntry = Field(default_factory=RatesEntry, description="minutes for each")
    pace: dict[str, Pace] = Field(
        default_factory=dict,
        description="hours of a kind of work over what the rates give, such as weld: 1.2",
    )


@dataclass(frozen=True)
class WorkSettings:
    """The same as numbers.

    Attributes:
        hands: who work at once.
        days: when they work.
        lead: days from an order until it is there, by what is ordered.
        cure: days of drying and curing.
        rates: minutes for each.
        pace: by kind of work, what its hours are multiplied with.
    """

    hands: int = 1
    days: WorkDays = field(default_factory=WorkDays)
    lead: LeadEntry = field(default_factory=LeadEntry)
    cure: CureEntry = field(default_factory=CureEntry)
    rates: RatesEntry = field(default_factory=RatesEntry)
    pace: Mapping[str, float] = field(default_factory=dict)


def work_settings(
    entry: WorkShopEntry, place: Callable[[tuple[str | int, ...]], Place], faults: FaultList
) -> WorkSettings:
    """The settings of the entry `work:` of a shop file; what is wrong goes into `faults`.

    Args:
        entry: as read.
        place: where a path of keys stands in the file.
        faults: gathers what is wrong.
    """
    holidays = set()
    for k, text in enumerate(entry.holidays):
        day = date_of(text)
        if day is None:
            faults.add(place(("holidays", k)), f"'{text}' is no date", "write it as 2026-12-25")
        else:
            holidays.add(day)
    begins = _clock(entry.begins)
    minutes = round(entry.day * 60)
    if begins is None:
        faults.add(place(("begins",)), f"'{entry.begins}' is no time of day", "write it as 7:30")
    elif begins + minutes > 24 * 60:
        faults.add(place(("day",)), "the day ends after midnight", "let it begin sooner, or be shorter")
    for kind in entry.pace:
        if kind not in KINDS:
            faults.add(place(("pace", kind)), f"there is no kind of work '{kind}'", did_you_mean(kind, KINDS))
    days = WorkDays(begins or 0, minutes, frozenset(map(WEEK.index, entry.days)), frozenset(holidays))
    return WorkSettings(entry.hands, days, entry.lead, entry.cure, entry.rates, dict(entry.pace))


def date_of(text: str) -> date | None:
    """The date of `2026-12-25`; None where the text is none."""
    try:
        return date.fromisoformat(text) if len(text) == 10 else None
    except ValueError:
        return None


def _clock(text: str) -> int | None:
    """Minutes after midnight of `7:30`; None where the text is no time of day."""
    hours, colon, minutes = text.partition(":")
    if not (colon and hours.isdecimal() and minutes.isdecimal() and len(minutes) == 2 and len(hours) <= 2):
        return None
    found = int(hours) * 60 + int(minutes)
    return found if int(minutes) < 60 and found < 24 * 60 else None
