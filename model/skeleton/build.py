"""The skeleton of a boat from its layout: decks framed, posts set, consoles and added members placed."""

from __future__ import annotations

import re

import numpy as np

from model.findings import Finding
from model.hull import Hull
from model.layout.records import Layout, Path
from model.member import Member
from model.skeleton.bench import DeckFrame
from model.skeleton.console_frame import console_members
from model.skeleton.deck_frame import frame_deck
from model.skeleton.deck_members import deck_members
from model.skeleton.joint_gap import measured
from model.skeleton.landing import Site
from model.skeleton.plan_bar import Bar
from model.skeleton.posts import Post, deck_posts, landed
from model.skeleton.records import Joint, Refusal, Skeleton
from model.skeleton.space_members import place_members
from parts.faults import did_you_mean


def build_skeleton(layout: Layout, hull: Hull) -> Skeleton:
    """All members by rule, then the file's own additions, with every joint and what could not be framed."""
    members: list[Member] = []
    joints: list[Joint] = []
    findings: list[Finding] = []
    posts: list[Post] = []
    refusals: list[Refusal] = []
    framed: list[DeckFrame] = []
    bars: dict[str, tuple[Bar, ...]] = {}
    for deck in layout.decks.values():
        frame = frame_deck(deck)
        bars[deck.name] = tuple(frame.bars.values())
        findings.extend(Finding("frame", (name,), what, cure) for name, what, cure in frame.notes)
        own, own_joints = deck_members(frame)
        refusals += frame.refusals
        framed.append(frame)
        members += own
        joints += own_joints
    site = Site(layout, hull, bars)
    for frame in framed:
        own_posts, in_the_way = deck_posts(frame, site)
        posts += own_posts
        findings += in_the_way
    refusals += _unknown_names(framed)
    for console in layout.consoles:
        tied, tied_joints = console_members(console)
        by_own_name = {m.name: m for m in tied}
        members += tied
        joints += [measured(joint, by_own_name) for joint in tied_joints]
    standing, post_joints, fallen = landed(posts, {m.name: m for m in members}, hull, layout.fit_gap)
    members += standing
    joints += post_joints
    findings += fallen
    placed = place_members(layout.members, {m.name: m for m in members}, hull, layout.fit_gap)
    members += placed.members
    findings += placed.findings
    refusals += placed.refusals
    by_name = {m.name: m for m in members}
    joints = [*joints, *(measured(j, by_name) for j in placed.joints)]
    findings += [_loose(j) for j in joints if j.kind in ("corner", "tee", "post") and not j.gap <= MOST_GAP]
    return Skeleton(tuple(members), tuple(joints), bars, tuple(findings), tuple(refusals))


MOST_GAP = 0.5
"""Greatest gap, mm, across which a joint is counted as touching."""


def _unknown_names(frames: list[DeckFrame]) -> list[Refusal]:
    """Changes in the file's frame rules that name no member of their deck, on either side of the boat."""
    known: dict[Path, list[str]] = {}
    for frame in frames:
        known.setdefault(frame.deck.path, []).extend(frame.known)
    found: dict[Refusal, None] = {}
    for frame in frames:
        if frame.refusals:  # what is missing there may be missing for that
            continue
        names = known[frame.deck.path]
        for name, kind, path in _named(frame):
            fit = [n for n in names if BEAM.fullmatch(n)] if kind == "beam" else names
            if name not in fit:
                what = f"{frame.deck.base} has no {kind} called {name!r}"
                found[Refusal(path, what, did_you_mean(name, dict.fromkeys(fit)))] = None
    return list(found)


def _named(frame: DeckFrame) -> list[tuple[str, str, Path]]:
    """The members that a deck's rules name, of what kind each must be, and where it is named."""
    rules, path = frame.deck.rules, (*frame.deck.path, "frame")
    gone = tuple(f"{name}/" for name in rules.leave_out)
    named: list[tuple[str, str, Path]] = [(name, "beam", (*path, "move", name)) for name in rules.move]
    named += [(name, "member", (*path, "turn", name)) for name in rules.turn]
    named += [(name, "member", (*path, "leave_out")) for name in sorted(rules.leave_out)]
    return [(name, kind, where) for name, kind, where in named if not name.startswith(gone)]


BEAM = re.compile(r"beam\.\d+")


def _loose(joint: Joint) -> Finding:
    if joint.gap == np.inf:
        what = f"end {joint.end} is to meet {joint.other}, which is left out"
    else:
        what = f"end {joint.end} stands {joint.gap:.1f} mm off {joint.other}"
    return Finding("frame", (joint.member,), what, "move the member, or leave it out too", joint.point)
