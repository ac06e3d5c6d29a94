"""The top floor: the commands. Thin: each reads a job, runs the route and says what came out.

Exit codes: 0 done, 1 a finding that must be dealt with, 2 bad input, 3 a fault in Barwright.
"""

from barwright.cli.run import main

__all__ = ["main"]
