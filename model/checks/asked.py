"""What a shop asks of its boats, for every check in one record; a check's own settings are one field here."""

from __future__ import annotations

from dataclasses import dataclass, field

from model.access.settings import AccessSettings
from model.clearance.settings_file import FitSettings


@dataclass(frozen=True)
class Asked:
    """Settings of all checks; the usual ones unless a shop file says otherwise.

    Attributes:
        fit: gaps by kind, pairs let off by name, heights.
        access: ways out, hand and arm.
    """

    fit: FitSettings = field(default_factory=FitSettings)
    access: AccessSettings = field(default_factory=AccessSettings)
