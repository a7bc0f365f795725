"""Insulated boxes: what their walls let through, and how long ice keeps in them."""
