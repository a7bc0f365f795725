"""Everything a shop gets of the sheet nests, as named files."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

from cutlists.file_names import file_names
from cutlists.nests.nest_table import CAUTION, nests_csv, nests_text
from cutlists.nests.ordinates import ordinates_csv, ordinates_text
from cutlists.nests.plan import nest_plan
from cutlists.nests.records import NestPlan
from cutlists.nests.settings import Material, NestSettings
from cutlists.nests.sheet_dxf import Units, sheet_dxf
from cutlists.nests.sheet_svg import sheet_svg

if TYPE_CHECKING:
    from model.boat import Boat

Tell = Callable[[str], None]


def nest_files(
    boat: Boat, settings: NestSettings | None = None, tell: Tell = lambda _: None
) -> Iterator[tuple[str, bytes]]:
    """Names and contents of the files for a boat's nests; the search is over when this returns.

    Raises:
        BadInput: pieces that no sheet holds.
    """
    settings = settings or NestSettings()
    return plan_files(nest_plan(boat, settings, tell), settings, boat.units)


def plan_files(
    plan: NestPlan, settings: NestSettings, units: str = "in", drawn_in: Units = "mm", denominator: int = 16
) -> Iterator[tuple[str, bytes]]:
    """Names and contents: for each sheet a DXF and an SVG, then the lists.

    Args:
        plan: the nests.
        settings: those it was made with.
        units: of lengths in pictures and tables.
        drawn_in: the drawing unit of the DXF files.
        denominator: fractions are of 1 / this inch.
    """
    names = file_names((material.sheet for material in plan.materials), "sheet")
    for material in plan.materials:
        grain = settings.materials.get(material.sheet, Material()).grain
        for number, nest in enumerate(material.sheets, start=1):
            name = f"{names[material.sheet]}-{number}"
            title = f"{material.sheet}, sheet {number} of {len(material.sheets)}: {nest.stock.label}"
            yield f"{name}.dxf", sheet_dxf(nest, drawn_in)
            yield f"{name}.svg", sheet_svg(nest, title, units, grain).encode()
    yield "nests.txt", nests_text(plan, units).encode()
    yield "nests.csv", nests_csv(plan, denominator).encode()
    yield "ordinates.txt", f"{CAUTION}\n{ordinates_text(plan, denominator)}".encode()
    yield "ordinates.csv", ordinates_csv(plan, denominator).encode()
