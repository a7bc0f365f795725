"""A boat made again and again from one file: what has not changed is not read or cut twice."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from app.preview.values import Values, text_in, with_values
from cutlists.shop_file import Shop, shop_beside
from model.boat import Boat, build_boat
from model.hull import Hull
from parts.expressions import ExpressionError, names_in
from parts.faults import BadInput, Place
from parts.yamlfile import Document, read_text, read_yaml

MOST_REUSES = 300
"""Boats on one hull; each leaves cuts behind that the hull keeps, so that after these it is read afresh."""

Marks = Mapping[str, tuple[str, str]]


@dataclass(frozen=True)
class Source:
    """The files of a boat as they were read at one time.

    Attributes:
        path: the boat file; nothing outside its folder is read.
        text: of the boat file, byte for byte what is on disk.
        document: the same, read.
        shop: of the shop file beside it.
        survey: what tells one state of the survey's file from another.
    """

    path: Path
    text: str
    document: Document
    shop: Shop
    survey: tuple[int, int] | None

    @property
    def lines(self) -> list[str]:
        """The lines of the boat file."""
        return self.text.splitlines()


def read_source(path: Path) -> Source:
    """The boat at `path` and the shop beside it.

    Raises:
        BadInput: one of them cannot be read, or the survey it names lies outside the folder.
    """
    document = read_yaml(path)
    _refuse_away(path.with_name("shop.yaml"), path.parent, Place(str(path.with_name("shop.yaml")), None, ""))
    text = path.read_bytes().decode("utf-8")
    read_again = read_text(text, str(path))
    shop = shop_beside(path)
    return Source(path, text, read_again, shop, _survey_state(document, path))


def _survey_state(document: Document, path: Path) -> tuple[int, int] | None:
    """Time and size of the survey's file, where there is one.

    Raises:
        BadInput: it is a link that leads out of the boat's folder.
    """
    hull = document.data.get("hull")
    name = hull.get("survey") if isinstance(hull, dict) else None
    if not isinstance(name, str) or not name:
        return None
    survey = path.parent / name
    _refuse_away(survey, path.parent, document.place(("hull", "survey")))
    if not survey.is_file():
        return None
    state = survey.stat()
    return state.st_mtime_ns, state.st_size


def _refuse_away(path: Path, folder: Path, place: Place) -> None:
    """Refuses a link that leads out of the boat's folder.

    Raises:
        BadInput: it is one.
    """
    if not path.resolve().is_relative_to(folder.resolve()):
        raise BadInput.at(place, f"'{path.name}' leads away", "keep the file itself beside the boat file")


class Rebuilder:
    """Builds the boat of a source with some of its named dimensions moved.

    Not for two threads at once. `marks` are those of an earlier build, which pieces keep.
    """

    def __init__(self, source: Source, marks: Marks | None = None) -> None:
        self.source = source
        self.marks: dict[str, tuple[str, str]] = dict(marks or {})
        self._hull: Hull | None = None
        self._said: str = ""
        self._uses = 0

    def build(self, values: Values) -> Boat:
        """The boat with these values.

        Raises:
            BadInput: the faults of the file or of the values, all at once.
        """
        document = with_values(self.source.document, values)
        said = self._hull_said(values)
        if said != self._said or self._uses >= MOST_REUSES:
            self._hull, self._uses = None, 0
        boat = build_boat(
            document,
            self.source.path.parent,
            None,
            self.marks or None,
            self.source.shop.catalogue,
            self._hull,
            self.source.shop.limber,
        )
        self._hull, self._said = boat.hull, said
        self._uses += 1
        return boat

    @property
    def hull_key(self) -> str:
        """What tells the hull of the boat built last from any other."""
        return hashlib.blake2b(self._said.encode(), digest_size=12).hexdigest()

    def keep_marks(self, boat: Boat) -> None:
        """Lets later boats keep the marks of this one, beside those that were kept before."""
        self.marks |= {name: (mark, boat.signatures[name]) for name, mark in boat.marks.items()}

    def _hull_said(self, values: Values) -> str:
        """Everything a hull is made from, as text: equal texts make equal hulls."""
        document = self.source.document
        hull = document.data.get("hull")
        used = {name: values.get(name) or text_in(document, name) for name in sorted(_used(hull, document))}
        return json.dumps([hull, document.data.get("units"), self.source.survey, used], default=str)


def _used(hull: Any, document: Document) -> set[str]:
    """Named dimensions that the hull's texts lean on, directly or through others."""
    told = document.data.get("dimensions")
    known = {*(told if isinstance(told, dict) else {}), *(document.data.get("angles") or {})}
    found: set[str] = set()
    fresh = _names(hull) & known
    while fresh:
        found |= fresh
        fresh = {n for name in fresh for n in _names(text_in(document, name))} & known - found
    return found


def _names(value: Any) -> set[str]:
    if isinstance(value, dict):
        return {name for part in value.values() for name in _names(part)}
    if isinstance(value, list):
        return {name for part in value for name in _names(part)}
    if not isinstance(value, str):
        return set()
    try:
        return names_in(value)
    except ExpressionError:
        return set()
