"""What one joint fewer costs, part by part: searched beside all else, told as it becomes known."""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import threading
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess

from nestcut import door

_NICE = 10
"""The search that a builder waits for goes first. [-]"""


class Price(StrEnum):
    """What is known of one joint fewer."""

    MORE = "more"
    SAME = "same"
    LESS = "less"
    NO_PLAN = "no plan"


@dataclass(slots=True)
class FewerJoints:
    """Prices of one joint fewer, for the plan as it stands.

    Parameters
    ----------
    notify
        Called after each price, from any thread.
    """

    notify: Callable[[], None]
    _of: str = ""
    _told: dict[str, dict[str, str]] | None = None
    _process: BaseProcess | None = None

    def view(self, plan_text: str) -> dict[str, dict[str, str]] | None:
        """Return part -> price and money; None, if nobody has asked for this plan."""
        return self._told if self._of == plan_text else None

    def ask(self, job_file: str, plan_text: str) -> None:
        """Begin to work the prices out, unless that is done or going on."""
        if self._of == plan_text and self._told is not None:
            return
        self.stop()
        context = multiprocessing.get_context("spawn")
        pipe, theirs = context.Pipe(duplex=False)
        self._process = context.Process(
            target=_work_out, args=(job_file, plan_text, theirs), daemon=True
        )
        told: dict[str, dict[str, str]] = {}
        self._of, self._told = plan_text, told
        self._process.start()
        theirs.close()
        threading.Thread(target=self._listen, args=(pipe, told), daemon=True).start()

    def stop(self) -> None:
        """End the search for prices; what is known stays known."""
        if self._process is not None and self._process.is_alive():
            self._process.terminate()
            self._process.join(5)
        self._process = None

    def _listen(self, pipe: Connection, told: dict[str, dict[str, str]]) -> None:
        with contextlib.suppress(EOFError, OSError):
            while True:
                part, price = pipe.recv()
                told[part] = price
                self.notify()


def joints_of(plan: door.Plan) -> dict[str, int]:
    """Return the most joints in one copy of each part."""
    copies = Counter((j.part, j.hand, j.copy) for j in plan.joints)
    most: dict[str, int] = {}
    for (part, _, _), count in copies.items():
        most[part] = max(most.get(part, 0), count)
    return most


def price_of(job: door.Job, plan: door.Plan, part: str, most: int) -> dict[str, str]:
    """Return what a plan costs more, or less, in which a part has so many joints at most.

    Parameters
    ----------
    part
        Name of the part.
    most
        How many joints each of its copies may have.
    """
    budget = door.Budget(effort=plan.effort, seed=plan.seed, joints=door.JointPreference.CHEAPEST)
    try:
        found = door.plan_job(door.with_most_joints(job, part, most), budget).plan
    except (door.InputError, door.PlanRejectedError, ValueError):
        return {"price": Price.NO_PLAN.value, "money": ""}
    if not found.is_complete:
        return {"price": Price.NO_PLAN.value, "money": ""}
    minor = round(100 * (door.money(found) - door.money(plan)))
    price = Price.MORE if minor > 0 else Price.LESS if minor < 0 else Price.SAME
    return {"price": price.value, "money": door.speech_of(job).money(abs(minor))}


def _work_out(job_file: str, plan_text: str, pipe: Connection) -> None:
    os.nice(_NICE)
    job = door.read_job(job_file)
    plan = door.parse_plan(plan_text, job)
    for part, count in joints_of(plan).items():
        pipe.send((part, price_of(job, plan, part, count - 1)))
    pipe.close()
