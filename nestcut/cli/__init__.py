"""The command line: the only room that prints, reads the clock and sets exit statuses.

0 verified and complete, 1 a fault of ours, 2 wrong usage, 3 faulty input, 4 verified but pieces
are left unplaced, 130 interrupted.  Results go to stdout, talk to stderr.

Nothing heavy is imported here: the door has to stand before the house is loaded, so that a signal
in the first moment is heard (see :mod:`nestcut.cli.process`).
"""

from nestcut.cli.process import main

__all__ = ["main"]
