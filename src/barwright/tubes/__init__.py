"""Floor 5: bars. Centrelines, bends, copes, cut lengths, inserts."""
