"""Floor: Pins, bushings, spacers, tolerance stacks, chance of first-time fit."""
