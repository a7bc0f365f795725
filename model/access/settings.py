"""What a shop asks of ways out and of reach."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class AccessSettings:
    """Lengths in mm.

    Attributes:
        gap: kept round a thing on its way out, but where it stands closer already (common practice 1/8 in).
        reach: from an opening along the arm to the fingertips. Common practice 600 mm; a woman of the 5th
            percentile reaches 677 mm from a wall behind her shoulder (NUREG-0700 rev. 3, table 11.4, after
            MIL-STD-1472G).
        hand: diameter of the least opening that an arm is put through: 120 mm, the least gap that spares an
            arm by ISO 13854; 125 mm by MIL-STD-1472F for an arm up to the shoulder (from memory).
        arm: thickness that an arm needs on its way within the boat (100 mm: the least gap that spares a hand
            or a wrist by ISO 13854).
        body: how wide the open boat must be for somebody to lean in with an arm (common practice 300 mm);
            down a narrower gap the arm is as long as from its top.
        flat: what a flat hand needs (from memory, MIL-STD-1472F: 55 mm).
        finger: what a finger needs (25 mm, ISO 13854).
        hand_length: from wrist to fingertips (common practice 190 mm).
        finger_length: what of it is fingers (common practice 80 mm).
    """

    gap: float = 3.175
    reach: float = 600.0
    hand: float = 120.0
    arm: float = 100.0
    body: float = 300.0
    flat: float = 55.0
    finger: float = 25.0
    hand_length: float = 190.0
    finger_length: float = 80.0
