"""Plans of the open job: searched, changed by hand, ticked off, put on paper."""

from __future__ import annotations

import json
from enum import StrEnum
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


class PapersAre(StrEnum):
    """Of which plan the papers are that lie beside the job."""

    NONE = "none"
    NOW = "now"
    BEFORE_TICKS = "before ticks"
    """Of the plan as it stands, but for what was ticked off since."""
    OLDER = "older"


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
            "papers": self._papers(),
            "papers_are": self._papers_are().value,
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
            now, these = set(keeper.current.pins), set(message.pieces)
            pins = tuple(sorted(now | these if message.holds else now - these))
            named = "; ".join(self._named(p) for p in message.pieces)
            what = f"{'pinned' if message.holds else 'let go'} {named}"
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
            self._keep(job, moved, before, f"moved {self._named(message.piece)} by hand")
        return answer

    def exchange(self, message: messages.Exchange) -> dict[str, Any]:
        """Let two pieces change places; say whether the plan stands so."""
        work = self._work
        with work.lock:
            plan, before = work.plan_at_hand(), work.at_hand.current.plan
            job, pins = work.understood().job, work.at_hand.current.pins
        answer, moved = self._hands.exchange(job, plan, message, pins)
        one, other = self._named(message.piece), self._named(message.other)
        self._keep(job, moved, before, f"exchanged {one} and {other}")
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
        piece, work = message.piece, self._work
        if not message.is_spoilt:
            self._tick(door.Events(cut=frozenset({piece})), piece, "is cut")
            return
        with work.lock:
            keeper, seen = work.at_hand, work.seen
            work.plan_at_hand()
            wish = Wish(
                label=f"{self._named(piece)}, made again",
                effort="normal",
                joints="cheapest",
                seconds=None,
                plan=keeper.current.plan,
                pins=keeper.current.pins,
                spoilt=piece,
            )
            self._searched, self._came_late = seen, False
            self.search.begin(work.job_file, wish, lambda t, w: self._found(t, w, seen))

    def uncut(self, message: messages.Uncut) -> None:
        """Take a tick back: the piece is still to be cut."""
        self._tick(door.Events(uncut=frozenset({message.piece})), message.piece, "isn't cut yet")

    def _tick(self, events: door.Events, piece: str, words: str) -> None:
        work = self._work
        with work.lock:
            keeper, plan, job = work.at_hand, work.plan_at_hand(), work.understood().job
            try:
                after = door.add_events(plan, events)
            except ValueError as error:
                raise NotHere(str(error)) from None
            checks = door.verify_plan(job, after).checks
            text = door.plan_text(door.VerifiedPlan(job=job, plan=after, checks=checks))
            what = f"{self._named(piece)} {words}"
            keeper.change(what, seen=work.seen, plan=text, pins=keeper.current.pins)
        work.notify()

    def _named(self, piece: str) -> str:
        """What a piece of the plan as it stands is called on the page and on paper."""
        names = door.names_in_words(self._work.understood().job, self._work.plan_at_hand())
        if piece not in names:
            raise NotHere("there is no such piece")
        return names[piece]

    # -- put on paper ---------------------------------------------------------------------------

    @property
    def papers_folder(self) -> Path:
        """Folder of the written papers."""
        return self._work.folder / f"{self._work.at_hand.path.stem} papers"

    def _papers(self) -> list[str]:
        """Names of the papers that are there, of whatever plan."""
        folder = self.papers_folder
        if self._papers_are() is PapersAre.NONE:
            return []
        return sorted(p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file())

    def _papers_are(self) -> PapersAre:
        """Of which plan the papers are that are there."""
        text, now = door.plan_text_in(self.papers_folder), self._work.at_hand.current.plan
        if not text:
            return PapersAre.NONE
        if text == now:
            return PapersAre.NOW
        return PapersAre.BEFORE_TICKS if _is_same_but_for_ticks(text, now) else PapersAre.OLDER

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
            if self._papers_are() not in {PapersAre.NOW, PapersAre.BEFORE_TICKS}:
                raise NotHere("the papers of this plan aren't written yet")
            try:
                done = door.put_rest(self.papers_folder, work.book, door.Kept())
            except door.InputError as error:
                raise shown.refused(error.findings, door.speech_of(job)) from None
        work.notify()
        speech = door.speech_of(job)
        return {"added": [_stock_words(e.stock, speech) for e in done.added], "used": done.n_used}

    def paper(self, name: str) -> Path:
        """Return one of the written files."""
        root = self.papers_folder.resolve()
        path = (root / name).resolve()
        if not path.is_relative_to(root) or not path.is_file():
            raise NotHere("there is no such paper")
        return path


_OF_TICKS = {"already_cut", "seal", "checks"}
"""What of a plan's text changes by ticks alone."""


def _is_same_but_for_ticks(text: str, other: str) -> bool:
    if not other:
        return False
    one, two = json.loads(text), json.loads(other)
    return all(one.get(k) == two.get(k) for k in (one.keys() | two.keys()) - _OF_TICKS)


def _stock_words(stock: door.SheetStock | door.BoardStock, speech: door.Speech) -> str:
    if isinstance(stock, door.SheetStock):
        return f"{stock.material} {speech.size((stock.length_mm, stock.width_mm))}"
    width, length = stock.width_mm, stock.lengths[0].length_mm
    return f"{stock.material} {speech.size((length, width))}"
