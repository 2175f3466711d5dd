"""Pieces moved by hand: how they lie, what the plan is then, and the verifier's word on it."""

from __future__ import annotations

import threading
from collections.abc import Callable, Collection
from typing import Any

from nestcut import door
from nestcut.bench import messages
from nestcut.bench.answers import NotHere


class Hands:
    """The hand at work on the job as it stands; asked from several threads, one after another.

    Parameters
    ----------
    notify
        Called when the word on a plan is known that wasn't known before.
    """

    def __init__(self, notify: Callable[[], None]) -> None:
        self._notify = notify
        self._lock = threading.Lock()
        self._of: door.Job | None = None
        self._hand: door.Hand | None = None
        self._looked_at: door.Plan | None = None
        self._word: list[str] | None = None

    def word(self, job: door.Job, plan: door.Plan) -> list[str] | None:
        """Return the verifier's objections; None while it is still looking, beside all else."""
        if self._looked_at is not plan:
            self._looked_at, self._word = plan, None
            threading.Thread(target=self._look_over, args=(job, plan), daemon=True).start()
        return self._word

    def _look_over(self, job: door.Job, plan: door.Plan) -> None:
        with self._lock:
            told = self._at(job).look_over(plan)
        if self._looked_at is plan:
            speech = door.speech_of(job)
            self._word = [door.tell(f, speech).message for f in told]
            self._notify()

    def push(
        self, job: door.Job, plan: door.Plan, message: messages.Push, pins: Collection[str]
    ) -> tuple[dict[str, Any], door.Moved | None]:
        """Push a piece or set it down; say how it lies, and give the changed plan.

        NotHere if the plan has no such piece or sheet.

        Parameters
        ----------
        pins
            Ids of the pieces that stay where they are.
        """
        if message.piece in plan.already_cut:
            told = {"piece": message.piece, "shift_mm": message.shift_mm, "fits": False}
            return {**told, "objections": ["It is cut already."]}, None
        if message.piece in pins:
            told = {"piece": message.piece, "shift_mm": message.shift_mm, "fits": False}
            return {**told, "objections": ["It is pinned: let it go first."]}, None
        wanted = door.Placement(
            piece=message.piece,
            lie=door.Lie.FACE_DOWN if message.face_down else door.Lie.FACE_UP,
            turn_deg=message.turn_deg % 360.0,
            shift_mm=_point(message.shift_mm),
        )
        start = _point(message.from_mm) if message.from_mm else None
        with self._lock:
            try:
                tried = self._at(job).try_out(plan, wanted, message.sheet, start)
            except ValueError as error:
                raise NotHere(str(error)) from None
        lies = {"piece": message.piece, "shift_mm": list(tried.placement.shift_mm)}
        return lies | _judged(job, plan, tried.moved), tried.moved

    def exchange(
        self, job: door.Job, plan: door.Plan, message: messages.Exchange, pins: Collection[str]
    ) -> tuple[dict[str, Any], door.Moved | None]:
        """Let two pieces change places; say whether they fit, and give the changed plan.

        NotHere if the plan has no such pieces.

        Parameters
        ----------
        pins
            Ids of the pieces that stay where they are.
        """
        if {message.piece, message.other} & set(plan.already_cut):
            return {"fits": False, "objections": ["One of them is cut already."]}, None
        if {message.piece, message.other} & set(pins):
            return {"fits": False, "objections": ["One of them is pinned: let it go first."]}, None
        with self._lock:
            try:
                moved = self._at(job).exchange(plan, message.piece, message.other)
            except ValueError as error:
                raise NotHere(str(error)) from None
        return _judged(job, plan, moved), moved

    def let_go(self, job: door.Job, moved: door.Moved) -> door.Moved:
        """Return a changed plan as it may be kept, with what its sheets leave."""
        with self._lock:
            return self._at(job).let_go(moved)

    def _at(self, job: door.Job) -> door.Hand:
        if self._hand is None or self._of is not job:
            self._of, self._hand = job, door.Hand(job)
        return self._hand


def _judged(job: door.Job, plan: door.Plan, moved: door.Moved) -> dict[str, Any]:
    """The verifier's word; each objection with the piece that it is about."""
    speech, names = door.speech_of(job), door.names_in_words(job, plan)
    said = [
        f"{names.get(o.where, o.where)}: {door.tell(o, speech).message}" for o in moved.objections
    ]
    return {"fits": moved.stands, "objections": said[:3]}


def _point(at: list[float]) -> tuple[float, float]:
    if len(at) != 2:
        raise NotHere("a place has two figures")
    return (at[0], at[1])
