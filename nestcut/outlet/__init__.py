"""Where results leave: folders of papers and single files, and never a loss of what isn't ours.

A folder of results is never moved, replaced or given another mode.  Files are made in a private
place inside it, checked there, and renamed one by one over their own predecessors; the *register*
(``plan.json``) comes last and names every file of ours with its SHA-256.  What the register
doesn't vouch for is the builder's: it is never touched, and where it stands in the way, that is a
finding.  A single file is written only where nothing stands.
"""

from nestcut.outlet.folder import (
    Outcome,
    Papers,
    add_to_folder,
    check_folder,
    settle_folder,
    write_folder,
)
from nestcut.outlet.register import without_files
from nestcut.outlet.single import check_single, replace_single, write_single
from nestcut.outlet.state import folder_state
from nestcut.outlet.undisturbed import undisturbed

__all__ = [
    "Outcome",
    "Papers",
    "add_to_folder",
    "check_folder",
    "check_single",
    "folder_state",
    "replace_single",
    "settle_folder",
    "undisturbed",
    "without_files",
    "write_folder",
    "write_single",
]
