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
    """Ask the door for a name."""
    if name.startswith("_"):
        raise AttributeError(f"nestcut offers no '{name}'")
    return getattr(import_module("nestcut.door"), name)


def __dir__() -> list[str]:
    """Return the names that are offered."""
    return ["__version__", *dir(import_module("nestcut.door"))]
