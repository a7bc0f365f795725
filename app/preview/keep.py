"""Writes moved dimensions into the boat file: only their own letters change, comments and order stay."""

from __future__ import annotations

import os
import re
import tempfile
from contextlib import suppress
from pathlib import Path

import yaml

from app.preview.values import Values, path_of, with_values
from parts.faults import BadInput
from parts.yamlfile import Document, read_text

_PLAIN = re.compile(r"[A-Za-z0-9.+(-][A-Za-z0-9_./+*()° -]*")
"""Texts that mean the same in YAML without quotes, in a block and between braces."""


class NotKept(ValueError):  # noqa: N818  (it says what became of the values)
    """Values that could not be written; says why."""


def keep_values(path: Path, text: str, document: Document, values: Values) -> str:
    """Puts values in place of those of the file, and gives its new text.

    The file is swapped in whole, so that at any moment it is the old one or the new one.

    Args:
        path: the boat file.
        text: what it is taken to hold; another's changes are not written over.
        document: the same, read.
        values: text by name of a dimension or angle.

    Raises:
        NotKept: the file has changed on disk since it was read, or a value cannot be put in its place.
        OSError: the file cannot be written.
    """
    if path.read_bytes() != text.encode("utf-8"):
        raise NotKept("the file has been changed by something else; look at it again, then keep")
    changed = text_with(text, document, values)
    _swap(path, changed)
    return changed


def text_with(text: str, document: Document, values: Values) -> str:
    """The text of a boat file with some values of its named dimensions exchanged.

    Raises:
        NotKept: a value cannot be put in its place.
    """
    spots = []
    body = text.removeprefix("\ufeff")
    root = yaml.compose(body, Loader=yaml.SafeLoader)
    for name, value in values.items():
        path = path_of(document, name)
        node = _find(root, path) if path else None
        if node is None or not isinstance(node, yaml.ScalarNode) or node.style in ("|", ">"):
            raise NotKept(f"{name} does not stand in the file in a way that can be changed here")
        spots.append((node.start_mark.index, node.end_mark.index, _written(value)))
    for start, end, written in sorted(spots, reverse=True):
        body = body[:start] + written + body[end:]
    _check(body, document, values)
    return text[: len(text) - len(text.removeprefix("\ufeff"))] + body


def _find(node: yaml.Node | None, path: tuple[str, ...]) -> yaml.Node | None:
    for key in path:
        if not isinstance(node, yaml.MappingNode):
            return None
        node = next((value for name, value in node.value if name.value == key), None)
    return node


def _written(value: str) -> str:
    """A value as YAML: plain where that is safe, else in double quotes."""
    if _PLAIN.fullmatch(value) and not value.endswith(" "):
        return value
    if '"' in value and "'" not in value:
        return f"'{value}'"
    escaped = value.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'


def _check(body: str, document: Document, values: Values) -> None:
    """Reads the new text again: the values are in it, and all else is as it was."""
    try:
        found = read_text(body, document.file).data
    except BadInput as error:
        raise NotKept(f"the values cannot be written as they are: {error.faults[0].wrong}") from None
    if found != with_values(document, values).data:
        raise NotKept("a value would not be read back as it is; write it in another way")


def _swap(path: Path, text: str) -> None:
    """Puts a new file in the place of the old, with its permissions."""
    handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(text.encode("utf-8"))
            file.flush()
            os.fsync(file.fileno())
        os.chmod(name, path.stat().st_mode & 0o7777)
        os.replace(name, path)
    except BaseException:
        with suppress(OSError):
            os.unlink(name)
        raise
