"""Floor: Load cases, frame, pins, lugs, welds."""
