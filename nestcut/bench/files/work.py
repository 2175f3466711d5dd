"""The open job at work: its files, what was understood of it, and its plan, read once a state."""

from __future__ import annotations

import re
import threading
from collections.abc import Callable
from pathlib import Path

from nestcut import door
from nestcut.bench.answers import NotHere, Refused
from nestcut.bench.files.keeper import Keeper, digest_of

BOOK = "shed.toml"
"""What the stock book of a folder is called."""
_NAME = re.compile(r"[\w][\w .()+-]*")
_MOST_CHARACTERS = 100
_CHARACTERS = (
    "begin with a letter or a figure, and use no others than letters, figures, spaces and . ( ) + -"
)
_JOB = ".toml"
_SHOWN = 40
"""So much of a long name is said again."""


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
        if _fault_of(name) or Path(name).suffix.lower() not in endings:
            raise NotHere(f"'{name}' is no file of this folder")
        path = self.folder / name
        if path.resolve().parent != self.folder.resolve():
            raise NotHere(f"'{name}' is no file of this folder")
        return path

    def to_take_in(self, name: str, endings: set[str]) -> Path:
        """Where a new file goes; Refused, if it is of no kind that is taken or is misnamed."""
        said = name if len(name) <= _MOST_CHARACTERS else f"{name[:_SHOWN]}..."
        if Path(name).suffix.lower() not in endings:
            raise _refused(
                f"'{said}' is no drawing: save or export it as DXF or SVG, and choose that file."
            )
        if fault := _fault_of(name):
            raise _refused(f"'{said}' can't be kept under this name: {fault}.")
        return self.inside(name, endings)

    def to_begin(self, boat: str) -> Path:
        """Where a boat's first job file goes; Refused, if it can't be called so."""
        most = _MOST_CHARACTERS - len(_JOB)
        if not boat:
            raise _refused("The boat has no name yet: give it one.")
        if len(boat) > most:
            raise _refused(f"Give the boat a shorter name: it is longer than {most} characters.")
        if fault := _fault_of(boat):
            raise _refused(f"Give the boat another name: {fault}.")
        return self.inside(boat + _JOB, {_JOB})


def _refused(says: str) -> Refused:
    return Refused([{"message": says}])


def _fault_of(name: str) -> str:
    """Return what is wrong with a file's name, empty if it will do."""
    if len(name) > _MOST_CHARACTERS:
        return f"it is longer than {_MOST_CHARACTERS} characters"
    return "" if _NAME.fullmatch(name) else _CHARACTERS
