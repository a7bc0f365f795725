"""Where water stands in a boat, what lets it out, and what wells and boxes hold."""
