"""Mappings checked by their pydantic models, faults told in the words of the file."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any, TypeAlias, TypeVar, get_args

from pydantic import BaseModel, ValidationError

from parts.faults import FaultList, Place, did_you_mean, nearest

Path: TypeAlias = tuple[str | int, ...]
Key: TypeAlias = int | str
Item: TypeAlias = Any
"""One of pydantic's errors: `type`, `loc`, `input`, `ctx` and `msg`."""

M = TypeVar("M", bound=BaseModel)

SHAPES = {
    "string_type": "a text",
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "float_type": "a number",
    "bool_type": "true or false",
    "bool_parsing": "true or false",
    "list_type": "a list",
    "dict_type": "a mapping",
    "model_type": "a mapping",
    "model_attributes_type": "a mapping",
}
"""Errors that say only that a value is of another shape, and the shape that would do."""

ONE_VALUE = {"string_type", "int_type", "float_type"}
"""Together these are a length, an angle or a mass."""


def checked(
    model: type[M], data: Mapping[str, Any], place: Callable[[Path], Place], faults: FaultList
) -> M | None:
    """The mapping as a `model`; None once its faults are noted.

    Args:
        model: what the mapping should be.
        data: keys and values as read.
        place: where a path of keys stands in the file.
        faults: gathers what is wrong.
    """
    try:
        return model.model_validate(data)
    except ValidationError as error:
        for path, items in _by_path(error, data).items():
            for wrong, right in dict.fromkeys(_told(items, path, model)):
                faults.add(place(path), wrong, right)
        return None


def _by_path(error: ValidationError, data: Any) -> dict[tuple[Key, ...], list[Item]]:
    """The errors by the key path they speak of, without those of shapes that the value was not meant as.

    Where a value may have several shapes, each shape it does not have complains; those complaints are left
    out if one shape fits and something within it is wrong.
    """
    found: dict[tuple[Key, ...], list[Item]] = defaultdict(list)
    for item in error.errors(include_url=False, include_context=True):
        found[_path_in_file(item, data)].append(item)
    meant = {path for path, items in found.items() if any(i["type"] not in SHAPES for i in items)}
    deeper = {path[:n] for path in found for n in range(len(path))}
    for path, items in found.items():
        if path in meant or path in deeper:
            found[path] = [i for i in items if i["type"] not in SHAPES and i["type"] != "literal_error"] or (
                [] if path in deeper else items
            )
    return {path: items for path, items in found.items() if items and not _is_misspelt(items, path, found)}


def _is_misspelt(items: list[Item], path: tuple[Key, ...], found: dict[tuple[Key, ...], list[Item]]) -> bool:
    """Whether a key is missing because it stands there misspelt, which has a fault of its own."""
    if not path or items[0]["type"] != "missing":
        return False
    unknown = [
        str(other[-1])
        for other, its in found.items()
        if other[:-1] == path[:-1] and any(i["type"] == "extra_forbidden" for i in its)
    ]
    return bool(nearest(str(path[-1]), unknown))


def _path_in_file(item: Item, data: Any) -> tuple[Key, ...]:
    """The error's location without the names pydantic gives to the branches of a choice."""
    path: list[Key] = []
    loc, here = item["loc"], data
    for i, step in enumerate(loc):
        told = i == len(loc) - 1 and item["type"] in ("missing", "extra_forbidden")
        if isinstance(here, dict) and (step in here or told):
            path.append(step)
            here = here.get(step)
        elif isinstance(here, list) and isinstance(step, int) and step < len(here):
            path.append(step)
            here = here[step]
    return tuple(path)


def _told(items: list[Item], path: Sequence[Key], model: type[BaseModel]) -> Iterator[tuple[str, str]]:
    """What is wrong at one path and what would be right."""
    shapes = [item for item in items if item["type"] in SHAPES]
    if shapes:
        words = [item for item in items if item["type"] == "literal_error"]
        yield f"{_shown(shapes[0]['input'])} does not fit", _shapes_wanted(shapes, words)
        items = [item for item in items if item not in shapes and item not in words]
    for item in items:
        yield _tell(item, path, model)


def _shapes_wanted(shapes: list[Item], words: list[Item]) -> str:
    kinds = [item["type"] for item in shapes]
    wanted = []
    if set(kinds) >= ONE_VALUE:
        wanted.append("one value such as 63-1/4 in, 1606 mm or a bare number")
        kinds = [kind for kind in kinds if kind not in ONE_VALUE]
    wanted += [SHAPES[kind] for kind in kinds]
    wanted += [f"`{word}`" for item in words for word in _words(item)]
    return f"write {' or '.join(dict.fromkeys(wanted))}"


def _tell(item: Item, path: Sequence[Key], model: type[BaseModel]) -> tuple[str, str]:
    kind, context = item["type"], item.get("ctx", {})
    last = str(path[-1]) if path else ""
    if kind == "extra_forbidden":
        return "unknown key", did_you_mean(last, _known_keys(model, item["loc"]))
    if kind == "missing":
        return "this key is missing, or nothing is behind it", f"write `{last}: ...`"
    if kind == "literal_error":
        return f"{_shown(item['input'])} is not known here", did_you_mean(str(item["input"]), _words(item))
    if kind == "string_pattern_mismatch":
        return f"{_shown(item['input'])} cannot be a name here", "name it with letters, digits, - and _"
    if kind == "taken":
        return f"{_shown(item['input'])} cannot be a name here: {item['msg']}", "give it another name"
    if kind in ("too_short", "too_long"):
        bound = "at least" if kind == "too_short" else "at most"
        count = context.get("min_length", context.get("max_length"))
        return f"this list holds {context['actual_length']}", f"give {bound} {count}"
    return f"{_shown(item['input'])} does not fit", item["msg"].lower()


def _shown(value: Any) -> str:
    """A value as the file has it, shortened."""
    if value is None:
        return "nothing"
    if isinstance(value, bool):
        return str(value).lower()
    shown = repr(value)
    return shown if len(shown) < 60 else shown[:57] + "..."


def _words(item: Item) -> list[str]:
    """The words or numbers a literal allows."""
    expected = str(item.get("ctx", {}).get("expected", ""))
    return [word or number for word, number in re.findall(r"'([^']*)'|([-\d.]+)", expected)]


def _known_keys(top: type[BaseModel], loc: Sequence[Key]) -> list[str]:
    """The keys of the model that refused the last step of `loc`."""
    models = [top]
    for step in loc[:-1]:
        following: list[type[BaseModel]] = []
        for model in models:
            if model.__name__ == step:
                following.append(model)
                continue
            for name, field in model.model_fields.items():
                if step == (field.alias or name):
                    following.extend(_models_in(field.annotation))
        models = following or models
    return [field.alias or name for model in models for name, field in model.model_fields.items()]


def _models_in(annotation: Any) -> list[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    return [found for part in get_args(annotation) for found in _models_in(part)]
