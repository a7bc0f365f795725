"""What is asked of an insulated box, and the usual numbers of heat with their sources."""

from __future__ import annotations

from dataclasses import dataclass

from parts.faults import Place

FOAMS = {
    "polystyrene": 0.033,
    "extruded": 0.035,
    "polyurethane": 0.028,
}
"""Conductivity of foams, W/(m K): expanded polystyrene as in a published exercise on an ice chest, extruded
upper half of 0.029 to 0.039, polyurethane by table 3.37 of CIBSE Guide A. A maker's own is better."""

LATENT = 333.7e3
"""Heat that melts a kilogram of ice, J."""
ICE_DENSITY = 916.7
"""kg/m3, of solid ice."""
CUBES = 0.6
"""Part of a box that ice fills when it comes in cubes (common practice)."""
FILM = 1.0 / 0.13
"""Heat that reaches a box in still air, W/(m2 K): surface resistance 0.13 m2 K/W of ISO 6946."""
SEAM = 0.2
"""What comes in at a lid with a gasket, as a share of what comes through the walls. A review of gaskets of
household refrigerators found 10 to 30 % of the whole load; this is our own choice within it."""
NO_GASKET = 0.4
"""The same of a lid without a gasket; our own guess, twice as much."""
PLASTIC = 0.2
"""Conductivity of plastic trim, W/(m K) (from memory: PVC 0.16 to 0.19, polyethylene 0.3 to 0.4)."""
TAPE = 0.04
"""Of closed-cell foam tape, W/(m K) (from memory; rigid expanded rubber has 0.032 in CIBSE Guide A)."""
ALUMINIUM = 138.0
"""Conductivity of 5052, W/(m K) (from memory)."""
CONTACT = 3000.0
"""What bare aluminium on aluminium passes where it touches, W/(m2 K) (from memory, of 2000 to 12000)."""
RIM = 3.0
"""Thickness of the plastic trim that closes the foam at the rim, mm."""


@dataclass(frozen=True)
class BoxAsked:
    """How one box is insulated besides its walls, and what is asked of it.

    Attributes:
        locker: the locker's name in the file.
        foam: name of the kind of foam, or what the file says of it.
        conductivity: of the foam, W/(m K).
        lid: foam under the lid, mm; 0 for none.
        top: foam under the deck about the opening, mm; None for as much as the frame leaves.
        gasket: whether the lid has one.
        rim: whether `plastic` trim or `metal` joins liner and box at the top.
        tape: foam tape between liner and frame, and below frame over the inside, mm; 0 for none.
        ice: masses of ice to tell the days of, kg.
        outside: temperatures outside, degrees C.
        place: where the boat file asks for it.
    """

    locker: str
    foam: str = "polystyrene"
    conductivity: float = FOAMS["polystyrene"]
    lid: float = 0.0
    top: float | None = None
    gasket: bool = False
    rim: str = "plastic"
    tape: float = 3.175
    ice: tuple[float, ...] = (5.0, 10.0, 20.0)
    outside: tuple[float, ...] = (15.0, 25.0, 35.0)
    place: Place | None = None
