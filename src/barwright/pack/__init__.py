"""Floor 12: all that is needed to make it. DXF, PDF, STEP, cut list, order sheet, guide."""
