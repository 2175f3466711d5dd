"""``--cluster ADDRESS``: searches side by side run on computers that are there already.

The cluster is Dask's (``distributed``, the optional extra ``dask``): a scheduler at an address and
workers that have the same nestcut installed. What comes out is what as many processes here would
have found; a worker that is lost has its search run again, by another or here.
"""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import Executor
from contextlib import contextmanager
from importlib import import_module
from importlib.metadata import PackageNotFoundError, version
from typing import Any

from nestcut.door.findings import InputError, Names, Severity, finding

CONNECT_S = 10.0
"""How long a scheduler may take to answer. [s]"""


def here() -> str:
    """Return nestcut's version in this process; workers are asked the same."""
    try:
        return version("nestcut")
    except PackageNotFoundError:
        return "none"


@contextmanager
def crew_at(address: str | None) -> Iterator[Executor | None]:
    """Give an executor on the cluster at this address; None without an address.

    Parameters
    ----------
    address
        Of the scheduler, such as ``tcp://127.0.0.1:8786``.

    Raises
    ------
    InputError
        Dask isn't installed, nobody answers, nobody works there, or another nestcut does.
    """
    if address is None:
        yield None
        return
    try:
        distributed: Any = import_module("distributed")
    except ImportError as error:
        raise InputError([finding("PLN-004", Severity.ERROR, address)]) from error
    try:
        client = distributed.Client(address, timeout=CONNECT_S, set_as_default=False)
    except (OSError, TimeoutError, ValueError) as error:
        told = finding("PLN-005", Severity.ERROR, address, seconds=f"{CONNECT_S:.0f}")
        raise InputError([told]) from error
    with client:
        _look_over(_versions(client), address)
        yield client.get_executor(retries=0, pure=False)


def _versions(client: Any) -> dict[str, str]:
    """Ask every worker for its nestcut; one that has none can't answer."""
    try:
        found: dict[str, str] = client.run(here)
    except ImportError:
        return {"": "none"}
    return found


def _look_over(versions: dict[str, str], address: str) -> None:
    """Refuse a cluster without workers, or with another nestcut than this one."""
    if not versions:
        raise InputError([finding("PLN-006", Severity.ERROR, address)])
    others = sorted({v for v in versions.values() if v != here()})
    if others:
        told = finding("PLN-007", Severity.ERROR, address, others=Names(tuple(others)), here=here())
        raise InputError([told])
