"""Plans of the open job: searched, changed by hand, ticked off, put on paper."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from nestcut import door
from nestcut.bench import messages, shown
from nestcut.bench.answers import NotHere
from nestcut.bench.files import Found, Work, digest_of
from nestcut.bench.plans.fewer import FewerJoints
from nestcut.bench.plans.hand import Hands
from nestcut.bench.plans.search import Search, Stage, Wish

_STALE_SHOWN = 3
"""So many plans of jobs that were before are shown beside those of the job as it stands. [-]"""


class Plans:
    """What is done with plans; each that is kept is proven and goes into the job's history."""

    def __init__(self, work: Work) -> None:
        self._work = work
        self.search = Search(notify=work.notify)
        self.fewer = FewerJoints(work.notify)
        self._hands = Hands(work.notify)
        self._searched = ""  # digest of the job that is, or was, searched for
        self._came_late = False
        self._cut_in: dict[str, frozenset[str]] = {}

    def forget(self) -> None:
        """Go to another job."""
        self.search.stop_at_once()
        self._came_late = False

    def view(self) -> dict[str, Any]:
        """Return what the page shows of the plan as it stands."""
        work, keeper = self._work, self._work.at_hand
        job, plan = work.understood().job, work.plan_now()
        return {
            "plan": None if plan is None else shown.plan_view(job, plan),
            "unread": plan is None and bool(keeper.current.plan),
            "word": None if plan is None else self._hands.word(job, plan),
            "fewer": self.fewer.view(keeper.current.plan),
            "results": self._results(),
            "begun": len(self._cut(keeper.last_plan())),
            "papers": [] if plan is None else self._papers(),
            "papers_folder": str(self.papers_folder.resolve()),
        }

    def _results(self) -> list[dict[str, Any]]:
        """Plans side by side; of jobs that were before this one only what was found last."""
        keeper = self._work.at_hand
        now, current = self._work.seen, digest_of(keeper.current.plan)
        told = [
            {"number": number, "label": found.label, "stale": job != now, "goes_on": found.goes_on}
            | {"current": plan == current, "drops": 0 if job != now else self._dropped(number)}
            | found.figures
            for number, job, plan, found in keeper.found()
        ]
        fresh = [t for t in told if not t["stale"]]
        return [*[t for t in told if t["stale"]][-_STALE_SHOWN:], *fresh]

    def _cut(self, text: str) -> frozenset[str]:
        """What a plan says is cut or spoilt."""
        if not text:
            return frozenset()
        digest = digest_of(text)
        if digest not in self._cut_in:
            self._cut_in[digest] = door.cut_in(text)
        return self._cut_in[digest]

    def _dropped(self, number: int) -> int:
        """Number of pieces ticked off, or spoilt, that an older plan knows nothing of."""
        keeper = self._work.at_hand
        cut = self._cut(keeper.last_plan())
        return len(cut - self._cut(keeper.plan_of(number))) if cut else 0

    def search_view(self) -> dict[str, Any]:
        """Return where the search stands."""
        search = self.search
        return {
            "stage": search.stage.value,
            "label": search.wish.label if search.wish else "",
            "last": search.told or None,
            "glance": search.glance or None,
            "faults": search.faults,
            "late": self._came_late
            or (search.stage is Stage.RUNNING and self._searched != self._work.seen),
        }

    # -- searched -------------------------------------------------------------------------------

    def plan(self, message: messages.Plan) -> None:
        """Begin a search."""
        work = self._work
        with work.lock:
            keeper = work.at_hand
            keeper.take_theirs()
            self.fewer.stop()
            begun = "" if message.anew else keeper.last_plan()
            has_cut = bool(self._cut(begun))
            is_same = has_cut and begun == keeper.current.plan
            wish = Wish(
                label=message.label,
                effort=message.effort,
                joints=message.joints,
                seconds=message.seconds,
                without=tuple(message.without),
                plan=begun if has_cut else keeper.current.plan if message.keeps_pins else "",
                pins=keeper.current.pins if message.keeps_pins or is_same else (),
                goes_on=has_cut and not is_same,
            )
            self._searched, self._came_late = (digest := work.seen), False
            self.search.begin(work.job_file, wish, lambda t, w: self._found(t, w, digest))

    def _found(self, text: str, wish: Wish, digest: str) -> None:
        work = self._work
        with work.lock:
            keeper = work.at_hand
            if digest_of(keeper.job_on_disk()) != digest or work.seen != digest:
                self._came_late = True  # the plan is of the job before: that is said, not kept
                return
            job = work.understood().job
            plan = door.parse_plan(text, job)
            found = Found(
                label=wish.label,
                figures=shown.figures(job, plan),
                goes_on=bool(self._cut(text)),
            )
            what = f"planned: {wish.label}"
            keeper.change(what, seen=digest, plan=text, pins=wish.pins, found=found)
            if plan.joints and wish.effort != "quick":
                self.fewer.ask(keeper.path.name, text)

    def price_joints(self) -> None:
        """Work out, beside all else, what one joint fewer costs in each part."""
        with self._work.lock:
            keeper = self._work.at_hand
            self._work.plan_at_hand()
            self.fewer.ask(keeper.path.name, keeper.current.plan)
        self._work.notify()

    def stop(self) -> None:
        """Stop searching and keep the best."""
        self.search.stop()

    def choose(self, message: messages.Choose) -> None:
        """Make one of the plans side by side the current one."""
        with self._work.lock:
            keeper = self._work.at_hand
            found = {n: (job, f) for n, job, _, f in keeper.found()}
            if message.number not in found:
                raise NotHere("there is no such plan")
            job, one = found[message.number]
            keeper.change(f"chosen: {one.label}", seen=job, plan=keeper.plan_of(message.number))
        self._work.notify()

    # -- changed by hand ------------------------------------------------------------------------

    def pin(self, message: messages.Pin) -> None:
        """Pin pieces, or let them go."""
        work = self._work
        with work.lock:
            keeper = work.at_hand
            now, named = set(keeper.current.pins), set(message.pieces)
            pins = tuple(sorted(now | named if message.holds else now - named))
            what = f"{'pinned' if message.holds else 'let go'} {', '.join(message.pieces)}"
            keeper.change(what, seen=work.seen, plan=keeper.current.plan, pins=pins)
        work.notify()

    def push(self, message: messages.Push) -> dict[str, Any]:
        """Push a piece along its sheet, or set it down elsewhere; say how it lies there."""
        work = self._work
        with work.lock:
            plan, before = work.plan_at_hand(), work.at_hand.current.plan
            job, pins = work.understood().job, work.at_hand.current.pins
        answer, moved = self._hands.push(job, plan, message, pins)
        if message.keeps:
            self._keep(job, moved, before, f"moved {message.piece} by hand")
        return answer

    def exchange(self, message: messages.Exchange) -> dict[str, Any]:
        """Let two pieces change places; say whether the plan stands so."""
        work = self._work
        with work.lock:
            plan, before = work.plan_at_hand(), work.at_hand.current.plan
            job, pins = work.understood().job, work.at_hand.current.pins
        answer, moved = self._hands.exchange(job, plan, message, pins)
        self._keep(job, moved, before, f"exchanged {message.piece} and {message.other}")
        return answer

    def _keep(self, job: door.Job, moved: door.Moved | None, before: str, what: str) -> None:
        """Keep a plan that was changed by hand, if the verifier lets it stand."""
        if moved is None or not moved.stands:
            return
        moved, work = self._hands.let_go(job, moved), self._work
        with work.lock:
            keeper = work.at_hand
            if keeper.current.plan != before:
                raise NotHere("the plan has changed meanwhile")
            text = door.plan_text(door.VerifiedPlan(job=job, plan=moved.plan, checks=moved.checks))
            keeper.change(what, seen=work.seen, plan=text, pins=keeper.current.pins)
        work.notify()

    # -- ticked off -----------------------------------------------------------------------------

    def cut(self, message: messages.Cut) -> None:
        """Note that a piece is cut; one that is spoilt is made again at once."""
        work = self._work
        with work.lock:
            keeper, plan, job = work.at_hand, work.plan_at_hand(), work.understood().job
            seen = work.seen
            if message.is_spoilt:
                wish = Wish(
                    label=f"{door.names_in_words(job, plan)[message.piece]}, made again",
                    effort="normal",
                    joints="cheapest",
                    seconds=None,
                    plan=keeper.current.plan,
                    pins=keeper.current.pins,
                    spoilt=message.piece,
                )
                self._searched, self._came_late = seen, False
                self.search.begin(work.job_file, wish, lambda t, w: self._found(t, w, seen))
                return
            try:
                after = door.add_events(plan, door.Events(cut=frozenset({message.piece})))
            except ValueError as error:
                raise NotHere(str(error)) from None
            checks = door.verify_plan(job, after).checks
            text = door.plan_text(door.VerifiedPlan(job=job, plan=after, checks=checks))
            keeper.change(f"{message.piece} is cut", seen=seen, plan=text, pins=keeper.current.pins)
        work.notify()

    # -- put on paper ---------------------------------------------------------------------------

    @property
    def papers_folder(self) -> Path:
        """Folder of the written papers."""
        return self._work.folder / f"{self._work.at_hand.path.stem} papers"

    def _papers(self) -> list[str]:
        """Names of the papers, if they are of the plan as it stands."""
        folder = self.papers_folder
        if door.plan_text_in(folder) != self._work.at_hand.current.plan:
            return []
        return sorted(p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file())

    def write_papers(self, message: messages.Papers) -> None:
        """Write the papers of the plan as it stands."""
        work = self._work
        with work.lock:
            plan, job = work.plan_at_hand(), work.understood().job
            verification = door.verify_plan(job, plan)
            if not verification.is_proven:
                raise shown.refused(verification.findings, door.speech_of(job))
            verified = door.VerifiedPlan(job=job, plan=plan, checks=verification.checks)
            try:
                door.write_papers(verified, self.papers_folder, paper=message.paper or None)
            except door.InputError as error:
                raise shown.refused(error.findings, door.speech_of(job)) from None
        work.notify()

    def put_away(self) -> dict[str, Any]:
        """Put what the cut plan leaves into the stock book beside the job; say how much."""
        work = self._work
        with work.lock:
            job = work.understood().job
            if not self._papers():
                raise NotHere("the papers of this plan aren't written yet")
            try:
                done = door.put_rest(self.papers_folder, work.book, door.Kept())
            except door.InputError as error:
                raise shown.refused(error.findings, door.speech_of(job)) from None
        work.notify()
        return {"added": len(done.added), "used": done.n_used}

    def paper(self, name: str) -> Path:
        """Return one of the written files."""
        root = self.papers_folder.resolve()
        path = (root / name).resolve()
        if not path.is_relative_to(root) or not path.is_file():
            raise NotHere("there is no such paper")
        return path
