"""Floor: The local page."""
