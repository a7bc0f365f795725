"""Wires on paper: schedule, fuse map, what to buy, diagram, plan of the runs, current over the day."""
