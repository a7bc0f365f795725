"""STEP: the whole boat as one named, coloured tree of true solids, in millimetres.

Groups are assemblies; under them each piece is placed under its own name, and the part it is an instance of
is named by its piece mark. Identical members are one part placed many times.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from cutlists.scene import Colour
from cutlists.step_text import steady
from cutlists.twins import Motion

if TYPE_CHECKING:
    from model.boat import Boat

WRITTEN = "2000-01-01T00:00:00"
"""Time stamp in every file: the same boat gives the same bytes, so that a changed file is a changed boat."""


@dataclass(frozen=True, eq=False, slots=True)
class StepPiece:
    """A piece to place: its name, its groups from the top down, the part it shows, and where that is moved.

    `part` is a kernel shape (one solid, or a compound of solids); pieces that share the very same shape are
    instances of one part, which is named `part_name` and coloured once.
    """

    name: str
    path: tuple[str, ...]
    part_name: str
    part: Any
    colour: Colour
    motion: Motion | None = None


def write_step(boat: Boat, path: Path, tell: Callable[[str], None] = lambda _: None) -> int:
    """Write `boat` to `path` and return the number of solids.

    Args:
        boat: the finished boat.
        path: the file; overwritten.
        tell: called with the name of each piece as its solid is made.

    Raises:
        OSError: the file could not be written.
    """
    from cutlists.step_solids import step_pieces

    return write_tree(boat.title, step_pieces(boat, tell), path)


def write_tree(title: str, pieces: Iterable[StepPiece], path: Path) -> int:
    """Write pieces as a STEP tree under an assembly named `title`; the number of solids placed.

    Raises:
        OSError: the file could not be written.
    """
    from OCP.IFSelect import IFSelect_RetDone
    from OCP.Message import Message
    from OCP.STEPCAFControl import STEPCAFControl_Writer
    from OCP.STEPControl import STEPControl_AsIs

    # The kernel's own chatter on the terminal is not ours to show.
    Message.DefaultMessenger_s().ChangePrinters().Clear()
    tree = _Tree(title)
    solids = sum(tree.place(piece) for piece in pieces)
    tree.shapes.UpdateAssemblies()
    writer = STEPCAFControl_Writer()
    _settings()
    writer.SetColorMode(True)
    writer.SetNameMode(True)
    writer.Transfer(tree.document, STEPControl_AsIs)
    _sign(writer.ChangeWriter().Model(), title)
    if writer.Write(str(path)) != IFSelect_RetDone:
        raise OSError(f"{path}: the STEP file could not be written")
    path.write_text(steady(path.read_text(encoding="latin-1")), encoding="latin-1")
    return solids


def _settings() -> None:
    # Only known to the kernel once a writer exists; set before that they are lost.
    from OCP.Interface import Interface_Static

    Interface_Static.SetCVal_s("write.step.unit", "MM")
    Interface_Static.SetCVal_s("write.step.schema", "AP214IS")
    # Curves in the parameter space of faces double the file; readers work them out again.
    Interface_Static.SetIVal_s("write.surfacecurve.mode", 0)


def _sign(model: Any, title: str) -> None:
    from OCP.APIHeaderSection import APIHeaderSection_MakeHeader
    from OCP.TCollection import TCollection_HAsciiString

    header = APIHeaderSection_MakeHeader(model)
    header.SetName(TCollection_HAsciiString(title))
    header.SetTimeStamp(TCollection_HAsciiString(WRITTEN))
    header.SetAuthorValue(1, TCollection_HAsciiString(""))
    header.SetOriginatingSystem(TCollection_HAsciiString("Athwart"))


@dataclass(eq=False)
class _Tree:
    """The kernel's document while it is being filled."""

    title: str
    document: Any = field(init=False)
    shapes: Any = field(init=False)
    groups: dict[tuple[str, ...], Any] = field(init=False, default_factory=dict)
    parts: dict[int, tuple[Any, Any, int]] = field(init=False, default_factory=dict)
    colours: Any = field(init=False)

    def __post_init__(self) -> None:
        from OCP.TCollection import TCollection_ExtendedString
        from OCP.TDocStd import TDocStd_Document
        from OCP.XCAFDoc import XCAFDoc_DocumentTool

        self.document = TDocStd_Document(TCollection_ExtendedString("MDTV-XCAF"))
        self.shapes = XCAFDoc_DocumentTool.ShapeTool_s(self.document.Main())
        self.colours = XCAFDoc_DocumentTool.ColorTool_s(self.document.Main())
        self.groups[()] = self.shapes.NewShape()
        _name(self.groups[()], self.title)

    def group(self, path: tuple[str, ...]) -> Any:
        """The assembly of a group, made with those above it when it is not there yet."""
        if path not in self.groups:
            above = self.group(path[:-1])
            self.groups[path] = self.shapes.NewShape()
            _name(self.groups[path], path[-1])
            _name(self.shapes.AddComponent(above, self.groups[path], _location(None)), path[-1])
        return self.groups[path]

    def place(self, piece: StepPiece) -> int:
        """Add a piece, its part first if that is new; the number of solids in it."""
        key = id(piece.part)
        if key not in self.parts:
            label = self.shapes.AddShape(piece.part, False)
            _name(label, piece.part_name)
            self._paint(label, piece.colour)
            # Keeping the shape keeps its id taken for as long as the tree lives.
            self.parts[key] = (label, piece.part, _solid_count(piece.part))
        label, _, count = self.parts[key]
        _name(self.shapes.AddComponent(self.group(piece.path), label, _location(piece.motion)), piece.name)
        return count

    def _paint(self, label: Any, colour: Colour) -> None:
        from OCP.Quantity import Quantity_Color, Quantity_ColorRGBA, Quantity_TOC_sRGB
        from OCP.XCAFDoc import XCAFDoc_ColorSurf

        solid = Quantity_Color(colour.red, colour.green, colour.blue, Quantity_TOC_sRGB)
        self.colours.SetColor(label, Quantity_ColorRGBA(solid, colour.opacity), XCAFDoc_ColorSurf)


def _name(label: Any, text: str) -> None:
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDataStd import TDataStd_Name

    TDataStd_Name.Set_s(label, TCollection_ExtendedString(text, True))


def _location(motion: Motion | None) -> Any:
    from OCP.gp import gp_Trsf
    from OCP.TopLoc import TopLoc_Location

    if motion is None:
        return TopLoc_Location()
    rows = [
        (*line, shift) for line, shift in zip(motion.matrix.tolist(), motion.offset.tolist(), strict=True)
    ]
    moved = gp_Trsf()
    moved.SetValues(*(number for row in rows for number in row))
    return TopLoc_Location(moved)


def _solid_count(shape: Any) -> int:
    from OCP.TopAbs import TopAbs_SOLID
    from OCP.TopExp import TopExp_Explorer

    explorer, count = TopExp_Explorer(shape, TopAbs_SOLID), 0
    while explorer.More():
        count += 1
        explorer.Next()
    return count
