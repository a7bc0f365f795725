"""The one reader of YAML: plain values, with the line of every key for messages.

Only a small, plain part of YAML is read, so that a file means what it seems to: `no`, `12:30` and `010` are
text, only `true` and `false` are yes and no, and a key may stand once. Built straight from the parser's
events, so that nesting, aliases and size are bounded before any value is made.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TypeAlias

import yaml

from parts.faults import BadInput, FaultList, Place

LARGEST = 2_000_000
"""Bytes; a boat file is a few thousand."""
MOST_VALUES = 20_000
DEEPEST = 40

Value: TypeAlias = "dict[str, Value] | list[Value] | str | int | float | bool | None"

_WHOLE = re.compile(r"[-+]?(?:0|[1-9][0-9]{0,17})")
_DECIMAL = re.compile(r"[-+]?(?:(?:0|[1-9][0-9]*)(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][-+]?[0-9]{1,3})?")
_WORDS: dict[str, bool | None] = {"true": True, "false": False, "": None, "~": None, "null": None}


@dataclass
class Lines:
    """The line a value stands on (from 1), and those of what it holds, by key or index."""

    line: int
    inside: dict[str | int, Lines] = field(default_factory=dict)


@dataclass(frozen=True)
class Document:
    """A YAML file that was read: `data` in plain Python values, `file` as the user named it."""

    data: dict[str, Any]
    file: str
    lines: Lines

    def place(self, path: tuple[str | int, ...] = ()) -> Place:
        """Where a value stands: the line of the nearest part of the path that the file has.

        `path` holds keys and 0-based indices; in the place's key items count from 1, as people count:
        `("decks", 0, "name")` reads `decks[1].name`.
        """
        at = self.lines
        for step in path:
            if step not in at.inside:
                break
            at = at.inside[step]
        # The file's own first line says nothing about a key that it lacks altogether.
        line = None if at is self.lines else at.line
        return Place(self.file, line, dotted(path))


def dotted(path: tuple[str | int, ...]) -> str:
    """A path of keys and 0-based indices as people read it: `decks[1].name`."""
    steps = (f"[{step + 1}]" if isinstance(step, int) else f".{step}" for step in path)
    return "".join(steps).removeprefix(".")


def read_yaml(path: str | Path) -> Document:
    """The YAML file at `path`; refused by its size before it is read.

    Raises:
        BadInput: it cannot be read, or `read_text` refuses it.
    """
    place = Place(str(path), None, "")
    try:
        if not Path(path).is_file():
            there = "this is not a file" if Path(path).exists() else "there is no such file"
            raise BadInput.at(place, there, "give the path of a YAML file")
        size = Path(path).stat().st_size
        if size > LARGEST:
            raise BadInput.at(
                place, f"the file has {size / 1e6:.1f} MB", f"at most {LARGEST / 1e6:.0f} MB are read"
            )
        raw = Path(path).read_bytes()
    except OSError as error:
        raise BadInput.at(place, f"it cannot be read ({error.strerror})", "see to its permissions") from None
    return read_text(raw, str(path))


def read_text(text: str | bytes, name: str) -> Document:
    """The YAML in `text`, which messages call `name`.

    Raises:
        BadInput: the text is too large, not UTF-8, not YAML, not a mapping at the top, nests too deep, its
            aliases explode, or it holds a key twice, a key that is no text, a merge key, a tag or a second
            document.
    """
    if len(text) > LARGEST:
        raise BadInput.at(
            Place(name, None, ""), "the text is too large", f"at most {LARGEST / 1e6:.0f} MB are read"
        )
    plain = _decoded(text, name) if isinstance(text, bytes) else text
    reader = _Reader(plain, name)
    try:
        data, lines = reader.run()
    except yaml.YAMLError as error:
        raise BadInput((*reader.faults.faults, *_syntax(error, plain, name).faults)) from None
    reader.faults.raise_if_any()
    if not isinstance(data, dict):
        what = "the file is empty" if data is None else "the file is not a mapping"
        raise BadInput.at(
            Place(name, lines.line, ""), what, "start with keys at the left margin, like `name: My boat`"
        )
    return Document(data, name, lines)


def _decoded(raw: bytes, name: str) -> str:
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise BadInput.at(Place(name, line, ""), "the text is not UTF-8", "save the file as UTF-8") from None


def _syntax(error: yaml.YAMLError, text: str, name: str) -> BadInput:
    """What the YAML parser found, as a fault with its line."""
    right = "see to the indents, colons and quotes here and on the line above"
    if isinstance(error, yaml.reader.ReaderError):
        line = text.count("\n", 0, error.position) + 1
        return BadInput.at(Place(name, line, ""), "a character that no text has", "take it out")
    if not isinstance(error, yaml.MarkedYAMLError) or error.problem_mark is None:
        return BadInput.at(Place(name, None, ""), f"this is not YAML ({error})", right)
    line = error.problem_mark.line + 1
    rows = text.splitlines()
    if line <= len(rows) and "\t" in rows[line - 1][: len(rows[line - 1]) - len(rows[line - 1].lstrip())]:
        return BadInput.at(Place(name, line, ""), "a tab in the indent", "indent with spaces")
    return BadInput.at(Place(name, line, ""), f"this is not YAML ({error.problem})", right)


@dataclass
class _Anchored:
    """A value that aliases may stand for; `size` counts it and all it holds, None while it is still open."""

    value: Value
    lines: Lines
    size: int | None


class _Reader:
    """Builds values from parser events, counting as it goes."""

    def __init__(self, text: str, name: str) -> None:
        self.name = name
        self.faults = FaultList()
        self.anchors: dict[str, _Anchored] = {}
        self.count = 0
        self.events: Iterator[Any] = yaml.parse(text, Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader))

    def run(self) -> tuple[Value, Lines]:
        """The value of the first document and its lines; a second document is a fault."""
        found: tuple[Value, Lines] = (None, Lines(1))
        documents = 0
        for event in self.events:
            if isinstance(event, yaml.DocumentStartEvent):
                documents += 1
                if documents > 1:
                    self._refuse(event, (), "a second document starts here", "keep one document in a file")
                found = self._value(next(self.events), (), 0)
        return found

    def _place(self, event: Any, path: tuple[str | int, ...]) -> Place:
        return Place(self.name, event.start_mark.line + 1, dotted(path))

    def _refuse(self, event: Any, path: tuple[str | int, ...], wrong: str, right: str) -> None:
        """Note a fault that makes reading on pointless, and stop."""
        self.faults.add(self._place(event, path), wrong, right)
        self.faults.raise_if_any()

    def _value(self, event: Any, path: tuple[str | int, ...], depth: int) -> tuple[Value, Lines]:
        if isinstance(event, yaml.AliasEvent):
            return self._alias(event, path)
        if event.tag is not None:
            self.faults.add(
                self._place(event, path), f"the tag '{event.tag}'", "leave tags out; they are not read"
            )
        self._more(1, event, path)
        if depth > DEEPEST:
            self._refuse(event, path[:4], f"nested more than {DEEPEST} deep", "write it flatter")
        start = self.count
        lines = Lines(event.start_mark.line + 1)
        value: Value
        if isinstance(event, yaml.ScalarEvent):
            value = scalar(event.value) if event.implicit[0] else event.value
        elif isinstance(event, yaml.SequenceStartEvent):
            value = []
        else:
            value = {}
        anchored = _Anchored(value, lines, None)
        if event.anchor is not None:
            self.anchors[event.anchor] = anchored
        if isinstance(value, list):
            self._items(value, lines, path, depth)
        elif isinstance(value, dict):
            self._entries(value, lines, path, depth)
        anchored.size = self.count - start + 1
        return value, lines

    def _more(self, values: int, event: Any, path: tuple[str | int, ...]) -> None:
        self.count += values
        if self.count > MOST_VALUES:
            self._refuse(
                event, path, f"more than {MOST_VALUES} values, aliases counted out", "write a smaller file"
            )

    def _alias(self, event: Any, path: tuple[str | int, ...]) -> tuple[Value, Lines]:
        anchored = self.anchors.get(event.anchor)
        if anchored is None:
            self.faults.add(
                self._place(event, path), f"*{event.anchor} stands for nothing", f"mark it &{event.anchor}"
            )
            return None, Lines(event.start_mark.line + 1)
        if anchored.size is None:
            self.faults.add(self._place(event, path), f"*{event.anchor} holds itself", "write the value out")
            return None, Lines(event.start_mark.line + 1)
        self._more(anchored.size, event, path)
        return anchored.value, anchored.lines

    def _items(self, into: list[Value], lines: Lines, path: tuple[str | int, ...], depth: int) -> None:
        for event in self.events:
            if isinstance(event, yaml.SequenceEndEvent):
                return
            index = len(into)
            value, lines.inside[index] = self._value(event, (*path, index), depth + 1)
            into.append(value)

    def _entries(self, into: dict[str, Value], lines: Lines, path: tuple[str | int, ...], depth: int) -> None:
        for event in self.events:
            if isinstance(event, yaml.MappingEndEvent):
                return
            key = self._key(event, path, depth)
            below = (*path, key)
            value, inside = self._value(next(self.events), below, depth + 1)
            if key in into:
                first = lines.inside[key].line
                self.faults.add(
                    self._place(event, below), f"the key stands twice (first on line {first})", "keep one"
                )
                continue
            into[key] = value
            lines.inside[key] = Lines(event.start_mark.line + 1, inside.inside)

    def _key(self, event: Any, path: tuple[str | int, ...], depth: int) -> str:
        """The text of a key; what is no text is a fault and gets a name that no file has."""
        if not isinstance(event, yaml.ScalarEvent):
            self._value(event, path, depth + 1)
            self.faults.add(
                self._place(event, path), "a key that is not text", "a key is one word, like `height:`"
            )
            return f"({self.count} {path})"
        key: str = event.value
        right = f"put it in quotes: '{key}'"
        if event.implicit[0] and key == "<<":
            self.faults.add(self._place(event, path), "the merge key '<<' is not read", "write the keys out")
            return f"({self.count} {path})"
        if event.implicit[0] and not isinstance(scalar(key), str):
            self.faults.add(self._place(event, path), f"the key '{key}' is not text", right)
        return key


def scalar(text: str) -> str | int | float | bool | None:
    """What an unquoted word means: a number, true, false, nothing, or else itself as text."""
    if text in _WORDS:
        return _WORDS[text]
    if _WHOLE.fullmatch(text):
        return int(text)
    if _DECIMAL.fullmatch(text) and math.isfinite(float(text)):
        return float(text)
    return text
