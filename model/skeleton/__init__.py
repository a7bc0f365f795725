"""Members and joints for a layout, by rule."""
