"""Flanges: edges of flat sheet bent up or down, folded in the boat and laid flat for the cutter."""
