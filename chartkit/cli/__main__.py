"""`python -m chartkit.cli`, for where the `chartkit` command is not on the path."""

from chartkit.cli import main

main()
