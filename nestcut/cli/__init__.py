"""The command line: the only room that prints, reads the clock and sets exit statuses.

0 verified and complete, 1 a fault of ours, 2 wrong usage, 3 faulty input, 4 verified but pieces
are left unplaced, 130 interrupted.  Results go to stdout, talk to stderr.
"""

from nestcut.cli.commands import main

__all__ = ["main"]
