"""Floor 6: what moves. Hinge axis, sweep, first contact, stop, latch."""
