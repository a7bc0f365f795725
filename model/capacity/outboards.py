"""Masses of outboards, their rigging, battery and portable tank, by which the loading rules reckon."""

from __future__ import annotations

from dataclasses import dataclass

SOURCE = "ABYC S-30 Table 1A, single gasoline outboards, after a transcription; 33 CFR 183.75 holds the law's"


@dataclass(frozen=True)
class OutboardRow:
    """A row of the table: horsepower from `least` to `greatest`, the rest in pounds as printed."""

    least: float
    greatest: float
    dry: int
    running: int
    swamped: int
    rigging: int
    battery_dry: int
    battery_under: int
    tank: int
    total: int


ROWS = tuple(
    OutboardRow(*row)
    for row in (
        (0.1, 2.0, 30, 32, 27, 0, 0, 0, 0, 32),
        (2.1, 3.9, 42, 44, 37, 0, 0, 0, 0, 44),
        (4.0, 6.9, 66, 69, 59, 0, 0, 0, 25, 94),
        (7.0, 10.9, 105, 110, 94, 5, 20, 11, 50, 185),
        (11.0, 22.9, 127, 133, 113, 6, 45, 25, 50, 234),
        (23.0, 34.9, 187, 196, 167, 9, 45, 25, 100, 350),
        (35.0, 64.9, 286, 300, 255, 14, 45, 25, 100, 459),
        (65.0, 94.9, 439, 461, 392, 22, 45, 25, 100, 628),
        (95.0, 104.9, 458, 481, 409, 23, 45, 25, 100, 649),
        (105.0, 144.9, 526, 552, 469, 26, 45, 25, 100, 723),
        (145.0, 194.9, 561, 589, 501, 28, 45, 25, 100, 762),
        (195.0, 209.9, 652, 685, 582, 33, 45, 25, 100, 863),
        (210.0, 300.0, 699, 734, 624, 35, 45, 25, 100, 914),
        (300.1, 350.0, 884, 928, 789, 44, 45, 25, 100, 1117),
    )
)


def outboard_row(power: float) -> OutboardRow:
    """The row for a horsepower; between two rows the heavier one.

    Raises:
        ValueError: the table does not reach so far.
    """
    for row in ROWS:
        if power <= row.greatest:
            return row
    raise ValueError(f"{power:g} hp is beyond the table, which ends at {ROWS[-1].greatest:g} hp")
