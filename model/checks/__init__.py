"""Everything that is asked of a finished boat: one list of checks, run one after the other."""
