"""Reads a boat file: text to a checked `BoatFile`, with every fault told at its line."""

from __future__ import annotations

from pathlib import Path

from model.boatfile.schema import BoatFile
from parts.checked import checked
from parts.faults import BadInput, FaultList
from parts.yamlfile import Document, read_yaml


def read_boat_file(path: Path) -> tuple[BoatFile, Document]:
    """The boat file at `path` and the document that knows its lines.

    Raises:
        BadInput: all faults of form at once: YAML, unknown keys, wrong kinds of value.
    """
    document = read_yaml(path)
    return check_boat_file(document), document


def check_boat_file(document: Document) -> BoatFile:
    """The document as a `BoatFile`.

    Raises:
        BadInput: as `read_boat_file`.
    """
    faults = FaultList()
    found = checked(BoatFile, document.data, document.place, faults)
    if found is None:
        raise BadInput(tuple(dict.fromkeys(faults)))
    return found
