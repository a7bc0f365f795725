"""Sections and random members for the tests of members."""

from __future__ import annotations

import numpy as np

from model.geometry import Plane
from model.member import Member
from parts.alloy import Alloy, Strength
from parts.section import Section
from parts.sections import angle, flat_bar, hat_channel, rect_tube, round_tube, square_tube

ALLOY = Alloy(
    "6061-T6", "extrusion", 2700.0, 69600.0, 26000.0, Strength(260.0, "test"), Strength(240.0, "test"), (), {}
)
TUBE = rect_tube("2 x 1 x 1/8", 50.8, 25.4, 3.175, ALLOY, radius=3.0)
SHARP = rect_tube("1 x 2 x 1/16 sharp", 25.4, 50.8, 1.5875, ALLOY)
SQUARE = square_tube("1-1/2 square", 38.1, 3.175, ALLOY, radius=4.0)
ROUND = round_tube("1-1/4 round", 31.75, 3.175, ALLOY)
ANGLE = angle("2 x 1-1/2 angle", 50.8, 38.1, 3.175, ALLOY, radius=4.0)
EQUAL_ANGLE = angle("1-1/2 angle", 38.1, 38.1, 3.175, ALLOY)
FLAT = flat_bar("2 x 1/4 flat", 50.8, 6.35, ALLOY)
HAT = hat_channel("hat", 80.0, 30.0, 2.0, 40.0, ALLOY, radius=4.0)
SECTIONS: tuple[Section, ...] = (TUBE, SHARP, SQUARE, ROUND, ANGLE, FLAT, HAT)


def unit_vector(rng: np.random.Generator) -> np.ndarray:
    found = rng.normal(size=3)
    return found / np.linalg.norm(found)


def tilted(rng: np.random.Generator, axis: np.ndarray, most: float) -> np.ndarray:
    """A unit vector within `most` rad of `axis`."""
    across = np.cross(axis, unit_vector(rng))
    across /= np.linalg.norm(across)
    tilt = rng.uniform(0.0, most)
    return np.cos(tilt) * axis + np.sin(tilt) * across


def random_member(rng: np.random.Generator, section: Section, name: str = "sample") -> Member:
    """Any axis, any roll, any two end planes up to 70 degrees from square that leave a whole piece."""
    while True:
        a, axis = rng.uniform(-2000.0, 2000.0, 3), unit_vector(rng)
        b = a + axis * rng.uniform(150.0, 2500.0)
        most = np.radians(70.0)
        planes = [
            Plane.through(at + rng.uniform(-20.0, 20.0) * axis, tilted(rng, way, most))
            for at, way in ((a, -axis), (b, axis))
        ]
        member = Member(name, section, a, b, float(rng.uniform(-np.pi, np.pi)), planes[0], planes[1])
        if not member.is_cut_away:
            return member


def random_members(count: int, seed: int) -> list[Member]:
    """`count` random members over all families of section."""
    rng = np.random.default_rng(seed)
    return [random_member(rng, SECTIONS[k % len(SECTIONS)], f"sample.{k}") for k in range(count)]
