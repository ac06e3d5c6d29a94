"""Floor 4: readings -> where the marks are, and how well that is known."""
