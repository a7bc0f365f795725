"""How a boat floats: equilibrium of the measured hull, righting arms, and what comes over the side."""
