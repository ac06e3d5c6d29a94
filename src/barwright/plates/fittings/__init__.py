"""The fittings: one module a kind, each generating plates from a joint and its motion."""
