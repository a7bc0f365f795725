"""The `bending:` part of a shop file: radii, test bends and the brake."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, StrictFloat, StrictInt, StrictStr

from parts.bending import GREATEST_K, K_FACTOR, Bending, k_from_test, least_radius
from parts.catalogue_schema import Length
from parts.faults import FaultList, Place, did_you_mean
from parts.lengths import parse_angle, parse_length
from parts.sheet import Sheet

Share = Annotated[StrictFloat | StrictInt, Field(gt=0, le=GREATEST_K)]


class TestBendEntry(BaseModel):
    """A test bend of a sheet: what its flat blank measured more than its two straight legs."""

    __test__ = False  # no test case, whatever its name says
    model_config = ConfigDict(extra="forbid", frozen=True)

    angle: StrictStr | StrictInt | StrictFloat = Field(default=90, description="turn from flat, degrees")
    radius: Length = Field(description="inside, as bent")
    allowance: Length = Field(description="flat length that the bend took up")


class BendingEntry(BaseModel):
    """How the shop bends sheet."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    k_factor: Share = Field(
        default=K_FACTOR, description="depth of the neutral axis over the thickness, 0 to 0.5"
    )
    radii: dict[str, Length] = Field(
        default_factory=dict, description="inside radius by name of sheet; the alloy's least unless given"
    )
    tested: dict[str, TestBendEntry] = Field(
        default_factory=dict, description="test bends by name of sheet, in place of `k_factor`"
    )
    brake: Length = Field(default="8 ft", description="the longest bend that the brake makes")
    relief: Length | None = Field(
        default=None, description="width of notches beside a bend; the sheet's thickness unless given"
    )
    punch: Length = Field(
        default="1/2 in", description="thickness of the upright punch, which sheet bent earlier must clear"
    )
    flange: Length | None = Field(default=None, description="the lowest flange that the brake holds, outside")


def bending_of(
    entry: BendingEntry,
    units: str,
    place: Callable[[tuple[str, ...]], Place],
    faults: FaultList,
    sheets: Collection[Sheet],
) -> Bending:
    """The bending of a shop; what is wrong goes into `faults`.

    Args:
        entry: as read.
        units: of bare numbers.
        place: where a path of keys stands in the file.
        faults: gathers what is wrong.
        sheets: of the catalogue.
    """
    known = {sheet.name: sheet for sheet in sheets}

    def length(value: Any, *keys: str) -> float:
        try:
            found = parse_length(value, units)
        except ValueError as error:
            wrong, _, right = str(error).partition("; ")
            faults.add(place(keys), wrong, right)
            return math.nan
        if found <= 0:
            faults.add(place(keys), f"{value} is not above zero", "give a length above zero")
            return math.nan
        return found

    def of_sheet(key: str, name: str) -> Sheet | None:
        if name not in known:
            faults.add(place((key, name)), f"there is no sheet '{name}'", did_you_mean(name, known))
        return known.get(name)

    radii = {}
    for name, value in entry.radii.items():
        sheet, radii[name] = of_sheet("radii", name), length(value, "radii", name)
        least = None if sheet is None else least_radius(sheet.alloy.name, sheet.thickness)
        if sheet is not None and least is not None and radii[name] < least - 1e-6:
            wrong = f"an inside radius of {value} may crack {sheet.alloy.name} of {name}"
            faults.add(place(("radii", name)), wrong, f"give {least:.2f} mm or more")
    tested = {}
    for name, test in entry.tested.items():
        sheet = of_sheet("tested", name)
        radius = length(test.radius, "tested", name, "radius")
        allowance = length(test.allowance, "tested", name, "allowance")
        angle = _angle(test.angle, place(("tested", name, "angle")), faults)
        if sheet is not None and not math.isnan(radius + allowance + angle):
            tested[name] = _k(angle, radius, sheet, allowance, place(("tested", name)), faults)
    relief, flange = (
        None if value is None else length(value, key)
        for key, value in (("relief", entry.relief), ("flange", entry.flange))
    )
    brake, punch = length(entry.brake, "brake"), length(entry.punch, "punch")
    return Bending(float(entry.k_factor), radii, tested, brake, relief, punch, flange)


def _angle(value: Any, place: Place, faults: FaultList) -> float:
    try:
        found = parse_angle(value)
    except ValueError as error:
        wrong, _, right = str(error).partition("; ")
        faults.add(place, wrong, right)
        return math.nan
    if not 0.0 < found < math.pi:
        faults.add(place, f"{value} is no bend", "give the turn from flat, above 0 and below 180 degrees")
        return math.nan
    return found


def _k(angle: float, radius: float, sheet: Sheet, allowance: float, place: Place, faults: FaultList) -> float:
    k = k_from_test(angle, radius, sheet.thickness, allowance)
    if not 0.0 <= k <= GREATEST_K:
        least, most = (angle * (radius + share * sheet.thickness) for share in (0.0, GREATEST_K))
        wrong = f"this test bend puts the neutral axis at {k:.2f} of the thickness"
        faults.add(place, wrong, f"measure again: its allowance is {least:.2f} to {most:.2f} mm")
        return GREATEST_K
    return k
