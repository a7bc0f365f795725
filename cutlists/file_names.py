"""File names from the names of materials."""

from __future__ import annotations

import re
from collections.abc import Iterable


def file_names(names: Iterable[str], spare: str) -> dict[str, str]:
    """A file name for each name, no two the same even on disks that do not tell a from A.

    Args:
        names: such as `rect-2x1x0.125`.
        spare: used where a name has no letter that a file name may hold.
    """
    found: dict[str, str] = {}
    taken: set[str] = set()
    for given in names:
        plain = re.sub(r"[^A-Za-z0-9._-]+", "-", given).strip("-.") or spare
        name, k = plain, 2
        while name.casefold() in taken:
            name, k = f"{plain}-{k}", k + 1
        taken.add(name.casefold())
        found[given] = name
    return found
