"""The sheets of a console: two sides on its profile, and a rectangle on each of its other faces."""

from __future__ import annotations

import numpy as np

from model.geometry import Frame, cross
from model.layout.records import ConsolePlan
from model.panel import Panel
from model.panelling.upright import corner_cuts
from parts.outline import Loop

FACES = ("foot", "back", "top", "face", "front")


def console_panels(console: ConsolePlan) -> list[Panel]:
    """The panels of a console; its foot is open."""
    own, t = console.frame, console.sheet.thickness
    profile = console.profile
    found = []
    to_port = 1.0 if own.y[1] > 0 else -1.0
    for name, sign in (("port", to_port), ("starboard", -to_port)):
        face = Frame(own.origin + sign * own.y * console.width / 2, sign * -own.x, own.z, sign * own.y)
        corners = profile * [-sign, 1.0]
        loop = Loop.polygon(corners if sign < 0 else corners[::-1])
        found.append(Panel(f"{console.name}/side.{name}", face, loop, (), console.sheet, "console"))
    cuts = corner_cuts(profile, True, t, metal_left=True)
    for i, name in enumerate(FACES):
        if name == "foot":
            continue
        j = (i + 1) % len(profile)
        step = profile[j] - profile[i]
        length = float(np.hypot(*step))
        y = (step[0] * own.x + step[1] * own.z) / length
        z = (step[1] * own.x - step[0] * own.z) / length
        x = cross(y, z)
        start = own.origin + profile[i][0] * own.x + profile[i][1] * own.z
        low = float(cuts[i]) if FACES[i - 1] != "foot" else 0.0
        high = length - (float(cuts[j]) if FACES[j] != "foot" else 0.0)
        width = console.width - 2 * t
        loop = Loop.rectangle(width, high - low, centre=(0.0, (low + high) / 2))
        found.append(
            Panel(f"{console.name}/{name}", Frame(start, x, y, z), loop, (), console.sheet, "console")
        )
    return found
