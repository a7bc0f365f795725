"""Mappings checked by their pydantic models, faults told in the words of the file."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any, TypeAlias, TypeVar, get_args

from pydantic import BaseModel, ValidationError

from parts.faults import FaultList, Place, did_you_mean

Path: TypeAlias = tuple[str | int, ...]
M = TypeVar("M", bound=BaseModel)


def checked(
    model: type[M], data: Mapping[str, Any], place: Callable[[Path], Place], faults: FaultList
) -> M | None:
    """The mapping as a `model`; None once its faults are noted, one for each key.

    Args:
        model: what the mapping should be.
        data: keys and values as read.
        place: where a path of keys stands in the file.
        faults: gathers what is wrong.
    """
    try:
        return model.model_validate(data)
    except ValidationError as error:
        told: set[Path] = set()
        for item in error.errors(include_url=False):
            path = _in_file(item["loc"], data)
            if path not in told:
                told.add(path)
                faults.add(place(path), *_said(item, model))
        return None


def _in_file(loc: Sequence[int | str], data: Any) -> Path:
    """The error's path without the names that pydantic gives to the branches of a union."""
    path: list[str | int] = []
    here = data
    for i, step in enumerate(loc):
        if isinstance(here, Mapping):
            if step not in here and i < len(loc) - 1:
                continue
            path.append(step)
            here = here.get(step)
        elif isinstance(here, list) and isinstance(step, int) and step < len(here):
            path.append(step)
            here = here[step]
    return tuple(path)


def _said(item: Any, model: type[BaseModel]) -> tuple[str, str]:
    """What is wrong and what would be right, of one error of pydantic's."""
    loc, key = item["loc"], str(item["loc"][-1])
    if item["type"] == "extra_forbidden":
        return "unknown key", did_you_mean(key, _keys_at(model, loc))
    if item["type"] == "missing":
        return "this key is missing", f"add `{key}: ...`"
    shown = repr(item.get("input"))
    wanted = _description_at(model, loc) or str(item["msg"]).lower()
    return f"{shown if len(shown) < 60 else shown[:57] + '...'} does not fit", f"wanted: {wanted}"


def _keys_at(model: type[BaseModel], loc: Sequence[int | str]) -> list[str]:
    """The keys of the model that refused the last step of `loc`."""
    models = [model]
    for step in loc[:-1]:
        deeper = [
            found
            for known in models
            if isinstance(step, str) and step in known.model_fields
            for found in _models_in(known.model_fields[step].annotation)
        ]
        models = deeper or models
    return [key for known in models for key in known.model_fields]


def _description_at(model: type[BaseModel], loc: Sequence[int | str]) -> str | None:
    """The description of the deepest field along `loc` that has one."""
    models, found = [model], None
    for step in loc:
        fields = [
            known.model_fields[step]
            for known in models
            if isinstance(step, str) and step in known.model_fields
        ]
        if fields:
            found = fields[0].description or found
            models = _models_in(fields[0].annotation) or models
    return found


def _models_in(annotation: Any) -> list[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    return [found for part in get_args(annotation) for found in _models_in(part)]
