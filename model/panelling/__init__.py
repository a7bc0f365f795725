"""Sheet over the frame: decks, risers, bulkheads, locker walls, consoles, lids."""
