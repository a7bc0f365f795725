"""Which members are the same piece: one maps on the other by a rotation that the section allows.

A member is told by its section, its overall length and its two end normals in member axes; an end plane's
place follows from them, since the long points are `length` apart. A turn R of the section (`Section.turns`)
that keeps x carries the normals (a, b) to (R a, R b); one that turns the piece end for end carries them to
(R b, R a). Round tube may besides be turned by any angle about x, so only the relative turn of its ends
counts. The mirror image (any mirror: across the plane square to x the prism is its own image) has the
normals (X b, X a), X = diag(-1, 1, 1). Drilled holes are told from the middle between the long points and
turn with the piece: two pieces are the same only if one turn carries ends on ends and holes on holes.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from model import hole
from model.geometry import Array
from model.member import Member
from model.member_table import MemberTable

if TYPE_CHECKING:
    from parts.section import Section

LENGTH_TOLERANCE = 0.05
"""Pieces whose lengths differ by no more than this are cut to one length, mm."""

ANGLE_TOLERANCE = math.radians(0.01)
"""End planes that differ by no more than this are cut at one setting, rad."""

_MIRROR = np.array([-1.0, 1.0, 1.0])
_ACROSS = np.diag(_MIRROR)
NO_HOLES = np.zeros((0, 6))


@dataclass(frozen=True, eq=False, slots=True)
class Form:
    """What makes a piece itself: `section`, overall `length` (mm), `ends` `(2, 3)` unit normals A, B.

    `holes` `(k, 6)` are as `model.hole.told` tells them.
    """

    section: Section
    length: float
    ends: Array
    holes: Array = field(default_factory=lambda: NO_HOLES)

    @property
    def mirrored(self) -> Form:
        """The form of the mirror image."""
        return Form(self.section, self.length, self.ends[::-1] * _MIRROR, hole.turned(self.holes, _ACROSS))

    @property
    def images(self) -> Array:
        """The end normals under every turn that maps the section's prism on itself, `(k, 2, 3) float`."""
        turns = self.section.turns()
        found: Array = self.ends @ turns.transpose(0, 2, 1)
        reverses = turns[:, 0, 0] < 0.0
        found[reverses] = found[reverses][:, ::-1]
        return found

    def is_same(self, other: Form) -> bool:
        """Whether the two are one piece within the tolerances."""
        if self.section.name != other.section.name or abs(self.length - other.length) > LENGTH_TOLERANCE:
            return False
        images = self.images
        if self.section.is_round:
            images = _turned_onto(images, other.ends)
        # Chord and angle between unit vectors agree to 1e-9 at this tolerance.
        apart = images - other.ends
        alike = (apart * apart).sum(axis=2).max(axis=1) <= (ANGLE_TOLERANCE + 1e-12) ** 2
        if not (len(self.holes) or len(other.holes)):
            return bool(alike.any())
        turns = self.section.turns()[alike]
        return any(hole.same(hole.turned(self.holes, turn), other.holes) for turn in turns)

    @property
    def is_own_mirror(self) -> bool:
        """Whether port and starboard of this piece are one."""
        if not len(self.holes) and np.abs(self.ends[:, 1:]).max() < ANGLE_TOLERANCE / 4:  # both ends square
            return True
        return self.is_same(self.mirrored)

    @property
    def text(self) -> str:
        """The form as one line of text, `section|length|a|b` with `;hole` for each; for `read_form`."""
        a, b, c, d, e, f = (round(part, 8) + 0.0 for part in self.ends.ravel().tolist())  # no -0.0
        holes = "".join(";" + ",".join(f"{part + 0.0:.3f}" for part in row) for row in self.holes.tolist())
        ends = f"{a:.8f},{b:.8f},{c:.8f}|{d:.8f},{e:.8f},{f:.8f}"
        return f"{self.section.name}|{self.length:.4f}|{ends}{holes}"


def _turned_onto(images: Array, target: Array) -> Array:
    """Each image `(k, 2, 3)` turned about x to lie closest to `target` `(2, 3)`, by least squares."""
    own = images[..., 1] + 1j * images[..., 2]
    wanted = target[:, 1] + 1j * target[:, 2]
    turn = np.exp(1j * np.angle((own.conj() * wanted).sum(axis=1)))
    turned = own * turn[:, None]
    return np.stack([images[..., 0], turned.real, turned.imag], axis=-1)


def read_form(text: str, sections: Mapping[str, Section]) -> Form | None:
    """The form told by `text`, or None when it is no member's or its section is not in `sections`."""
    told, *drilled = text.split(";")
    name, *rest = told.rsplit("|", 3)
    section = sections.get(name)
    if section is None or len(rest) != 3:
        return None
    try:
        ends = np.array([[float(part) for part in end.split(",")] for end in rest[1:]])
        length = float(rest[0])
        holes = np.array([[float(part) for part in row.split(",")] for row in drilled]).reshape(-1, 6)
    except ValueError:
        return None
    finite = math.isfinite(length) and np.isfinite(ends).all() and np.isfinite(holes).all()
    if ends.shape != (2, 3) or not finite:
        return None
    return Form(section, length, ends / np.linalg.norm(ends, axis=1)[:, None], holes)


def forms(members: Sequence[Member], table: MemberTable | None = None) -> list[Form]:
    """The form of each member, in list order."""
    told = table or MemberTable(members)
    lengths, normals = told.length.tolist(), told.end_normals
    return [
        Form(member.section, length, ends, _holes(member) if member.holes else NO_HOLES)
        for member, length, ends in zip(members, lengths, normals, strict=True)
    ]


def _holes(member: Member) -> Array:
    """The holes of a member, from the middle between its long points."""
    prism = member.prism
    return hole.told(member.holes, float(prism.near_long[0] + prism.far_long[0]) / 2.0)


def _key(form: Form) -> tuple[str, int]:
    """A bin of section and length; the same piece lies in this bin or one beside it."""
    return form.section.name, math.floor(form.length / LENGTH_TOLERANCE)


class _Leaders:
    """Forms that stand for a piece each, found again by section and length."""

    def __init__(self) -> None:
        self._bins: dict[tuple[str, int], list[tuple[str, Form]]] = {}

    def add(self, text: str, form: Form) -> None:
        self._bins.setdefault(_key(form), []).append((text, form))

    def find(self, form: Form) -> str | None:
        """The text of the form that is the same piece and closest in length."""
        name, place = _key(form)
        near = [pair for step in (0, -1, 1) for pair in self._bins.get((name, place + step), ())]
        near.sort(key=lambda pair: abs(pair[1].length - form.length))
        return next((text for text, known in near if form.is_same(known)), None)


def signatures(
    members: Sequence[Member], known: Iterable[str] = (), table: MemberTable | None = None
) -> dict[str, str]:
    """For each member's name a text that is equal for equal pieces and for no others.

    A piece takes the signature of one in `known` (those of an earlier build) when it is the same within the
    tolerances. The others are gone through from the shortest, then by the angles of their ends, then by
    name; each takes the signature of a piece before it that is the same, or else founds its own. So the
    answer does not depend on the order of the list, and no piece is further than the tolerance from the one
    it is counted with.

    Args:
        members: pieces with different names.
        known: signatures to keep using.
        table: the members' numbers, when already at hand.
    """
    told = table or MemberTable(members)
    sections = {member.section.name: member.section for member in members}
    leaders = _Leaders()
    for text in sorted(set(known)):
        form = read_form(text, sections)
        if form is not None:
            leaders.add(text, form)
    tilts = np.sort(told.tilts, axis=1).round(7).tolist()
    rows = zip(forms(members, told), tilts, [member.name for member in members], strict=True)
    found = {}
    for form, _, name in sorted(rows, key=lambda row: (round(row[0].length, 6), row[1], row[2])):
        own = leaders.find(form)
        if own is None:
            own = form.text
            leaders.add(own, form)
        found[name] = own
    return {member.name: found[member.name] for member in members}


def mirror_pairs(texts: Iterable[str], sections: Mapping[str, Section]) -> dict[str, str]:
    """For each signature whose mirror image is another of `texts`: that other one.

    A piece that is its own mirror image is in no pair.
    """
    read = {text: form for text in sorted(set(texts)) if (form := read_form(text, sections)) is not None}
    return mirror_images(read)


def mirror_images(told: Mapping[str, Form]) -> dict[str, str]:
    """As `mirror_pairs`, of forms by name."""
    leaders = _Leaders()
    for name, form in told.items():
        leaders.add(name, form)
    found = {}
    for name, form in told.items():
        other = None if form.is_own_mirror else leaders.find(form.mirrored)
        if other is not None and other != name:
            found[name] = other
    return found
