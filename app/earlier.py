"""What a build takes over from the one it replaces: the piece marks, so that cut pieces keep theirs."""

from __future__ import annotations

from pathlib import Path

from cutlists.boat_json import marks_before
from parts.faults import BadInput, Place


def earlier_marks(target: Path) -> dict[str, tuple[str, str]] | None:
    """Mark and signature by name of the build in `target`; None where there is none.

    Raises:
        BadInput: there is one, but its marks cannot be read; to go on would renumber pieces already cut.
    """
    path = target / "boat.json"
    if not path.is_file():
        return None
    try:
        return marks_before(path.read_text(encoding="utf-8"))
    except ValueError as error:
        wrong = f"the marks of the earlier build cannot be read ({error})"
        raise BadInput.at(
            Place(str(path), None, ""), wrong, "build into another folder to number anew"
        ) from None
