"""All commands as they are declared: names, options and help; the work is done beside.

Importing a module here adds its commands to the group, in the order of use.
"""

from nestcut.cli.declared import further, shed, usual
from nestcut.cli.declared.root import cli

__all__ = ["cli", "further", "shed", "usual"]
