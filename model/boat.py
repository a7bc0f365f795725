"""The whole boat: every piece of it by name, with its mark and its line in the boat file."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Protocol

from model.bends.build import bent
from model.bends.hat import Hat
from model.bends.hats import hats_of
from model.boatfile.numbers import Numbers
from model.boatfile.reader import check_boat_file
from model.boatfile.schema import BoatFile
from model.boatfile.work_schema import WorkEntry
from model.clearance.exempt import exemptions
from model.clearance.settings import Exempt
from model.coverings.read import check_finish, read_finish
from model.coverings.settings import Finish
from model.electrics.read import read_electrics
from model.electrics.settings import Electrics
from model.findings import Finding
from model.foam.read import read_foam
from model.foam.settings import FoamSettings
from model.hoses.plan import PlumbingPlan
from model.hoses.read import read_hoses
from model.hull import Hull
from model.hull_read import read_hull
from model.hydrostatics.plan import AfloatPlan
from model.hydrostatics.read import read_afloat
from model.insulation.read import read_boxes
from model.insulation.settings import BoxAsked
from model.layout.context import Context
from model.layout.records import Layout
from model.layout.records import Path as KeyPath
from model.layout.resolve import resolve_layout
from model.marks import assign_marks
from model.mass.plan import WeightPlan
from model.mass.read import read_weights
from model.mat.build import lining_names, surface_names, unknown_names
from model.mat.read import read_mat
from model.mat.settings import MatSettings
from model.member import Member
from model.panel import Panel
from model.panel_sameness import signature as panel_signature
from model.panelling.build import build_panels
from model.panelling.fixtures import Fixture, fixtures
from model.rods.read import read_rods
from model.rods.settings import RodSettings
from model.sameness import signatures
from model.skeleton.build import build_skeleton
from model.skeleton.records import Joint
from model.strength.read import read_strength
from model.strength.settings import StrengthSettings
from model.strip import Strip
from model.water.cut_drains import with_drains
from model.water.drill import drilled
from model.water.names import check_water_names
from model.water.notch import notched
from model.water.read import read_water
from model.water.settings import LIMBER, WaterSettings
from model.ways.cut import with_drillings, with_holes
from model.ways.passages import Passage
from model.ways.read import passages_of, read_passages
from parts.catalogue import Catalogue, starter
from parts.faults import FaultList, Place, did_you_mean
from parts.yamlfile import Document, read_yaml

__all__ = ["Boat", "Fixture", "Joint", "build_boat", "load_boat"]

Tell = Callable[[str], None]
Previous = Mapping[str, tuple[str, str]]


class _Told(Protocol):
    """What the file tells of."""

    @property
    def name(self) -> str:
        """Its name in the boat."""

    @property
    def path(self) -> KeyPath:
        """Keys that lead to it in the file."""


@dataclass(frozen=True, eq=False)
class Boat:
    """A finished model; nothing in it is changed by what reads it.

    Attributes:
        name: short name, for files.
        title: for people.
        units: of lengths shown to people.
        members: of the skeleton, in the order of the file.
        joints: of every end of every member.
        panels: flat sheet.
        strips: sheet that follows the hull.
        fixtures: lids and fittings.
        findings: what should not be built so.
        marks: piece mark by name; identical pieces share one.
        signatures: what tells a piece from others, by name.
        places: by name of deck, locker and so on, where the file tells of it.
        document: the boat file.
        mat: how it is matted; None where the file asks for no mat.
        rods: those that are to lie in its lockers; None where the file tells of none.
        weights: the hull as weighed, what is taken out, what is aboard.
        afloat: load cases and what is asked of them.
        water: how it lies and drains.
        strength: what it is asked to carry.
        exempt: pairs of pieces that may come closer than is asked elsewhere.
        passages: holes, tubes and chases for wires and hoses.
        hoses: those that the file tells of; None where it tells of none.
        electrics: its wires; None where the file tells of none.
        work: what the file changes of the order of work.
        foam: how flotation foam is cut to blocks; None where the file asks for none.
        boxes: insulated boxes that the file tells of.
        finish: what is painted and what glues the mat; None where the file tells of none.
        hats: strips folded to stiffen sheet; their pieces are among the panels.
    """

    name: str
    title: str
    units: str
    hull: Hull
    layout: Layout
    members: tuple[Member, ...]
    joints: tuple[Joint, ...]
    panels: tuple[Panel, ...]
    strips: tuple[Strip, ...]
    fixtures: tuple[Fixture, ...]
    findings: tuple[Finding, ...]
    marks: dict[str, str]
    signatures: dict[str, str]
    places: dict[str, Place]
    document: Document
    mat: MatSettings | None = None
    rods: RodSettings | None = None
    weights: WeightPlan = field(default_factory=WeightPlan)
    afloat: AfloatPlan = field(default_factory=AfloatPlan)
    water: WaterSettings = field(default_factory=WaterSettings)
    strength: StrengthSettings = field(default_factory=StrengthSettings)
    exempt: tuple[Exempt, ...] = ()
    passages: tuple[Passage, ...] = ()
    hoses: PlumbingPlan | None = None
    electrics: Electrics | None = None
    work: WorkEntry = field(default_factory=WorkEntry)
    foam: FoamSettings | None = None
    boxes: tuple[BoxAsked, ...] = ()
    finish: Finish | None = None
    hats: tuple[Hat, ...] = ()

    def place(self, name: str) -> Place | None:
        """Where the file tells of a piece: of itself, or of what it belongs to."""
        return _nearest_place(name, self.places)


def load_boat(
    path: Path,
    tell: Tell | None = None,
    previous: Previous | None = None,
    catalogue: Catalogue | None = None,
    limber: float = LIMBER,
) -> Boat:
    """The boat of a file.

    Args:
        path: the boat file; a survey it names is looked for beside it.
        tell: hears what is being done, in a few words.
        previous: mark and signature by name of an earlier build, whose marks are kept.
        catalogue: the parts that can be named besides the file's own; the starter catalogue unless given.
        limber: size of limber holes where the file gives none, mm.

    Raises:
        BadInput: the file's faults, all at once.
        OSError: the file cannot be read.
    """
    return build_boat(read_yaml(path), path.parent, tell, previous, catalogue, limber=limber)


def build_boat(
    document: Document,
    folder: Path,
    tell: Tell | None = None,
    previous: Previous | None = None,
    catalogue: Catalogue | None = None,
    hull: Hull | None = None,
    limber: float = LIMBER,
) -> Boat:
    """The boat of a document; as `load_boat`.

    With `hull`, the hull of an earlier boat whose survey and `hull:` said the same, it is not read again and
    the cuts through it that are already known are not made again.
    """
    say = tell or (lambda _: None)
    say("reading")
    entry = check_boat_file(document)
    context = _context(entry, document, folder, catalogue or starter(), hull)
    say("laying out")
    layout = resolve_layout(context)
    mat = None if entry.mat is None else read_mat(entry.mat, context.numbers, "mat")
    rods = None if entry.rods is None else read_rods(entry.rods, entry, context.numbers, layout)
    weights = WeightPlan() if entry.weights is None else read_weights(entry.weights, context, layout)
    afloat = AfloatPlan() if entry.afloat is None else read_afloat(entry.afloat, context, layout, weights)
    foam = None if entry.foam is None else read_foam(entry.foam, afloat.foam, context.numbers, layout)
    boxes = read_boxes(entry.boxes, context.numbers, layout)
    finish = None if entry.finish is None else read_finish(entry.finish, mat is not None, context.numbers)
    water = read_water(entry.water, context.numbers, limber)
    strength = read_strength(entry.strength, context.numbers, layout, "strength")
    exempt = _exempt(entry, context.numbers)
    asked = read_passages(entry.passages, context.numbers, context.hull)
    hoses = None if entry.hoses is None else read_hoses(entry.hoses, context, layout, water)
    wires = entry.electrics
    electrics = None if wires is None else read_electrics(wires, context, layout, afloat.drive)
    context.numbers.faults.raise_if_any()
    say("framing")
    skeleton = build_skeleton(layout, context.hull)
    for refusal in skeleton.refusals:
        context.fault(refusal.path, refusal.wrong, refusal.right)
    context.numbers.faults.raise_if_any()
    say("panelling")
    panels, strips, missing = build_panels(layout, skeleton, context.hull)
    panels = with_drains(notched(panels, water.limbers, water.limber), water.drains)
    passages = passages_of(asked, panels, skeleton.members, strips, context.numbers)
    panels = with_holes(panels, passages)
    panels, bends = bent(panels, strips, context, layout)
    hats, unmade = hats_of(context, layout, skeleton.members, panels) if entry.hats else ((), ())
    panels = (*panels, *(hat.piece for hat in hats))
    context.numbers.faults.raise_if_any()
    members = with_drillings(drilled(skeleton.members, layout, context.hull, water), passages)
    told = _signatures(members, (*panels, *strips), previous or {})
    places = _places(layout, hats, document) | ({} if hoses is None else hoses.places)
    findings = (replace(f, place=_nearest_place(f.pieces[0], places)) for f in (*skeleton.findings, *missing))
    boat = Boat(
        name=entry.boat,
        title=entry.title or entry.boat,
        units=entry.units,
        hull=context.hull,
        layout=layout,
        members=members,
        joints=skeleton.joints,
        panels=panels,
        strips=strips,
        fixtures=tuple(fixtures(layout)),
        findings=(*findings, *bends, *unmade),
        marks=_marks(members, (*panels, *strips), told, previous),
        signatures=told,
        places=places,
        document=document,
        mat=mat,
        rods=rods,
        weights=weights,
        afloat=afloat,
        water=water,
        strength=strength,
        exempt=exempt,
        passages=passages,
        hoses=hoses,
        electrics=electrics,
        work=entry.work,
        foam=foam,
        boxes=boxes,
        finish=finish,
        hats=hats,
    )
    _check_mat(boat)
    check_finish(boat)
    check_water_names(boat)
    return boat


def _exempt(entry: BoatFile, numbers: Numbers) -> tuple[Exempt, ...]:
    """The pairs of pieces that the file lets off."""

    def path(k: int) -> KeyPath:
        return ("clearances", "exempt", k)

    return exemptions(
        entry.clearances.exempt,
        lambda value, k: numbers.not_negative(value, *path(k), "least"),
        lambda k: numbers.document.place((*path(k), "between")),
    )


def _check_mat(boat: Boat) -> None:
    """Refuses names under `mat:` that nothing in the boat has.

    Raises:
        BadInput: there are such names.
    """
    if boat.mat is None:
        return
    faults = FaultList()
    known = {"leave_out": surface_names(boat), "line": lining_names(boat)}
    for key, name in unknown_names(boat, boat.mat):
        place = boat.document.place(("mat", key, getattr(boat.mat, key).index(name)))
        faults.add(place, f"there is no surface '{name}'", did_you_mean(name, known[key]))
    faults.raise_if_any()


def _context(
    entry: BoatFile, document: Document, folder: Path, catalogue: Catalogue, hull: Hull | None
) -> Context:
    """Numbers, catalogue and hull of a file.

    Raises:
        BadInput: the hull cannot be read; with whatever else was found wrong by then.
    """
    faults = FaultList()
    numbers = Numbers(document, entry, faults)
    if entry.catalogue is not None:
        catalogue = catalogue.with_entries(
            entry.catalogue, lambda path: document.place(("catalogue", *path)), entry.units, faults
        )
    hull = hull or read_hull(entry.hull, numbers, folder)
    if hull is None:
        faults.raise_if_any()
        raise AssertionError("a hull that cannot be read leaves a fault")
    return Context(entry, numbers, hull, catalogue)


def _signatures(
    members: tuple[Member, ...], panels: tuple[Panel | Strip, ...], previous: Previous
) -> dict[str, str]:
    known = [text for _, text in previous.values()]
    return {**signatures(members, known), **{panel.name: panel_signature(panel) for panel in panels}}


def _marks(
    members: tuple[Member, ...],
    panels: tuple[Panel | Strip, ...],
    told: dict[str, str],
    previous: Previous | None,
) -> dict[str, str]:
    frame = assign_marks({m.name: told[m.name] for m in members}, "F", previous)
    sheet = assign_marks({p.name: told[p.name] for p in panels}, "S", previous)
    return {**frame, **sheet}


def _nearest_place(name: str, places: Mapping[str, Place]) -> Place | None:
    """Where the file tells of a piece: of itself, or of what it belongs to."""
    while name:
        if name in places:
            return places[name]
        name = name.rpartition("/")[0]
    return None


def _places(layout: Layout, hats: tuple[Hat, ...], document: Document) -> dict[str, Place]:
    things: tuple[_Told, ...] = (
        *layout.decks.values(),
        *(o for d in layout.decks.values() for o in d.openings),
        *layout.lockers.values(),
        *layout.bulkheads,
        *layout.consoles,
        *layout.fixtures,
        *layout.members,
        *layout.service,
        *hats,
    )
    return {thing.name: document.place(thing.path) for thing in things}
