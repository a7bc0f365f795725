"""Wires: conductors and fuses by rule, cut lengths along the boat's ways, current and battery hours."""
