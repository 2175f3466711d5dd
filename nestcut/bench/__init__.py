"""The bench: the whole job on a page in the browser, served on this computer alone.

The server holds no logic of boats: it reads and writes the same job and plan files as the command
line, and asks :mod:`nestcut.door` for all else.  ``files`` has the files and their history,
``plans`` the processes that plan, ``shown`` what the page is shown, ``guard`` who may ask.
"""

from nestcut.bench.serve import serve

__all__ = ["serve"]
