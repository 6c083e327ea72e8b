"""`python -m scout` is the command `scout`."""

from scout.cli import main

main()
