"""The boat: hull, layout, skeleton, panels and the solids they make."""
