"""Mat on the boat: which surfaces are lined, the pieces that line them, and where their grooves fall."""
