"""The `work:` part of a boat file: when work begins, tasks of the boat's own, and what is left out."""

from __future__ import annotations

from datetime import date
from typing import Annotated

from pydantic import AfterValidator, Field, StrictFloat, StrictInt, StrictStr, StringConstraints
from pydantic_core import PydanticCustomError

from model.boatfile.values import Entry

TaskName = Annotated[
    str, StringConstraints(strict=True, pattern=r"^[A-Za-z0-9][A-Za-z0-9_.-]*$", max_length=60)
]
Number = StrictFloat | StrictInt
Hours = Annotated[Number, Field(ge=0, le=10_000)]
Days = Annotated[Number, Field(ge=0, le=400)]


def _is_date(text: str) -> str:
    """The text itself, if it is a date."""
    try:
        date.fromisoformat(text)
    except ValueError:
        raise PydanticCustomError("date", "it is no date; write it as 2026-12-01") from None
    return text


Day = Annotated[
    StrictStr, StringConstraints(pattern=r"^\d{4}-\d\d-\d\d$", strict=True), AfterValidator(_is_date)
]


class TaskEntry(Entry):
    """A task of the boat's own, or what is changed of one that the model gives."""

    title: StrictStr | None = Field(
        default=None,
        max_length=120,
        description="in plain words; a task that the model does not give needs it",
    )
    kind: StrictStr | None = Field(default=None, description="weld, paint, rig ...; `other` unless given")
    hours: Hours | None = Field(default=None, description="of one hand")
    wait: Days | None = Field(default=None, description="days that pass after it: lead time, curing")
    after: list[StrictStr] = Field(
        default_factory=list, description="tasks that come before it, `weld.*` for all"
    )
    before: list[StrictStr] = Field(default_factory=list, description="tasks that come after it")
    pieces: list[StrictStr] = Field(
        default_factory=list, description="pieces of the boat, `*` for any letters"
    )


class WorkEntry(Entry):
    """Changes to the order of work that the model gives."""

    start: Day | None = Field(default=None, description="date on which work begins; today unless given")
    tasks: dict[TaskName, TaskEntry] = Field(default_factory=dict)
    leave_out: list[StrictStr] = Field(
        default_factory=list, description="tasks not to be done, `mat.*` for all"
    )
