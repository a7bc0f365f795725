"""A hull surveyed from a scan: points, pose, lines along the hull, and the survey that a tape would give."""
