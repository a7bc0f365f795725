"""Where the handles of valves on skin fittings are, which a hand must get at."""

from __future__ import annotations

from model.geometry import Array
from model.hoses.on_skin import inward
from model.hoses.plan import PlumbingPlan

HANDLE = 70.0
"""The handle of a valve on a skin fitting is so far inside the skin, mm (from memory)."""


def valve_points(plan: PlumbingPlan) -> dict[str, Array]:
    """The handles by the name of their fitting in the boat, `(3,)` mm; those of fixtures are their own."""
    return {
        f"hoses.{end.name}": end.at + HANDLE * inward(end.where)
        for end in plan.ends
        if end.valve and end.group == "skin"
    }
