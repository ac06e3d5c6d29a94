"""`python -m barwright.cli` is the same as `barwright`."""

from barwright.cli.run import main

main()
