"""What the loading, powering and flotation rules for small outboard boats give for a measured hull."""
