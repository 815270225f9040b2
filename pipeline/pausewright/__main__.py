"""`python -m pausewright` is the command `pausewright`."""

from pausewright.cli import main

main()
