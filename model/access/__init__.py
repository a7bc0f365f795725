"""Whether things get in and out of a boat, and whether a hand gets at what needs one."""
