"""Plans that say the same as before are the same records, so that what follows from them is not made anew."""

from __future__ import annotations

from typing import TypeVar, cast
from weakref import WeakSet

from model.hull import Hull
from model.kept import Kept, content

Plan = TypeVar("Plan")


def unchanged(hull: Hull, plan: Plan) -> Plan:
    """The plan itself, or the one on the same hull before it that is equal to the last bit."""
    if plan in _KNOWN:
        return plan
    found = cast(Plan, _PLANS.get(hull, content(plan), lambda: plan))
    _KNOWN.add(found)
    return found


_PLANS: Kept[object] = Kept(most=1000)
_KNOWN: WeakSet[object] = WeakSet()
