"""Parts sawn out of boards: boards as small sheets, and what they share with rails.

:mod:`as_sheets` gives boards to the room of sheets, :mod:`blanks` knows the rectangles that are
parted from a board for sawn parts, :mod:`together` lays rails and sawn parts out on the same boards
where that costs less, :mod:`bounds` says what neither can undercut.
"""
