"""What the work on a boat is measured by: cuts, metres of seam, square metres of mat and so on."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from cutlists.welds import WeldSum, welds_of

if TYPE_CHECKING:
    from cutlists.plans import Plans
    from cutlists.shop_file import Shop
    from model.boat import Boat
    from model.panel import Panel
    from model.strip import Strip

AMOUNTS: Mapping[str, str] = {
    "boat": "boats",
    "piece": "pieces of tube and sheet",
    "tube_m": "metres of tube in the boat",
    "cut": "saw cuts",
    "joint": "welded joints",
    "seam_m": "metres of seam",
    "arc_h": "hours the arc burns",
    "filler_kg": "kilograms of filler",
    "gas_l": "litres of shielding gas",
    "sheet_m2": "square metres of sheet in the boat",
    "edge_m": "metres of sheet edge that are cut",
    "bend": "bends",
    "mat_m2": "square metres of mat",
    "lid": "lids",
    "fitting": "fittings",
    "locker": "lockers and wells",
    "wire_m": "metres of wire",
    "hose_m": "metres of hose",
    "foam_l": "litres of foam",
    "paint_m2": "square metres painted, one coat",
}
"""Names that a consumable or a learnt rate may go by, each in plain words."""


def amounts_of(boat: Boat, shop: Shop, plans: Plans) -> dict[str, float]:
    """How much there is of each of `AMOUNTS` in a boat."""
    from cutlists.work.laid import laid_in

    welds = WeldSum.of(welds_of(boat, shop.welding), shop.welding)
    sheet: tuple[Panel | Strip, ...] = (*boat.panels, *boat.strips)
    loops = [loop for piece in sheet for loop in (piece.cut_outline, *piece.cut_holes)]
    mats = plans.matting.pieces if plans.matting else ()
    laid = laid_in(boat)
    lids = sum(1 for fixture in boat.fixtures if fixture.kind == "lid")
    return {
        "boat": 1.0,
        "piece": float(len(boat.members) + len(sheet)),
        "tube_m": sum(member.length for member in boat.members) / 1e3,
        "cut": float(sum(len(stick.cuts) for stock in plans.sticks.stocks for stick in stock.sticks)),
        "joint": float(welds.count),
        "seam_m": welds.length / 1e3,
        "arc_h": welds.arc / 60.0,
        "filler_kg": welds.filler,
        "gas_l": welds.gas,
        "sheet_m2": sum(piece.area for piece in sheet) / 1e6,
        "edge_m": sum(loop.perimeter for loop in loops) / 1e3,
        "bend": float(sum(len(piece.bend_lines) for piece in sheet)),
        "mat_m2": sum(piece.area for piece in mats) / 1e6,
        "lid": float(lids),
        "fitting": float(len(boat.fixtures) - lids),
        "locker": float(len(boat.layout.lockers)),
        **{f"{kind}_m": sum(line.metres for line in laid.of(kind)) for kind in ("wire", "hose")},
        "foam_l": sum(laid.foam.values()),
        "paint_m2": _painted(boat),
    }


def _painted(boat: Boat) -> float:
    """Faces under all coat systems, m2."""
    if boat.finish is None:
        return 0.0
    from model.coverings.painted import coverings_of

    return coverings_of(boat).painted_area / 1e6
