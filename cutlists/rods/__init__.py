"""Rods on paper: what lies in which locker, and rod lengths against a face's angle and offset."""
