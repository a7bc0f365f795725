"""Posts: under every bar that spans too far, and under the corners of free edges."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import partial
from itertools import pairwise
from typing import TypeAlias

import numpy as np
import numpy.typing as npt
from shapely import Point, Polygon

from model.findings import Finding
from model.geometry import UP, Array, Plane, cross, unit
from model.hull import Hull
from model.kept import Kept, content
from model.member import Member
from model.member_table import MemberTable
from model.skeleton.bench import DeckFrame
from model.skeleton.joint_gap import measured
from model.skeleton.landing import Ground, Landing, Site, lift_off_skin
from model.skeleton.plan_bar import Bar, left_of
from model.skeleton.records import Joint

Mask: TypeAlias = npt.NDArray[np.bool_]

STEP = 8.0
LEAST_POST = 20.0
"""Posts shorter than this, mm, are not made."""

RESTS = 6.0
"""A frame no further than this above what is below it, mm, rests there: weld fills it (common practice)."""

FIRM_REACH = 80.0
"""How far from a corner, mm, its post may be moved to stand over a member of the deck below."""

CORNER_REACH = 200.0
"""How far from a corner, mm, its post may be moved aside."""

POSTED = ("rim", "header", "carling", "frame", "beam", "added")


@dataclass(frozen=True, eq=False)
class _Stand:
    """A post to be made: under which bar, where its axis passes the bar's underside, on what it lands."""

    bar: Bar
    top: Array
    direction: Array
    landing: Landing


@dataclass(frozen=True, eq=False)
class Post:
    """A post whose foot lies in the plane it lands on; its axis meets the bar above, `under`, in `top`."""

    member: Member
    landing: Landing
    under: str
    top: Array


@dataclass(frozen=True, eq=False)
class _Places:
    """Where along a bar posts may stand: `free` `(n,)`, mm from its p, and which of these are `firm`."""

    free: Array
    firm: Mask


class PostRule:
    """Sets the posts of one deck by its greatest span between posts."""

    def __init__(self, frame: DeckFrame, ground: Ground) -> None:
        """Takes the deck's bars and the ground below them."""
        self.frame, self.deck, self.ground = frame, frame.deck, ground
        self.section = frame.deck.rules.post_section
        self.findings: list[Finding] = []

    def posts(self) -> list[Post]:
        """The posts of the deck, named by the bar they stand under (`deck.front/beam.2/post.1`).

        So a bar that is moved or left out renames no post but its own. The file leaves out one by its name,
        or all of a bar as `beam.2/posts`.
        """
        found = []
        bars = [bar for bar in self.frame.bars.values() if bar.role in POSTED]
        whole = {bar.name: f"{self.frame.short(bar.name)}/posts" for bar in bars}
        self.frame.known += whole.values()
        bars = [bar for bar in bars if whole[bar.name] not in self.deck.rules.leave_out]
        for bar, places in zip(bars, self._places(bars), strict=True):
            for number, stand in enumerate(self._under(bar, places) if places else [], start=1):
                name = f"{bar.name}/post.{number}"
                self.frame.known.append(self.frame.short(name))
                if self.frame.short(name) not in self.deck.rules.leave_out:
                    found.append(Post(self._member(name, stand), stand.landing, bar.name, stand.top))
        return found

    # --- where

    def _places(self, bars: list[Bar]) -> list[_Places | None]:
        """Where posts could stand under each of some bars that need any; all asked for together."""
        grids = []
        for bar in bars:
            start, stop = self._extent(bar)
            grid = np.arange(start + self._keep_off(), stop - self._keep_off() + 1e-9, STEP)
            spans = stop - start <= self.deck.rules.post_span and not any(self._corner_ends(bar))
            grids.append(grid[:0] if spans else grid)
        asked = [self._footprints(bar, grid) for bar, grid in zip(bars, grids, strict=True) if len(grid)]
        footprints = np.concatenate([np.zeros((0, 4, 2)), *asked])
        if not len(footprints):
            return [None] * len(bars)
        allowed, firm = self.ground.allows(footprints), self.ground.firm(footprints.mean(axis=1))
        found: list[_Places | None] = []
        first = 0
        for grid in grids:
            own = slice(first, first + len(grid))
            found.append(_Places(grid[allowed[own]], firm[own][allowed[own]]) if len(grid) else None)
            first += len(grid)
        return found

    def _under(self, bar: Bar, places: _Places) -> list[_Stand]:
        (start, stop), free, firm = self._extent(bar), places.free, places.firm
        chosen = self._corner_posts(bar, free, firm, start, stop, self._corner_ends(bar))
        chosen = self._spaced(bar, free, firm, start, stop, chosen)
        return [s for t in sorted(chosen) for s in self._stand(bar, t)]

    def _extent(self, bar: Bar) -> tuple[float, float]:
        """Where the bar has its full width, as distances from p along it."""
        c, d = bar.corners(), bar.direction
        along = (c - bar.p) @ d
        return float(max(along[0], along[3])), float(min(along[1], along[2]))

    def _keep_off(self) -> float:
        """Least distance of a post's axis from the bar's end."""
        return max(self.section.height, self.section.width) / 2 + 1.0

    def _corner_ends(self, bar: Bar) -> tuple[bool, bool]:
        """At which ends the bar must have a post: where two free edges meet, once for each corner."""
        if bar.role != "rim":
            return (False, False)
        names = list(self.frame.bars)
        found = []
        for cut in (bar.cut_p, bar.cut_q):
            other = self.frame.bars.get(cut.meets or "")
            found.append(
                other is not None and other.role == "rim" and names.index(bar.name) < names.index(other.name)
            )
        return found[0], found[1]

    def _corner_posts(
        self, bar: Bar, free: Array, firm: Mask, start: float, stop: float, fixed: tuple[bool, bool]
    ) -> list[float]:
        chosen: list[float] = []
        for wanted, near, far in ((fixed[0], start, 1.0), (fixed[1], stop, -1.0)):
            if not wanted:
                continue
            reach = (free - near) * far
            near_by = (reach >= 0) & (reach <= CORNER_REACH)
            on_member = near_by & firm & (reach <= FIRM_REACH)
            close = free[on_member if on_member.any() else near_by]
            if len(close):
                best = float(close[np.argmin(np.abs(close - near))])
                if all(abs(best - t) > 2 * self._keep_off() for t in chosen):
                    chosen.append(best)
            elif not self._near_ledger(bar, near):
                self._note(
                    bar,
                    near,
                    "has no post at its corner: nothing free to stand on",
                    "move what is in the way",
                )
        return chosen

    def _near_ledger(self, bar: Bar, t: float) -> bool:
        """Whether a ledger is so near a place on a bar that a corner there needs no post."""
        corner = Point(bar.p + t * bar.direction)
        ledgers = (Polygon(b.corners()) for b in self.frame.bars.values() if b.role == "ledger")
        return any(ledger.distance(corner) <= CORNER_REACH for ledger in ledgers)

    def _spaced(
        self, bar: Bar, free: Array, firm: Mask, start: float, stop: float, chosen: list[float]
    ) -> list[float]:
        """Adds posts until no span is over the greatest, each as near to even spacing as the floor allows.

        On a lower deck a place over one of its members is taken before one that is nearer to even spacing.
        """
        span = self.deck.rules.post_span
        found = list(chosen)
        marks = [start, *sorted(chosen), stop]
        for a, b in pairwise(marks):
            at = a
            while b - at > span + 1e-6:
                parts = math.ceil((b - at) / span - 1e-9)
                target = at + (b - at) / parts
                ahead = free[(free > at + 2 * self._keep_off()) & (free < b - 1e-9)]
                reach = ahead[ahead <= at + span + 1e-6]
                if not len(reach):
                    far = float(ahead[0]) if len(ahead) else b
                    self._note(
                        bar,
                        (at + far) / 2,
                        f"spans {far - at:.0f} mm without a post, over the {span:.0f} mm asked for",
                        "clear a place for a post, or accept a longer span in the deck's rules",
                    )
                    if not len(ahead):
                        break
                    reach = ahead[:1]
                held = np.intersect1d(reach, free[firm])
                held = held[b - held <= (parts - 1) * span + 1e-6]  # at the price of no more posts
                places = held if len(held) else reach
                at = float(places[np.argmin(np.abs(places - target))])
                found.append(at)
        return found

    def _note(self, bar: Bar, t: float, what: str, cure: str) -> None:
        point = self._point(bar, t)
        self.findings.append(Finding("posts", (bar.name,), what, cure, point))

    # --- what

    def _point(self, bar: Bar, t: float) -> Array:
        """The point of a bar's underside at distance t along it, in the boat."""
        p = bar.p + t * bar.direction
        z = -self.deck.sheet.thickness - bar.depth
        found: Array = self.deck.frame.to_boat(np.array([p[0], p[1], z]))
        return found

    def _footprints(self, bar: Bar, grid: Array) -> Array:
        """Plan corners of the posts that could stand along a bar, `(n, 4, 2)`."""
        frame = self.deck.frame
        d = bar.direction * [float(frame.x[0]), 1.0]
        d /= np.hypot(*d)
        side = left_of(d)
        middle = np.stack([self._point(bar, t)[:2] for t in (0.0, 1.0)])
        middle = middle[0] + grid[:, None] * (middle[1] - middle[0])
        along, across = d * self.section.height / 2, side * self.section.width / 2
        corners = [
            middle - along - across,
            middle + along - across,
            middle + along + across,
            middle - along + across,
        ]
        found: Array = np.stack(corners, axis=1)
        return found

    def _stand(self, bar: Bar, t: float) -> list[_Stand]:
        top = self._point(bar, t)
        landing = self.ground.under(float(top[0]), float(top[1]), self._keep_off())
        if landing is None:
            self._note(bar, t, "has no floor below it", "move the deck inward")
            return []
        fall = landing.foot.height(top) / landing.foot.normal[2]
        d = bar.direction
        if fall < LEAST_POST:
            # on a slope the lower edge of the bar is nearer than its axis
            lean = bar.half * abs(float(d[1]) * float(self.deck.frame.x[2] / self.deck.frame.x[0]))
            if fall - lean > RESTS:
                what = f"stands {fall:.0f} mm above {landing.name} where it needs a post: too near for one"
                cure = f"raise the deck by {LEAST_POST - fall:.0f} mm or more, or set packing there"
                self._note(bar, t, what, cure)
            return []
        return [_Stand(bar, top, d[0] * self.deck.frame.x + d[1] * self.deck.frame.y, landing)]

    def _member(self, name: str, stand: _Stand) -> Member:
        drop = float(stand.landing.foot.height(stand.top) / stand.landing.foot.normal[2])
        foot = stand.top - np.array([0.0, 0.0, drop])
        turn = self.deck.rules.turn.get(self.frame.short(name), 0.0)
        flat = unit(stand.direction * [1.0, 1.0, 0.0])
        up = math.cos(turn) * flat + math.sin(turn) * cross(UP, flat)
        head = Plane.through(stand.top, self.deck.frame.z)
        return Member.along(name, self.section, foot, stand.top, up, stand.landing.foot, head)


def deck_posts(frame: DeckFrame, site: Site) -> tuple[list[Post], list[Finding]]:
    """The posts of a deck by its rules, and what stands in their way."""
    deck = frame.deck
    if not deck.rules.posts:
        return [], []
    framed = len(frame.known)

    def make() -> tuple[list[Post], list[Finding], list[str]]:
        rule = PostRule(frame, Ground(site, deck))
        return rule.posts(), rule.findings, frame.known[framed:]

    # Bars follow from their deck, so these are all that posts are set by.
    asked = deck, site.near(deck), content(site.barring(deck))
    posts, findings, known = _SET.get(site.hull, asked, make)
    frame.known[framed:] = known
    return posts, findings


_SET: Kept[tuple[list[Post], list[Finding], list[str]]] = Kept()
"""Posts by what they are set by."""


def landed(
    posts: list[Post], members: Mapping[str, Member], hull: Hull, fit_gap: float
) -> tuple[list[Member], list[Joint], list[Finding]]:
    """The posts with the feet that stand on the skin lifted clear of it, and the joints of all their ends.

    A post of which nothing is left so is not made, and a finding tells of it.

    Args:
        posts: of all decks.
        members: those they stand under, by name.
        hull: the hull.
        fit_gap: least distance between a foot and the skin, mm.
    """
    known = [_LANDED.known(hull, (post, fit_gap)) for post in posts]
    fresh = [post for post, own in zip(posts, known, strict=True) if own is None]
    made = _landed(fresh, members, hull, fit_gap)
    found = [
        own or _LANDED.get(hull, (post, fit_gap), partial(next, made))
        for post, own in zip(posts, known, strict=True)
    ]
    standing = [member for member, _, _ in found if member is not None]
    joints = [joint for _, own, _ in found for joint in own]
    return standing, joints, [finding for _, _, finding in found if finding is not None]


_Landed: TypeAlias = tuple[Member | None, tuple[Joint, ...], Finding | None]
_LANDED: Kept[_Landed] = Kept(most=2000)


def _landed(
    posts: list[Post], members: Mapping[str, Member], hull: Hull, fit_gap: float
) -> Iterator[_Landed]:
    """Each post with its foot cut and its joints, or the finding that nothing is left of it."""
    on_skin = [post for post in posts if post.landing.kind == "hull"]
    lifted = lift_off_skin(hull, [post.member for post in on_skin], fit_gap)
    feet = {post.member.name: foot for post, foot in zip(on_skin, lifted, strict=True)}
    ends = [feet.get(post.member.name, (post.member.end_a, 0.0, 0.0)) for post in posts]
    cut_off = [replace(post.member, end_a=plane) for post, (plane, _, _) in zip(posts, ends, strict=True)]
    gone = MemberTable(cut_off).cut_away.tolist() if cut_off else []
    for post, member, away, (plane, least, widest) in zip(posts, cut_off, gone, ends, strict=True):
        name = member.name
        if away:
            what, cure = "is shorter than its own cuts on the skin there", "leave it out, or move it inboard"
            yield None, (), Finding("posts", (name, post.under), what, cure, post.top)
            continue
        foot = member.a - member.axis * float(plane.height(member.a) / (plane.normal @ member.axis))
        head = measured(Joint("post", name, "B", post.under, post.top, 0.0, 0.0), members)
        yield (
            member,
            (Joint(post.landing.kind, name, "A", post.landing.name, foot, least, widest), head),
            None,
        )
