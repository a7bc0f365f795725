"""Weight and trim in a few rows, for a view that follows a slider."""

from __future__ import annotations

from cutlists.afloat.leaf import Leaf
from cutlists.afloat.measures import Measures
from model.hydrostatics.afloat import Live

NOTE = "The capacity plate stands. An estimate, not a survey; weigh her and float her."


def live_leaf(live: Live, units: str) -> Leaf:
    """What a builder watches: weight, centre, trim, heel, freeboard and drafts of one load case.

    Args:
        live: by `model.hydrostatics.afloat.weight_and_trim`.
        units: of the boat.
    """
    measures, after, found = Measures(units), live.weights.after, live.found
    rows = [("weight, nobody aboard", measures.mass(after.mass))]
    if after.mass > 0.0:
        x, y, z = (float(v) for v in after.centre)
        rows.append(("its centre from the transom", measures.length(x)))
        rows.append(("to port" if y >= 0.0 else "to starboard", measures.length(abs(y))))
        rows.append(("above the baseline", measures.length(z)))
    if found.rest is None:
        rows.append((f"case {found.case.name}", found.why))
        return Leaf("Weight and trim", ("", ""), tuple(rows), (NOTE,))
    heel = found.rest.heel
    side = "" if abs(heel) < 5e-4 else " to port" if heel > 0.0 else " to starboard"
    rows += [
        ("case", found.case.name),
        ("trim, bow up", f"{measures.degrees(found.rest.trim)} deg"),
        ("heel", f"{measures.degrees(abs(heel))} deg{side}"),
        ("least freeboard", measures.length(found.freeboard)),
        ("draft at the transom", measures.length(found.draft_aft)),
        ("GM", measures.length(found.rest.gm)),
    ]
    return Leaf("Weight and trim", ("", ""), tuple(rows), (NOTE,))
