"""nestcut: a home-built plywood boat's parts, planned onto the sheets and boards the yard sells.

The names offered here are those of :mod:`nestcut.door`, loaded when first asked for, so that the
command line's help needs no geometry and no solver::

    import nestcut

    job = nestcut.read_job("parts/punt/job.toml")
    done = nestcut.plan_job(job, nestcut.Budget(effort=nestcut.Effort.QUICK))
    print(nestcut.money(done.plan), job.currency)
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

__version__ = "0.1.0"

if TYPE_CHECKING:
    from nestcut.door import *  # noqa: F403


def __getattr__(name: str) -> Any:
    """Load the door when one of its names is first asked for."""
    door = import_module("nestcut.door")

    if name not in door.__all__:
        raise AttributeError(f"nestcut offers no '{name}'")
    return getattr(door, name)


def __dir__() -> list[str]:
    """Return the names that are offered."""
    return ["__version__", *import_module("nestcut.door").__all__]
