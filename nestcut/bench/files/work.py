"""The open job at work: its files, what was understood of it, and its plan, read once a state."""

from __future__ import annotations

import re
import threading
from collections.abc import Callable
from pathlib import Path

from nestcut import door
from nestcut.bench.answers import NotHere
from nestcut.bench.files.keeper import Keeper, digest_of

BOOK = "shed.toml"
"""What the stock book of a folder is called."""
_NAME = re.compile(r"[\w][\w .()+-]{0,99}")


class Work:
    """What everything else on the desk works on.

    Parameters
    ----------
    folder
        The only folder whose files are touched; the process works in it.
    notify
        Called after every change, from any thread.
    """

    def __init__(self, folder: Path, notify: Callable[[], None]) -> None:
        self.folder = folder
        self.notify = notify
        self.lock = threading.RLock()
        self.keeper: Keeper | None = None
        self._read: tuple[str, door.Understanding] | None = None
        self._plan: tuple[str, door.Plan] | None = None

    def open(self, path: Path) -> None:
        """Go to another job."""
        self.keeper, self._read, self._plan = Keeper(path), None, None

    @property
    def at_hand(self) -> Keeper:
        """The open job's files; NotHere, if none is open."""
        if self.keeper is None:
            raise NotHere("no job is open")
        return self.keeper

    @property
    def job_file(self) -> Path:
        """The open job file as the process finds it."""
        return Path(self.at_hand.path.name)

    @property
    def book(self) -> Path:
        """The stock book of the folder, there or not."""
        return Path(BOOK)

    @property
    def seen(self) -> str:
        """Digest of the job text that the page works on."""
        return digest_of(self.at_hand.current.job)

    def understood(self) -> door.Understanding:
        """Return what is understood of the job as it stands."""
        text = self.at_hand.current.job
        if self._read is None or self._read[0] != text:
            self._read = (text, door.check_job(self.job_file))
        return self._read[1]

    def plan_now(self) -> door.Plan | None:
        """Return the plan as it stands; None: there is none, or it is of another state."""
        text = self.at_hand.current.plan
        if not text:
            return None
        if self._plan is None or self._plan[0] != text:
            try:
                self._plan = (text, door.parse_plan(text, self.understood().job))
            except door.InputError:
                return None
        return self._plan[1]

    def plan_at_hand(self) -> door.Plan:
        """Return the plan as it stands; NotHere, if there is none."""
        plan = self.plan_now()
        if plan is None:
            raise NotHere("there is no plan yet")
        return plan

    def inside(self, name: str, endings: set[str]) -> Path:
        """A file of the folder by its bare name; nothing else exists for the page."""
        if not _NAME.fullmatch(name) or Path(name).suffix.lower() not in endings:
            raise NotHere(f"'{name}' is no file of this folder")
        path = self.folder / name
        if path.resolve().parent != self.folder.resolve():
            raise NotHere(f"'{name}' is no file of this folder")
        return path
