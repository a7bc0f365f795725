"""Reads a boat file: text to a checked `BoatFile`, with every fault told at its line."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any, get_args

from pydantic import BaseModel, ValidationError

from model.boatfile.schema import BoatFile
from parts.faults import BadInput, FaultList, nearest
from parts.yamlfile import Document, read_yaml


def read_boat_file(path: Path) -> tuple[BoatFile, Document]:
    """The boat file at `path` and the document that knows its lines.

    Raises:
        BadInput: all faults of form at once: YAML, unknown keys, wrong kinds of value.
        OSError: the file cannot be read.
    """
    document = read_yaml(path)
    return check_boat_file(document), document


def check_boat_file(document: Document) -> BoatFile:
    """The document as a `BoatFile`.

    Raises:
        BadInput: as `read_boat_file`.
    """
    try:
        return BoatFile.model_validate(document.data)
    except ValidationError as error:
        faults = FaultList()
        seen: set[tuple[tuple[int | str, ...], str]] = set()
        for item in error.errors(include_url=False):
            path = _path_in_file(item["loc"], document.data)
            wrong, right = _tell(item, path)
            if (path, wrong) not in seen:
                seen.add((path, wrong))
                faults.add(document.place(path), wrong, right)
        raise BadInput(tuple(faults)) from None


def _path_in_file(loc: Sequence[int | str], data: Any) -> tuple[int | str, ...]:
    """The error's location without the names pydantic gives to branches of a union."""
    path: list[int | str] = []
    here = data
    for i, step in enumerate(loc):
        last = i == len(loc) - 1
        if isinstance(here, dict) and (step in here or last):
            path.append(step)
            here = here.get(step)
        elif isinstance(here, list) and isinstance(step, int) and step < len(here):
            path.append(step)
            here = here[step]
    return tuple(path)


def _tell(item: Any, path: Sequence[int | str]) -> tuple[str, str]:
    kind, given = item["type"], item.get("input")
    if kind == "extra_forbidden":
        known = _known_keys(item["loc"])
        close = nearest(str(path[-1]), known) if path else []
        hint = f"did you mean {close[0]!r}?" if close else f"known here: {', '.join(sorted(known))}"
        return "unknown key", hint
    if kind == "missing":
        return "this key is missing", f"add `{path[-1]}: ...`" if path else "add it"
    shown = repr(given)
    return f"{shown if len(shown) < 60 else shown[:57] + '...'} does not fit", f"{item['msg'].lower()}"


def _known_keys(loc: Sequence[int | str]) -> list[str]:
    """The keys of the model that refused the last step of `loc`."""
    models: list[type[BaseModel]] = [BoatFile]
    for step in loc[:-1]:
        following: list[type[BaseModel]] = []
        for model in models:
            if model.__name__ == step:
                following.append(model)
            elif isinstance(step, str) and step in model.model_fields:
                following.extend(_models_in(model.model_fields[step].annotation))
        models = following or models
    return [key for model in models for key in model.model_fields]


def _models_in(annotation: Any) -> list[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    return [found for part in get_args(annotation) for found in _models_in(part)]
