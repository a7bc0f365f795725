"""The browser preview: a boat that moves with its dimensions, on this machine or handed over as one file."""
