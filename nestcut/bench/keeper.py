"""The job's files and their history: what is on the page is on the disk, and can be undone.

Beside ``boat.toml`` lie ``boat.plan.json``, the plan as it stands, and ``boat.history/``, one file
for each state that job and plan have had, with a file that says which one is current.  A state is
safe on the disk before the job file is replaced, so that a crash at any moment loses nothing.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from pathlib import Path

from nestcut.durable import put_whole

EMPTY_DIGEST = hashlib.sha256(b"").hexdigest()


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


class ChangedMeanwhile(Exception):  # noqa: N818 - it's a state of affairs, not a fault
    """The job file was changed outside; carries what it holds now."""

    def __init__(self, theirs: str) -> None:
        self.theirs = theirs
        super().__init__("the job file was changed outside")


def digest_of(text: str) -> str:
    """Return what tells one state of a job file from another."""
    return hashlib.sha256(text.encode()).hexdigest()


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
        self.folder.mkdir(exist_ok=True)
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
        return self._take_down(what, here if job is None else job, plan, pins)

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
        later = [s.number for s in self._all() if s.parent == self._current.number]
        return self._go_to(max(later)) if later else self._current

    @property
    def can_redo(self) -> bool:
        """Whether there is a state to go on to."""
        return any(s.parent == self._current.number for s in self._all())

    def _go_to(self, number: int) -> State:
        if number == 0:
            return self._current
        self.take_theirs()
        state = self._read(number)
        self._lay_out(state)
        return state

    def _take_down(self, what: str, job: str, plan: str, pins: tuple[str, ...] = ()) -> State:
        number = max((s.number for s in self._all()), default=0) + 1
        parent = self._current.number if number > 1 else 0
        state = State(number=number, job=job, plan=plan, what=what, parent=parent, pins=pins)
        document = {"what": what, "parent": parent, "job": job, "plan": plan, "pins": pins}
        put_whole(
            self.folder / f"{number:05}.json", json.dumps(document, ensure_ascii=False).encode()
        )
        self._lay_out(state)
        return state

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
        states = self._all()
        if not states:
            self._current = State(number=0, job="", plan="", what="", parent=0)
            return self._take_down("as it was found", here, "")
        told = self.folder / "current"
        word = told.read_text() if told.is_file() else ""
        number = int(word) if word.isdigit() else states[-1].number
        same = [s for s in states if s.job == here]
        by_number = {s.number: s for s in states}
        self._current = by_number.get(number, states[-1])
        if self._current.job == here:
            return self._current
        # The last state may have been taken down and the job file written, but not the pointer.
        if same:
            self._lay_out(same[-1])
            return self._current
        return self._take_down("changed in an editor", here, "")

    def _all(self) -> list[State]:
        numbers = sorted(int(p.stem) for p in self.folder.glob("[0-9]*.json") if p.stem.isdigit())
        return [self._read(n) for n in numbers]

    def _read(self, number: int) -> State:
        text = (self.folder / f"{number:05}.json").read_text(encoding="utf-8")
        data = json.loads(text)
        return State(
            number=number,
            job=str(data["job"]),
            plan=str(data["plan"]),
            what=str(data["what"]),
            parent=int(data["parent"]),
            pins=tuple(str(p) for p in data.get("pins", ())),
        )
