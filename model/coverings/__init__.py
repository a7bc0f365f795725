"""Areas that are painted, matted and glued, by face."""
