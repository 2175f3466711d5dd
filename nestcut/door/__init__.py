"""The public door: a job from first reading to papers, for scripts and for every front end.

``import nestcut`` offers what the rooms of this door offer.  A front end (the command line, a page
in a browser, a script) uses nothing else of the package; what it adds is talk, files of its own
and a clock.

=============  =====================================================================
`findings`     faults, questions and notes with their words; values that they carry
`lengths`      lengths as people write and read them
`job`          jobs read and checked, first job files, pictures, single parts
`search`       plans searched and proven, under a budget, watched and stopped
`plan`         plan files read, proven again and written down
`papers`       the papers of a plan, in a folder of its own
`single`       one paper at a time: labels, patterns
`again`        a plan continued after mishaps, compared, bought in stages
`choices`      one boat planned in several ways, side by side
`byhand`       pieces pushed by hand
`stockbook`    the stock book: what lies in the shed
=============  =====================================================================

A room is loaded when one of its names is first asked for, so that the command line's help needs no
geometry and no solver.

>>> import nestcut
>>> job = nestcut.read_job("parts/punt/job.toml")
>>> job.name, len(job.sheet_parts), len(job.rail_parts)
('punt', 15, 5)
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from nestcut.door.again import *  # noqa: F403
    from nestcut.door.byhand import *  # noqa: F403
    from nestcut.door.choices import *  # noqa: F403
    from nestcut.door.findings import *  # noqa: F403
    from nestcut.door.job import *  # noqa: F403
    from nestcut.door.lengths import *  # noqa: F403
    from nestcut.door.papers import *  # noqa: F403
    from nestcut.door.plan import *  # noqa: F403
    from nestcut.door.search import *  # noqa: F403
    from nestcut.door.single import *  # noqa: F403
    from nestcut.door.stockbook import *  # noqa: F403

ROOMS = (
    *("findings", "lengths", "job", "search", "plan"),
    *("papers", "single", "again", "choices", "byhand", "stockbook"),
)
"""The rooms of the door, the lightest first."""


def __getattr__(name: str) -> Any:
    """Load the rooms, one after the other, until one offers the name."""
    if name == "__all__":
        return sorted({n for room in ROOMS for n in _room(room).__all__})
    if not name.startswith("_"):
        for room in map(_room, ROOMS):
            if name in room.__all__:
                return getattr(room, name)
    raise AttributeError(f"nestcut offers no '{name}'")


def __dir__() -> list[str]:
    """Return the names that are offered."""
    return list(__getattr__("__all__"))


def _room(name: str) -> Any:
    return import_module(f"nestcut.door.{name}")
