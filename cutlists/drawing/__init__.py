"""Drawings for the bench: lines, lettering and dimensions on paper, as SVG in millimetres of the paper."""
