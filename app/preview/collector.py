"""Python's collector of lost memory, told that the records of a boat live on."""

from __future__ import annotations

import gc


def unhurried() -> None:
    """Has the collector look through long-lived objects seldom.

    A boat is some 100,000 records that nothing loses in a ring; at the usual thresholds the collector goes
    through all of them in the midst of a drag, which takes as long as half a picture.
    """
    gc.set_threshold(50_000, 20, 50)
