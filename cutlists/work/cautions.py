"""What must be said wherever the order of work is shown."""

from __future__ import annotations

CAUTIONS = (
    "Hot work: take fuel, tanks and batteries out of the boat and air it before welding or grinding. "
    "Keep a fire watch and an extinguisher by, and look again half an hour later. Never weld on or beside a "
    "tank that held fuel, nor over foam, mat, wire or hose.",
    "Welding fume, grinding dust, etch and adhesive harm lungs and eyes: follow their data sheets. Welders "
    "work to a qualified procedure; local codes and licensed practice come first.",
    "Hours and dates are an estimate by the shop's rates; lead times are the supplier's to confirm.",
)
