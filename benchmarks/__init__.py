"""Speed as ratios against named libraries, ours and theirs timed in turn in the same run."""
