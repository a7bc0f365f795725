"""Makers of sections, one family a file."""

from parts.sections.angle import angle
from parts.sections.flat import flat_bar
from parts.sections.hat import hat_channel
from parts.sections.rect import rect_tube, square_tube
from parts.sections.round import round_tube

__all__ = ["angle", "flat_bar", "hat_channel", "rect_tube", "round_tube", "square_tube"]
