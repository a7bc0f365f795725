"""Whether the pieces of a boat clear each other, standing and moving."""
