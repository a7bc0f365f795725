"""The head of a boat file: a punt of 3 m, flat below, with sides that are upright or lean out a little."""


def punt_hull(top: float = 640.0) -> str:
    """Its text down to `hull`, in mm; `top` is the half-breadth at the gunwale, 600 that at the bottom."""
    section = f"keel: [0, 0], chine: [600, 0], gunwale: [{top:g}, 600]"
    stations = "".join(f"    - {{at: {at}, {section}}}\n" for at in (0, 1500, 3000))
    return f"""\
boat: punt
units: mm
hull:
  lines: [keel, chine, gunwale]
  loft: straight
  thickness: 2.5
  stations:
{stations}  bow: {{rake: 0}}
"""
