"""Hoses: how they lie, what flows through them, what comes through the skin."""
