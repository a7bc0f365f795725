"""Valves and drains: small fittings on a round foot that need a hand now and then."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from parts.fittings import Fitting


@dataclass(frozen=True, eq=False, kw_only=True)
class Valve(Fitting):
    """A valve on a round foot, such as one in a skin fitting or a line of hose."""

    kind: ClassVar[str] = "valve"
    serviced: ClassVar[bool] = True


@dataclass(frozen=True, eq=False, kw_only=True)
class Drain(Fitting):
    """A drain plug in its round flange."""

    kind: ClassVar[str] = "drain"
    serviced: ClassVar[bool] = True
