"""The shop's stock on hand: one SQLite file with what is there, and a log of every change to it."""
