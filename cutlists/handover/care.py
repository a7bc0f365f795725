"""How to care for the boat: what is said depends on what she has."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from cutlists.handover.naming import called

if TYPE_CHECKING:
    from model.boat import Boat

Part = tuple[str, str]
"""What it is about, and what is said (common practice throughout)."""

OWNER_CAUTIONS = (
    "The maker's capacity plate stands, whatever is worked out here: never load past it, and count what this "
    "refit added. These pages are no survey and no certificate.",
    "Local law governs what you must carry and how she is lit, fuelled and run. Have electrics, fuel and "
    "what carries people changed only by those licensed to do so.",
    "Do not drill, cut or weld her frame, nor stand loads where no deck is framed, without asking the "
    "builder.",
)


def care_of(boat: Boat) -> Iterator[Part]:
    """What to do, thing by thing."""
    kinds = {fixture.kind for fixture in boat.fixtures}
    lockers = boat.layout.lockers.values()
    if boat.mat is not None:
        yield (
            "mat",
            "Wash with fresh water, mild soap and a soft brush; no solvent, no pressure washer near an "
            "edge. Lift fish blood and fuel off at once. An edge that comes up is cleaned with alcohol and"
            " glued down before water creeps under it. Knives and pliers go on a board, not on the mat.",
        )
    if "lid" in kinds:
        yield "lids", _lids(boat)
    wells = [locker for locker in lockers if locker.kind == "well"]
    if wells:
        names = _listed([called(locker.name) for locker in wells])
        yield (
            names,
            "Rinse after each trip and leave the drain open. Check screen, pump and hose clamps each "
            "month. A well that is full shifts her trim: see the page of weights. Empty it, its pump and "
            "its hoses before frost.",
        )
    boxes = [locker for locker in lockers if locker.kind == "box"]
    if boxes:
        yield (
            _listed([called(locker.name) for locker in boxes]),
            "Leave the lid open when empty, so that it dries. No dry ice with the lid latched. Do not "
            "drill its walls: water in the foam stays there.",
        )
    if "battery" in kinds:
        yield (
            "batteries",
            "Switch off at the cut-off when she lies. Disconnect the negative first, and fit it last. Keep"
            " terminals clean, dry and covered; check hold-downs at the start of each season. Charge in "
            "the open air. Lithium and lead batteries want different chargers.",
        )
    if kinds & {"pump", "valve", "drain"}:
        yield (
            "pumps, valves and drains",
            "Try every pump by hand before each trip. Work valves once a month, so that they turn when "
            "they must. Shut those below the water when you leave her. Look at hoses and clamps twice a "
            "season. The drain plug is the first thing checked before launching.",
        )
    yield (
        "aluminium",
        "Rinse after salt. Steel, brass and copper touching the metal eat it: use stainless fasteners "
        "bedded in sealant, pick up lost hooks and sinkers from the bilge, and keep treated timber off it."
        " Look at welds beside posts, lids and the bow motor once a year; a crack is a matter for the "
        "builder.",
    )
    yield (
        "winter",
        "Plug out, bow up, lids ajar, wells, hoses and pumps empty, batteries out and kept charged where "
        "it does not freeze. Water that freezes between sheet and frame bends both.",
    )


def _lids(boat: Boat) -> str:
    words = [
        "Latch lids before running. Keep hinge lines and gutters clear of sand, and a drop of oil on pins."
    ]
    openings = [opening for deck in boat.layout.decks.values() for opening in deck.openings if opening.lid]
    if any(opening.lid and opening.lid.way.strut for opening in openings):
        words.append(
            "Gas struts tire in some years and push less in the cold: prop the lid before reaching under "
            "one, and never open up an old strut."
        )
    words.append("Nobody stands on a lid that is not latched or does not lie flat.")
    return " ".join(words)


def _listed(names: Sequence[str]) -> str:
    return ", ".join(dict.fromkeys(names))
