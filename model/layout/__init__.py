"""The interior that is wanted, resolved to numbers."""
