"""Floor 7: flat and folded parts, and the fittings that generate them from joints."""
