"""Kinds of bodies that are measured against each other, besides those of fittings."""

FIXED = ("member", "sheet")
"""Welded metal."""

ON_HULL = ("hull", "rib", "stringer")
"""What the boat came with."""

ROOM = "room"
"""What is no metal but room that a fitting needs."""
