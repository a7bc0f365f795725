"""How a boat travels to a page: one block of bytes with what the page lacks, and nothing it has.

    4 bytes   length n of the head, little-endian
    n bytes   the head, JSON in UTF-8, padded with blanks so that what follows is on a multiple of four
    the rest  for each piece that has `counts`, its vertices (float32 x 3) and its faces (uint32 x 3)

The head has `sections` (tables and the like, each whole, by name), `gone` (names of pieces) and `pieces`.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from app.preview.pieces import ShownPiece


@dataclass(frozen=True)
class Shown:
    """All that a page is to show.

    Attributes:
        pieces: by name.
        sections: the rest by name, each as JSON text.
    """

    pieces: Mapping[str, ShownPiece] = field(default_factory=dict)
    sections: Mapping[str, str] = field(default_factory=dict)

    def saying(self, **sections: Any) -> Shown:
        """The same with some sections told anew; None takes one out."""
        told = {name: as_json(value) for name, value in sections.items()}
        return Shown(self.pieces, {**self.sections, **told})


def as_json(value: Any) -> str:
    """A value as JSON text; numbers that are not finite are refused by what made it, not passed on."""
    return json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"))


class Known:
    """What one page has been sent."""

    def __init__(self) -> None:
        self._shapes: dict[str, str] = {}
        self._told: dict[str, str] = {}
        self._sections: dict[str, str] = {}

    def missing(self, shown: Shown) -> bytes | None:
        """The block that brings the page up to date, which counts as sent; None where it lacks nothing."""
        sections = {name: text for name, text in shown.sections.items() if self._sections.get(name) != text}
        gone = [name for name in self._shapes if name not in shown.pieces]
        rows, meshes = [], []
        for name, piece in shown.pieces.items():
            told = as_json(piece.told)
            moved = self._shapes.get(name) != piece.shape
            if not moved and self._told.get(name) == told:
                continue
            rows.append({"name": name, "counts": list(piece.counts) if moved else None, **piece.told})
            if moved:
                meshes.append(piece.mesh)
            self._shapes[name], self._told[name] = piece.shape, told
        if not (sections or gone or rows):
            return None
        for name in gone:
            del self._shapes[name], self._told[name]
        self._sections.update(sections)
        return block(sections, gone, rows, meshes)


def block(
    sections: Mapping[str, str], gone: list[str], rows: list[dict[str, Any]], meshes: list[bytes]
) -> bytes:
    """The bytes of a message; see the head of this file."""
    told = ",".join(f"{as_json(name)}:{text}" for name, text in sections.items())
    head = f'{{"sections":{{{told}}},"gone":{as_json(gone)},"pieces":{as_json(rows)}}}'.encode()
    head += b" " * (-len(head) % 4)
    return len(head).to_bytes(4, "little") + head + b"".join(meshes)


def whole(shown: Shown) -> bytes:
    """Everything in one block, as for a page that has nothing."""
    return Known().missing(shown) or block({}, [], [], [])


def digest(data: bytes) -> str:
    """A short name for some bytes."""
    return hashlib.blake2b(data, digest_size=8).hexdigest()
