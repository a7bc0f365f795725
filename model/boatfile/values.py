"""The values of a boat file as its schema sees them: lengths, angles, points, names, mappings."""

from __future__ import annotations

from typing import Annotated, Any, Literal, get_args

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    StrictFloat,
    StrictInt,
    StrictStr,
    StringConstraints,
    model_validator,
)
from pydantic_core import PydanticCustomError

from parts.expressions import RESERVED

TAKEN = frozenset({"hull", "opening", "all", "none"})
"""Words that mean something of their own where a name could stand."""

# Strict, so that `true` is not taken for a length of 1.
Plain = StrictStr | StrictInt | StrictFloat
Length = Annotated[
    Plain,
    Field(description="a length: 63-1/4 in, 5' 3-1/4\", 1606 mm, a bare number in `units`, or an expression"),
]
Angle = Annotated[Plain, Field(description="an angle in degrees, or an expression over `angles`")]
Degrees = Annotated[float, Field(strict=True, ge=-360, le=360)]
PlanPoint = Annotated[list[Length], Field(min_length=2, max_length=2, description="[x, y] in plan")]
SpacePoint = Annotated[list[Length], Field(min_length=3, max_length=3, description="[x, y, z]")]
Side = Literal["port", "starboard", "aft", "forward"]


def _free(name: str) -> str:
    """The name itself, unless it has a meaning of its own."""
    if name in TAKEN:
        raise PydanticCustomError("taken", "it has a meaning of its own")
    return name


# Names become parts of the names of pieces and files.
Name = Annotated[
    str,
    StringConstraints(strict=True, pattern=r"^[A-Za-z0-9][A-Za-z0-9_-]*$", max_length=40),
    AfterValidator(_free),
]


def _readable(name: str) -> str:
    """The name itself, unless an expression would read it as a unit or a function."""
    if name in RESERVED:
        raise PydanticCustomError("taken", "it is a unit or a function")
    return name


Word = Annotated[
    str,
    StringConstraints(strict=True, pattern=r"^[A-Za-z_][A-Za-z0-9_]*$", max_length=40),
    AfterValidator(_readable),
]


class Entry(BaseModel):
    """A mapping of the boat file; keys it does not know are refused, keys that stand empty left out."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=False, allow_inf_nan=False)

    @model_validator(mode="before")
    @classmethod
    def _without_empty(cls, data: Any) -> Any:
        """A key that stands empty, such as `decks:` with nothing below it, counts as not written."""
        if not isinstance(data, dict) or None not in data.values():
            return data
        return {key: value for key, value in data.items() if value is not None or cls._may_be_none(key)}

    @classmethod
    def _may_be_none(cls, key: str) -> bool:
        """Whether nothing is a value of its own there; unknown keys are kept, to be refused."""
        for name, field in cls.model_fields.items():
            if key == (field.alias or name):
                return type(None) in get_args(field.annotation)
        return True
