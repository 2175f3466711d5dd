"""The job's files and their history: what is on the page is on the disk, and can be undone.

Beside ``boat.toml`` lie ``boat.plan.json``, the plan as it stands, and ``boat.history/``: a small
file for each state that job and plan have had, their texts packed beside it under their digests,
and a word which state is current.  A state is safe on the disk before the job file is replaced, so
that a crash at any moment loses nothing.
"""

from __future__ import annotations

import gzip
import hashlib
import json
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from nestcut.durable import put_whole


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """What job and plan were at one time; ``what`` says in a few words what had changed."""

    number: int
    job: str
    plan: str
    what: str
    parent: int
    pins: tuple[str, ...] = ()
    """Pieces that stay where they are when the rest is searched again."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """A plan that was found, for the table of plans side by side.

    Parameters
    ----------
    label
        How the page calls it.
    figures
        What tells it from others, as the page shows it.
    goes_on
        Whether it goes on from what was cut: what is bought already costs nothing in it.
    """

    label: str
    figures: dict[str, Any]
    goes_on: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class _Entry:
    """A state as its small file has it: texts by their digests."""

    parent: int
    job: str
    plan: str
    what: str
    pins: tuple[str, ...]
    found: Found | None = None


_EMPTY = hashlib.sha256(b"").hexdigest()
"""Digest of no text."""


class ChangedMeanwhile(Exception):  # noqa: N818 - it's a state of affairs, not a fault
    """The job file was changed outside; carries what it holds now."""

    def __init__(self, theirs: str) -> None:
        self.theirs = theirs
        super().__init__("the job file was changed outside")


def digest_of(text: str) -> str:
    """Return what tells one state of a job file from another."""
    return hashlib.sha256(text.encode()).hexdigest()


def stamp_of(path: Path) -> tuple[int, int] | None:
    """Return when a file was changed last and its size [ns, bytes]; None where it is gone."""
    try:
        told = path.stat()
    except OSError:
        return None
    return told.st_mtime_ns, told.st_size


class Keeper:
    """Keeps one job's files.

    Parameters
    ----------
    path
        The job file; it's there.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self.folder = path.with_name(f"{path.stem}.history")
        self.plan_path = path.with_name(f"{path.stem}.plan.json")
        self._texts = self.folder / "texts"
        self._texts.mkdir(parents=True, exist_ok=True)
        self._entries: dict[int, _Entry] = {}
        self._read_entries()
        self._current = self._resume()

    @property
    def current(self) -> State:
        """The state that job and plan are in."""
        return self._current

    def job_on_disk(self) -> str:
        """Return the job file's text as it lies there now."""
        return self.path.read_bytes().decode("utf-8-sig", errors="replace")

    def change(
        self,
        what: str,
        *,
        seen: str,
        job: str | None = None,
        plan: str = "",
        pins: tuple[str, ...] = (),
        found: Found | None = None,
    ) -> State:
        """Take a new state down.

        Parameters
        ----------
        what
            What was done, in a few words.
        seen
            Digest of the job text that the change was made on.
        job, plan, pins
            What is so afterwards; a job of None stays as it is.
        found
            Of a plan that a search has found: for the table of plans side by side.

        Raises
        ------
        ChangedMeanwhile
            If the job file isn't what was seen; nothing was written.
        """
        here = self.job_on_disk()
        if digest_of(here) != seen:
            raise ChangedMeanwhile(here)
        if here != self._current.job:
            self._take_down("changed in an editor", here, "")
        return self._take_down(what, here if job is None else job, plan, pins, found)

    def take_theirs(self) -> State:
        """Go on with the job file as it lies there now."""
        here = self.job_on_disk()
        if here == self._current.job:
            return self._current
        return self._take_down("changed in an editor", here, "")

    def undo(self) -> State:
        """Go back to the state before; at the first one nothing happens."""
        return self._go_to(self._current.parent)

    def redo(self) -> State:
        """Go on to the latest state that was made from this one."""
        later = self._later()
        return self._go_to(max(later)) if later else self._current

    @property
    def can_redo(self) -> bool:
        """Whether there is a state to go on to."""
        return bool(self._later())

    def _later(self) -> list[int]:
        return [n for n, e in self._entries.items() if e.parent == self._current.number]

    def _go_to(self, number: int) -> State:
        if number == 0:
            return self._current
        self.take_theirs()
        state = self._read(number)
        self._lay_out(state)
        return state

    def found(self) -> tuple[tuple[int, str, str, Found], ...]:
        """Return every plan that was found: number of its state, digests of job and plan, figures.

        Of the same plan under the same name the last one counts.
        """
        last = {(e.found.label, e.job, e.plan): n for n, e in self._entries.items() if e.found}
        entries = [(n, self._entries[n]) for n in sorted(last.values())]
        return tuple((n, e.job, e.plan, e.found) for n, e in entries if e.found is not None)

    def plan_of(self, number: int) -> str:
        """Return the plan's text of a state; KeyError, if there is none of that number."""
        return self._unpack(self._entries[number].plan)

    def last_plan(self) -> str:
        """Return the plan as it stands, or as it stood when the job last had one; empty: never."""
        number = self._current.number
        while number in self._entries:
            if self._entries[number].plan != _EMPTY:
                return self.plan_of(number)
            number = self._entries[number].parent
        return ""

    def _take_down(
        self,
        what: str,
        job: str,
        plan: str,
        pins: tuple[str, ...] = (),
        found: Found | None = None,
    ) -> State:
        self._read_entries()  # another server may be at work in the same folder
        number = max(self._entries, default=0) + 1
        parent = self._current.number if number > 1 else 0
        entry = _Entry(
            parent=parent,
            job=self._pack(job),
            plan=self._pack(plan),
            what=what,
            pins=pins,
            found=found,
        )
        document = {
            "what": what,
            "parent": parent,
            "pins": pins,
            "job_sha256": entry.job,
            "plan_sha256": entry.plan,
        } | ({} if found is None else {"found": asdict(found)})
        put_whole(
            self.folder / f"{number:05}.json", json.dumps(document, ensure_ascii=False).encode()
        )
        self._entries[number] = entry
        state = State(number=number, job=job, plan=plan, what=what, parent=parent, pins=pins)
        self._lay_out(state)
        return state

    def _pack(self, text: str) -> str:
        digest = digest_of(text)
        place = self._texts / f"{digest}.gz"
        if not place.exists():
            put_whole(place, gzip.compress(text.encode(), compresslevel=6, mtime=0))
        return digest

    def _unpack(self, digest: str) -> str:
        return gzip.decompress((self._texts / f"{digest}.gz").read_bytes()).decode()

    def _lay_out(self, state: State) -> None:
        if not self.path.exists() or self.job_on_disk() != state.job:
            put_whole(self.path, state.job.encode())
        if state.plan:
            put_whole(self.plan_path, state.plan.encode())
        else:
            self.plan_path.unlink(missing_ok=True)
        put_whole(self.folder / "current", str(state.number).encode())
        self._current = state

    def _resume(self) -> State:
        """Come back where it was; a job file that has changed since is a state of its own."""
        here = self.path.read_bytes().decode("utf-8-sig", errors="replace")
        if not self._entries:
            self._current = State(number=0, job="", plan="", what="", parent=0)
            return self._take_down("as it was found", here, "")
        told = self.folder / "current"
        word = told.read_text() if told.is_file() else ""
        last = max(self._entries)
        number = int(word) if word.isdigit() and int(word) in self._entries else last
        self._current = self._read(number)
        if self._current.job == here:
            return self._current
        # The last state may have been taken down and the job file written, but not the pointer.
        same = [n for n, e in self._entries.items() if e.job == digest_of(here)]
        if same:
            self._lay_out(self._read(max(same)))
            return self._current
        return self._take_down("changed in an editor", here, "")

    def _read_entries(self) -> None:
        numbers = sorted(int(p.stem) for p in self.folder.glob("[0-9]*.json") if p.stem.isdigit())
        self._entries |= {n: self._read_entry(n) for n in numbers if n not in self._entries}

    def _read_entry(self, number: int) -> _Entry:
        data = json.loads((self.folder / f"{number:05}.json").read_text(encoding="utf-8"))
        if "job" in data:  # states taken down before texts were packed
            data |= {
                "job_sha256": self._pack(data["job"]),
                "plan_sha256": self._pack(data["plan"]),
            }
        return _Entry(
            parent=int(data["parent"]),
            job=str(data["job_sha256"]),
            plan=str(data["plan_sha256"]),
            what=str(data["what"]),
            pins=tuple(str(p) for p in data.get("pins", ())),
            found=Found(**data["found"]) if "found" in data else None,
        )

    def _read(self, number: int) -> State:
        entry = self._entries[number]
        return State(
            number=number,
            job=self._unpack(entry.job),
            plan=self._unpack(entry.plan),
            what=entry.what,
            parent=entry.parent,
            pins=entry.pins,
        )
