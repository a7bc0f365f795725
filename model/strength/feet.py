"""What stands on a deck's sheet: posts of the deck above, and frames that lie on it, such as a console's.

A foot over a member stands on it. On bare sheet the sheet hands its load to the members round it, and gives
way itself as a plate does under a person's weight.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from model.geometry import FORWARD, PORT, UP, Array
from model.layout.records import Layout
from model.skeleton.posts import RESTS
from model.strength.network import Foot, Network
from model.strength.plate import Plate, sag_under
from model.strength.settings import GRAVITY, StrengthSettings
from model.strength.spread import DeckLines
from model.strength.ties import FIRM, Tie

PAD = 50.0
"""Side of the square that a foot on bare sheet is taken to press on, mm: a tube and the weld round it."""


@dataclass(frozen=True, eq=False)
class Standing:
    """A foot and how the deck below carries it.

    Attributes:
        foot: which.
        bare: whether it stands on bare sheet.
        plate: the sheet it stands on, as wide as the strips through it.
        at: where on the plate, mm from its corner.
        ties: down, forward and to port.
    """

    foot: Foot
    bare: bool
    plate: Plate
    at: tuple[float, float]
    ties: tuple[Tie, Tie, Tie]


def all_feet(net: Network, layout: Layout) -> tuple[Foot, ...]:
    """The feet of posts, and every point of a member that rests on a level deck's sheet."""
    found = list(net.feet)
    under = np.concatenate([_undersides(net, k) for k in range(len(net.members))] or [np.zeros(0)])
    owner = np.repeat(np.arange(len(net.lines)), [len(line.at) for line in net.lines])
    nodes = np.concatenate([line.nodes for line in net.lines] or [np.zeros(0, dtype=np.int64)])
    lying = np.array([abs(float(m.axis[2])) < 0.5 for m in net.members])
    for deck in layout.decks.values():
        if deck.frame.x[2] != 0.0:
            continue
        gap = under - deck.height_at(0.0)
        for n in np.flatnonzero((np.abs(gap) <= RESTS) & lying[owner]).tolist():
            k, node = int(owner[n]), int(nodes[n])
            on = shapely.contains_xy(deck.area, *net.points[node, :2])
            if on and not net.members[k].name.startswith(f"{deck.name}/"):
                found.append(Foot(k, node, deck.name))
    return tuple({(foot.node, foot.deck): foot for foot in reversed(found)}.values())


def _half(net: Network, foot: Foot, lines: DeckLines) -> Array:
    """Half the sides, along the deck's axes, of what a post covers of the deck, `(2,)`; zeros for a bar."""
    member = net.members[foot.member]
    if abs(float(member.axis[2])) < 0.5:
        return np.zeros(2)
    flat = lines.plan.frame.to_frame(member.corners[0])[:, :2]
    half: Array = np.ptp(flat, axis=0) / 2
    return half


def _undersides(net: Network, k: int) -> Array:
    """Heights of a member's underside at its points, `(n,)`."""
    member, section = net.members[k], net.members[k].section
    reach = abs(float(member.frame.z[2])) * section.height / 2
    reach += abs(float(member.frame.y[2])) * section.width / 2
    found: Array = net.points[net.lines[k].nodes, 2] - reach
    return found


def standing(
    net: Network, layout: Layout, decks: dict[str, DeckLines], settings: StrengthSettings
) -> list[Standing]:
    """How every foot is carried; those on decks without a frame are left out."""
    return [
        stand_on(net, foot, decks[foot.deck], settings)
        for foot in all_feet(net, layout)
        if foot.deck in decks
    ]


def stand_on(
    net: Network, foot: Foot, lines: DeckLines, settings: StrengthSettings, length: float = 0.0
) -> Standing:
    """How a deck carries a foot.

    Args:
        net: the network.
        foot: which foot.
        lines: of the deck.
        settings: for the weight at which the sheet's give is taken.
        length: of the run of an upright face that the foot stands for, mm; 0 for a post.
    """
    at = lines.plan.frame.to_frame(net.points[foot.node])[None, :2]
    shares = lines.shares(at, len(net.points)).tocoo()
    bare = not lines.carries(at, _half(net, foot, lines))
    plate, spot = lines.sheet_round(at)
    stiff = FIRM
    if bare:
        weight = settings.person * GRAVITY
        stiff = min(weight / max(sag_under(plate, weight, PAD, spot, settings.sheet_held), 1e-6), FIRM)
        # Along a face the sheet sags in one trough: a run of it takes its share of what one foot would.
        stiff *= min(length / plate.short, 1.0) if length else 1.0
    down, forward, port = (
        Tie(foot.node, way, shares.col.astype(np.int64), shares.data, k)
        for way, k in ((UP, stiff), (FORWARD, FIRM), (PORT, FIRM))
    )
    return Standing(foot, bare, plate, spot, (down, forward, port))
