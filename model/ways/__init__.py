"""Runs of wire and hose through the boat: where they may lie, the shortest way, and what they meet."""
