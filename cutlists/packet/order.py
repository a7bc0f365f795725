"""Names in the order in which people count."""

from __future__ import annotations

import re


def natural(name: str) -> tuple[tuple[int, str], ...]:
    """A key that sorts `S2` before `S12`: runs of digits count as numbers."""
    return tuple(
        (int(part), "") if part.isdigit() else (-1, part) for part in re.split(r"(\d+)", name) if part
    )
