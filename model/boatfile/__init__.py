"""The boat file: its keys, its numbers, its reader."""
