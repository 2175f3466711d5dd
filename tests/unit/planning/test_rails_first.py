"""Rails are searched first, and what they come to is kept at once; joints without time say so."""

from __future__ import annotations

import nestcut
from nestcut.model.progress import Phase, Progress
from nestcut.planning.plan_job import Desk, plan_job
from nestcut.search.settings import Deadline, Effort, Settings
from nestcut.words import speech_of, tell_fact

JOB = """
[job]
name = "rails first"
currency = "EUR"
[saw]
kerf = "3 mm"
[[sheet]]
name = "ply"
material = "ply"
thickness = "6 mm"
length = "2440 mm"
width = "1220 mm"
price = 50
[[board]]
name = "larch"
material = "larch"
thickness = "20 mm"
width = "45 mm"
lengths = [{ length = "2400 mm", price = 9 }, { length = "3000 mm", price = 11 }]
[[part]]
name = "panel"
thickness = "6 mm"
joint = { kind = "scarf", keep_clear = "none" }
shape = { kind = "rectangle", length = "3400 mm", width = "300 mm" }
[[rail]]
name = "gunwale"
material = "larch"
section = ["20 mm", "45 mm"]
length = "4900 mm"
joint = { kind = "scarf", slope = "12:1", keep_clear = "none" }
"""


class StopAt:
    """A watcher that stops the search once it comes to flat joints."""

    def __init__(self, deadline: Deadline) -> None:
        self.deadline = deadline

    def tell(self, progress: Progress) -> None:
        if progress.phase is Phase.JOINTS:
            self.deadline.interrupt()


def test_a_stop_at_the_flat_joints_keeps_the_boards_that_were_found() -> None:
    job = nestcut.read_job(JOB, drawings={})
    deadline = Deadline()
    desk = Desk(settings=Settings(effort=Effort.QUICK), deadline=deadline, watcher=StopAt(deadline))
    plan_job(job, desk)
    costs = [sum(b.price_minor * b.count for b in v.plan.buy) for v in desk.proven]
    assert costs[:2] == [5000 + 2200, 5000 + 2000]


def test_joints_that_nobody_had_time_to_weigh_say_so() -> None:
    job = nestcut.read_job(JOB, drawings={})
    plan = nestcut.plan_job(job, nestcut.Budget(effort=nestcut.Effort.QUICK, seconds=0.001)).plan
    told = [n for n in plan.notes if n.code == "JNT-313"]
    assert [tell_fact(n, speech_of(job)) for n in told] == [
        "panel: joint at 1700 mm; there was no time to try other places"
    ]
