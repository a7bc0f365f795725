"""What hoses may end on, by the names of the file."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial

import numpy as np

from model.boatfile.numbers import Key
from model.hoses.plan import End
from model.layout.context import Context
from model.layout.records import FixturePlan, Layout
from model.water.settings import Drain, WaterSettings
from parts.faults import did_you_mean
from parts.fittings import Fitting
from parts.plumbing import Valve

GROUPS = ("fitting", "fixture", "drain")
"""What may stand before a name, with a point, where it is a name of several things."""


class Ends:
    """Finds fittings, fixtures and drains by name."""

    def __init__(
        self,
        ctx: Context,
        fittings: Sequence[End],
        written: Sequence[str],
        layout: Layout,
        water: WaterSettings,
    ) -> None:
        """Gathers them.

        Args:
            ctx: takes the faults.
            fittings: below `hoses` that could be read.
            written: names of all of them, so that those at fault are not told of twice.
            layout: has the fixtures.
            water: has the drains.
        """
        self.ctx = ctx
        self.written = set(written)
        # made when they are asked for: few of a boat's fixtures have hoses, and a drag is to stay quick
        self.known: dict[str, dict[str, Callable[[], End]]] = {
            "fitting": {end.name: partial(_itself, end) for end in fittings},
            "fixture": {f.name.removeprefix("fixture."): partial(_fixture, ctx, f) for f in layout.fixtures},
            "drain": {d.name: partial(_drain, d) for d in water.drains},
        }

    def find(self, name: str, *path: Key) -> End | None:
        """What a name means; None once a fault is noted."""
        group, _, rest = name.partition(".")
        groups, plain = ((group,), rest) if group in GROUPS and rest else (GROUPS, name)
        found = [(g, self.known[g][plain]) for g in groups if plain in self.known[g]]
        if len(found) == 1:
            return found[0][1]()
        if found:
            right = f"write {' or '.join(f'{g}.{plain}' for g, _ in found)}"
            self.ctx.fault(path, f"there are {len(found)} things called '{name}'", right)
        elif plain not in self.written or groups == ("fixture",):
            known = [own for g in groups for own in self.known[g]]
            self.ctx.fault(path, f"there is no fitting called '{name}'", did_you_mean(plain, known))
        return None


def _itself(end: End) -> End:
    return end


def _fixture(ctx: Context, plan: FixturePlan) -> End:
    part = plan.part
    ports = tuple((way, plan.frame.to_boat(np.array(at, dtype=np.float64))) for way, at in part.ports.items())
    at = plan.frame.to_boat(np.array(_top(part), dtype=np.float64))
    bore = part.bore if isinstance(part, Valve) else None
    place = ctx.numbers.document.place(plan.path)
    name = plan.name.removeprefix("fixture.")
    return End(name, "fixture", at, plan.name, bore, part.kind == "valve", part, ports, place)


def _top(part: Fitting) -> tuple[float, float, float]:
    """The middle of a part's upper face, where a hose is pushed on if nothing else is told."""
    x0, y0, _, x1, y1, z1 = part.bounds
    return (x0 + x1) / 2.0, (y0 + y1) / 2.0, z1


def _drain(drain: Drain) -> End:
    at = np.array([*drain.at, np.nan])
    return End(drain.name, "drain", at, drain.of, drain.diameter, False, None, (), drain.place)
