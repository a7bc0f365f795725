"""Rods and other long things: where they lie, how long they may be, and how they are passed in."""
