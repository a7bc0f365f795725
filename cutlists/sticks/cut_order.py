"""The order of a stick's cuts that sets the saw anew, and turns the stick, least often.

All cuts are marked before the first one is made, so they may be made in any order that keeps the blade off
other pieces: the cuts between two neighbours go in the order in which they part them (`CutMaker`), all else
is free.
"""

from __future__ import annotations

from collections.abc import Sequence

from cutlists.sticks.records import Cut

Key = tuple[int, int]


def ordered(chains: Sequence[Sequence[Cut]], before: Key | None = None) -> tuple[Cut, ...]:
    """The cuts of one stick in the order to make them.

    Args:
        chains: the cuts at each place between pieces, in an order that must be kept; places from left.
        before: the setting that the saw has from the stick before.
    """
    left = [list(cuts) for cuts in chains if cuts]
    found: list[Cut] = []
    setting, roll = before, 0.0
    while left:
        heads = {cuts[0].setting.key for cuts in left}
        if setting not in heads:
            setting = min(heads, key=lambda key: _rank(key, left))
        rolls = {cuts[0].setting.roll for cuts in left if cuts[0].setting.key == setting}
        roll = roll if roll in rolls else min(rolls, key=abs)
        for cuts in left:
            while cuts and (cuts[0].setting.key, cuts[0].setting.roll) == (setting, roll):
                found.append(cuts.pop(0))
        left = [cuts for cuts in left if cuts]
    return tuple(found)


def _rank(key: Key, left: Sequence[Sequence[Cut]]) -> tuple[bool, bool, Key]:
    """Settings none of whose cuts must wait for another setting come first, square before the others."""
    waits = any(cut.setting.key == key for cuts in left for cut in _after_first_run(cuts, key))
    return waits, key != (0, 0), key


def _after_first_run(cuts: Sequence[Cut], key: Key) -> Sequence[Cut]:
    """The cuts that come after those of `key` at the head."""
    place = next((i for i, cut in enumerate(cuts) if cut.setting.key != key), len(cuts))
    return cuts[place:]
