"""Tasks up to the welded frame: strip, survey, first leak test, cut, tack, weld."""

from __future__ import annotations

from dataclasses import replace

from cutlists.work.book import Book
from cutlists.work.covers import short, stands_on
from cutlists.work.facts import LOOSE, Facts, names_of
from cutlists.work.settings import WorkSettings


def add_first(book: Book, facts: Facts, settings: WorkSettings) -> None:
    """The boat stripped and measured, her bare hull tried for leaks."""
    rates, boat = settings.rates, facts.boat
    removed = len(boat.weights.removed)
    strip = [(1, rates.strip, "boat"), (removed, rates.removed, "things taken out")]
    book.add("strip", "Strip her; fuel and batteries out first", strip)
    points = len(boat.hull.survey.points) if boat.hull.survey is not None else 0
    book.add("survey", "Measure the bare hull, read survey-check.csv", [(points, rates.point, "points")])
    book.add("leak.hull", "Fill the bare hull, mark and mend what weeps", [(1, rates.leak, "test")])
    book.follow("survey", "strip", "what is in her hides the hull")
    book.follow("leak.hull", "strip", "what is in her hides the seams")


def add_frame(book: Book, facts: Facts, settings: WorkSettings, name: str) -> None:
    """The frame of one deck, seat box or console: cut, tacked and welded."""
    rates, members, own = settings.rates, facts.members[name], short(name)
    of = "the tubes in space" if name == LOOSE else own
    pieces = names_of(members)
    holes = sum(len(member.holes) for member in members)
    cuts = [(2 * len(members), rates.cut, "cuts"), (holes, rates.hole, "holes")]
    cut = book.add(f"cut.{own}", f"Saw the tube of {of}, try one of each mark", cuts, pieces)
    joints = [(1, rates.square, "frame"), (facts.joints.get(name, 0), rates.joint, "joints")]
    tack = book.add(f"tack.{own}", f"Tack {of}: rims and ledgers, diagonals, then the rest", joints, pieces)
    metres, minutes = facts.welding.get(name, (0.0, 0.0))
    welding = [(metres, minutes / metres if metres else 0.0, "m of seam")]
    weld = book.add(f"weld.{own}", f"Weld {of} from the middle outward, turning sides", welding, pieces)
    book.follow(cut, "survey", "nothing is cut before the hull is measured")
    book.follow(cut, "order.tube", "it is cut from this tube")
    book.follow(tack, cut, "it is made of these pieces")
    book.follow(tack, "strip", "it stands where the old interior was")
    book.follow(tack, "leak.hull", "it hides seams of the hull")
    book.follow(weld, tack, "it is tacked and squared first")


def warn_of_hot_work(book: Book, facts: Facts) -> None:
    """Frames that are welded on a closed floor with foam, wire or hose below it say so."""
    below = {"foam": "foam", "wire": "wire", "plumb": "hose"}
    for name in facts.frames:
        floors = [short(other) for what, other in stands_on(facts.boat, name) if what == "sheet"]
        under = {kind for kind in below for floor in floors if f"{kind}.{floor}" in book.tasks}
        found = [word for kind, word in below.items() if kind in under]
        weld = f"weld.{short(name)}"
        if found and weld in book.tasks:
            task = book.tasks[weld]
            title = f"Weld {short(name)} over {' and '.join(found)}: shield the floor, keep a fire watch"
            book.tasks[weld] = replace(task, title=title)


def link_frames(book: Book, facts: Facts) -> None:
    """Each frame after what it stands on: a welded frame, or a floor that is closed."""
    stood = {name: set(stands_on(facts.boat, name)) for name in facts.frames}
    for k, name in enumerate(facts.frames):
        for what, other in stands_on(facts.boat, name):
            if ("frame", name) in stood.get(other, ()) and other not in facts.frames[:k]:
                continue  # two frames hold each other: the one that is built first goes first
            before = f"{'close' if what == 'sheet' else 'weld'}.{short(other)}"
            book.follow(f"tack.{short(name)}", before, f"it stands on the {what} of {short(other)}")
    if LOOSE not in facts.frames:
        return
    for joint in facts.boat.joints:
        if joint.other and facts.frame_of(joint.member) == LOOSE:
            met = facts.frame_of(joint.other)
            if met in facts.frames and met != LOOSE:
                book.follow(f"tack.{LOOSE}", f"weld.{short(met)}", f"it meets the frame of {short(met)}")
