"""Floor: Interference, removal, tack and weld order."""
