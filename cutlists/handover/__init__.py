"""What the owner is handed with the boat."""
