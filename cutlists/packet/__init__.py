"""The shop packet: one PDF to tape to the wall, labels for the pieces, templates at full size."""
