"""One folder at work: the job that is open, its plan, the search; what a request does to them."""

from __future__ import annotations

import re
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

from nestcut import door
from nestcut.bench import edits, messages, views
from nestcut.bench.answers import NotHere, Result
from nestcut.bench.demo import demo_job
from nestcut.bench.drawn import drawings_view
from nestcut.bench.fewer import FewerJoints
from nestcut.bench.hand import Hands
from nestcut.bench.keeper import Keeper, digest_of, stamp_of
from nestcut.bench.search import Search, Wish

_NAME = re.compile(r"[\w][\w .()+-]{0,99}")
_DRAWINGS = set(door.DRAWING_ENDINGS)
_TABLES = _DRAWINGS | {".csv", ".toml"}


class Desk:
    """What the server works on.

    Parameters
    ----------
    folder
        The only folder whose files are touched; the process works in it.
    notify
        Called after every change, from any thread.
    """

    def __init__(self, folder: Path, notify: Callable[[], None]) -> None:
        self.folder = folder
        self.search = Search(notify=notify)
        self._notify = notify
        self._lock = threading.RLock()
        self._keeper: Keeper | None = None
        self._read: tuple[str, door.Understanding] | None = None
        self._plan: tuple[str, door.Plan] | None = None
        self._results: list[Result] = []
        self._hands = Hands(notify)
        self.fewer = FewerJoints(notify)

    # -- what the page is shown -----------------------------------------------------------------

    def state(self) -> dict[str, Any]:
        """Return everything that the page shows."""
        with self._lock:
            told: dict[str, Any] = {"files": self._files(), "search": self._search_view()}
            if self._keeper is None:
                return told
            keeper = self._keeper
            here = keeper.job_on_disk()
            told["job"] = {
                "file": keeper.path.name,
                "digest": digest_of(keeper.current.job),
                "text": keeper.current.job,
                "changed_outside": here != keeper.current.job,
                "theirs": here if here != keeper.current.job else "",
                "what": keeper.current.what,
                "can_undo": keeper.current.parent > 0,
                "can_redo": keeper.can_redo,
                "pins": list(keeper.current.pins),
            }
            read = self._understood()
            told["view"] = views.job_view(read, keeper.current.job)
            plan = self._plan_now()
            told["plan"] = views.plan_view(read.job, plan) if plan is not None else None
            told["unread"] = plan is None and bool(keeper.current.plan)
            told["word"] = self._hands.word(read.job, plan) if plan is not None else None
            told["fewer"] = self.fewer.view(keeper.current.plan)
            told["results"] = [
                {"label": r.label, "stale": r.digest != digest_of(keeper.current.job), **r.figures}
                for r in self._results
            ]
            papers = self._papers_folder()
            told["papers"] = (
                sorted(p.relative_to(papers).as_posix() for p in papers.rglob("*") if p.is_file())
                if plan is not None and self._papers_are_of_this_plan()
                else []
            )
            return told

    def stamp(self) -> tuple[int, int] | None:
        """Return what changes whenever anyone writes the open job file; None: there is none."""
        keeper = self._keeper
        return None if keeper is None else stamp_of(keeper.path)

    def _files(self) -> dict[str, list[str]]:
        names = sorted(p.name for p in self.folder.iterdir() if p.is_file())
        return {
            "jobs": [n for n in names if n.endswith(".toml") and n != "shed.toml"],
            "drawings": [n for n in names if Path(n).suffix.lower() in _DRAWINGS],
        }

    def _search_view(self) -> dict[str, Any]:
        search = self.search
        return {
            "stage": search.stage.value,
            "label": search.wish.label if search.wish else "",
            "last": search.told or None,
            "glance": search.glance or None,
            "faults": search.faults,
        }

    def _understood(self) -> door.Understanding:
        keeper = self._at_work()
        text = keeper.current.job
        if self._read is None or self._read[0] != text:
            self._read = (text, door.check_job(keeper.path.name))
        return self._read[1]

    def _plan_now(self) -> door.Plan | None:
        text = self._at_work().current.plan
        if not text:
            return None
        if self._plan is None or self._plan[0] != text:
            try:
                self._plan = (text, door.parse_plan(text, self._understood().job))
            except door.InputError:
                return None
        return self._plan[1]

    def _at_work(self) -> Keeper:
        if self._keeper is None:
            raise NotHere("no job is open")
        return self._keeper

    def _inside(self, name: str, endings: set[str]) -> Path:
        """A file of the folder by its bare name; nothing else exists for the page."""
        if not _NAME.fullmatch(name) or Path(name).suffix.lower() not in endings:
            raise NotHere(f"'{name}' is no file of this folder")
        path = self.folder / name
        if path.resolve().parent != self.folder.resolve():
            raise NotHere(f"'{name}' is no file of this folder")
        return path

    # -- files ----------------------------------------------------------------------------------

    def open(self, message: messages.Open) -> None:
        """Open a job of the folder."""
        path = self._inside(message.file, {".toml"})
        if not path.is_file():
            raise NotHere(f"there is no '{message.file}'")
        with self._lock:
            self.search.stop_at_once()
            self._keeper, self._read, self._plan, self._results = Keeper(path), None, None, []
        self._notify()

    def begin(self, message: messages.Begin) -> None:
        """Write a first job file and open it."""
        path = self._inside(f"{message.name}.toml", {".toml"})
        drawings = [self._inside(d, _DRAWINGS).name for d in message.drawings]
        try:
            door.start_job(path.name, drawings, units=message.units)
        except door.InputError as error:
            raise views.refused(error.findings) from None
        self.open(messages.Open(file=path.name))

    def take_in(self, name: str, content: bytes) -> str:
        """Lay an uploaded file into the folder; one of the same name and other content stays."""
        path = self._inside(Path(name.replace("\\", "/")).name, _TABLES)
        stem, number = path.stem, 1
        while path.exists() and path.read_bytes() != content:
            number += 1
            path = path.with_name(f"{stem} {number}{path.suffix}")
        if not path.exists():
            path.write_bytes(content)
        self._notify()
        return path.name

    def demo(self) -> None:
        """Lay the demo into the folder and open it."""
        text, name, drawing = demo_job()
        self.take_in(name, drawing)
        self.take_in("demo.toml", text.encode())
        self.open(messages.Open(file="demo.toml"))

    def drawings(self) -> list[dict[str, Any]]:
        """Return the drawings of the open job, with outlines to be clicked."""
        with self._lock:
            path, read = Path(self._at_work().path.name), self._understood()
        return drawings_view(path, door.speech_of(read.job))

    def shown(self) -> list[dict[str, str]]:
        """Return names and titles of pictures of what was understood: lines, parts, combs."""
        return [{"name": name, "title": title} for name, (title, _) in self._fragments().items()]

    def shown_picture(self, name: str) -> str:
        """Return one of these pictures, as SVG."""
        made = self._fragments()
        if name not in made:
            raise NotHere("there is no such picture")
        return made[name][1]

    def _fragments(self) -> dict[str, tuple[str, str]]:
        with self._lock:
            path, read = Path(self._at_work().path.name), self._understood()
        return views.pictures(door.job_pictures(read), path)

    def picture(self, name: str) -> str:
        """Return a picture of a drawing of the folder, as SVG."""
        try:
            return door.drawing_picture(self._inside(name, _DRAWINGS).name)
        except door.InputError as error:
            raise views.refused(error.findings) from None

    # -- changes of the job ---------------------------------------------------------------------

    def set_value(self, message: messages.SetValue) -> None:
        """Set a value."""
        self._edit(message, lambda t: edits.with_value(t, message.path, message.value))

    def remove(self, message: messages.Remove) -> None:
        """Take something out."""
        self._edit(message, lambda t: edits.without(t, message.path))

    def add(self, message: messages.AddTable) -> None:
        """Put a table in."""
        self._edit(message, lambda t: edits.with_table(t, message.kind, message.values))

    def set_text(self, message: messages.SetText) -> None:
        """Put a whole text in, sound or not: the builder may be half way."""
        self._edit(message, lambda _: message.text)

    def _edit(
        self,
        message: messages.SetValue | messages.Remove | messages.AddTable | messages.SetText,
        change: Callable[[str], str],
    ) -> None:
        with self._lock:
            keeper = self._at_work()
            keeper.change(message.what, seen=message.seen, job=change(keeper.job_on_disk()))
        self._notify()

    def take_theirs(self) -> None:
        """Go on with what an editor made of the job file."""
        with self._lock:
            self._at_work().take_theirs()
        self._notify()

    def keep_mine(self) -> None:
        """Put the page's job file back; what the editor made of it stays in the history."""
        with self._lock:
            keeper = self._at_work()
            mine = keeper.current
            keeper.take_theirs()
            keeper.change(
                "kept mine", seen=digest_of(keeper.job_on_disk()), job=mine.job, plan=mine.plan
            )
        self._notify()

    def undo(self) -> None:
        """Go back."""
        self._go(Keeper.undo)

    def redo(self) -> None:
        """Go on again."""
        self._go(Keeper.redo)

    def _go(self, way: Callable[[Keeper], object]) -> None:
        with self._lock:
            way(self._at_work())
        self._notify()

    # -- plans ----------------------------------------------------------------------------------

    def plan(self, message: messages.Plan) -> None:
        """Begin a search."""
        with self._lock:
            keeper = self._at_work()
            keeper.take_theirs()
            self.fewer.stop()
            wish = Wish(
                label=message.label,
                effort=message.effort,
                joints=message.joints,
                seconds=message.seconds,
                without=tuple(message.without),
                plan=keeper.current.plan if message.keeps_pins else "",
                pins=keeper.current.pins if message.keeps_pins else (),
            )
            digest = digest_of(keeper.current.job)
            self.search.begin(Path(keeper.path.name), wish, lambda t, w: self._found(t, w, digest))

    def _found(self, text: str, wish: Wish, digest: str) -> None:
        with self._lock:
            keeper = self._at_work()
            if digest_of(keeper.current.job) != digest:
                return
            job = self._understood().job
            plan = door.parse_plan(text, job)
            told = views.figures(job, plan)
            self._results.append(Result(label=wish.label, text=text, digest=digest, figures=told))
            keeper.change(f"planned: {wish.label}", seen=digest, plan=text, pins=wish.pins)
            if plan.joints and wish.effort != "quick":
                self.fewer.ask(keeper.path.name, text)

    def price_joints(self) -> None:
        """Work out, beside all else, what one joint fewer costs in each part."""
        with self._lock:
            keeper = self._at_work()
            if self._plan_now() is None:
                raise NotHere("there is no plan yet")
            self.fewer.ask(keeper.path.name, keeper.current.plan)
        self._notify()

    def stop(self) -> None:
        """Stop searching and keep the best."""
        self.search.stop()

    def pin(self, message: messages.Pin) -> None:
        """Pin pieces, or let them go."""
        with self._lock:
            keeper = self._at_work()
            now, named = set(keeper.current.pins), set(message.pieces)
            pins = tuple(sorted(now | named if message.holds else now - named))
            seen = digest_of(keeper.current.job)
            what = f"{'pinned' if message.holds else 'let go'} {', '.join(message.pieces)}"
            keeper.change(what, seen=seen, plan=keeper.current.plan, pins=pins)
        self._notify()

    def cut(self, message: messages.Cut) -> None:
        """Note that a piece is cut; one that is spoilt is made again at once."""
        with self._lock:
            keeper, plan, job = self._at_work(), self._plan_now(), self._understood().job
            if plan is None:
                raise NotHere("there is no plan yet")
            seen = digest_of(keeper.current.job)
            if message.is_spoilt:
                wish = Wish(
                    label=f"{message.piece} made again",
                    effort="normal",
                    joints="cheapest",
                    seconds=None,
                    plan=keeper.current.plan,
                    pins=keeper.current.pins,
                    spoilt=message.piece,
                )
                path = Path(keeper.path.name)
                self.search.begin(path, wish, lambda t, w: self._found(t, w, seen))
                return
            try:
                after = door.add_events(plan, door.Events(cut=frozenset({message.piece})))
            except ValueError as error:
                raise NotHere(str(error)) from None
            checks = door.verify_plan(job, after).checks
            text = door.plan_text(door.VerifiedPlan(job=job, plan=after, checks=checks))
            keeper.change(f"{message.piece} is cut", seen=seen, plan=text, pins=keeper.current.pins)
        self._notify()

    def choose(self, message: messages.Choose) -> None:
        """Make one of the plans side by side the current one."""
        with self._lock:
            keeper = self._at_work()
            if message.number >= len(self._results):
                raise NotHere("there is no such plan")
            result = self._results[message.number]
            keeper.change(f"chosen: {result.label}", seen=result.digest, plan=result.text)
        self._notify()

    def push(self, message: messages.Push) -> dict[str, Any]:
        """Push a piece along its sheet, or set it down elsewhere; say how it lies there."""
        with self._lock:
            plan, before = self._plan_now(), self._at_work().current.plan
            if plan is None:
                raise NotHere("there is no plan yet")
            job = self._understood().job
        answer, moved = self._hands.push(job, plan, message)
        if not message.keeps or moved is None or not moved.stands:
            return answer
        with self._lock:
            keeper = self._at_work()
            if keeper.current.plan != before:
                raise NotHere("the plan has changed meanwhile")
            text = door.plan_text(door.VerifiedPlan(job=job, plan=moved.plan, checks=moved.checks))
            seen, pins = digest_of(keeper.current.job), keeper.current.pins
            keeper.change(f"moved {message.piece} by hand", seen=seen, plan=text, pins=pins)
        self._notify()
        return answer

    # -- papers ---------------------------------------------------------------------------------

    def _papers_folder(self) -> Path:
        return self.folder / f"{self._at_work().path.stem} papers"

    def _papers_are_of_this_plan(self) -> bool:
        return door.plan_text_in(self._papers_folder()) == self._at_work().current.plan

    def write_papers(self, message: messages.Papers) -> None:
        """Write the papers of the plan as it stands."""
        with self._lock:
            plan, job = self._plan_now(), self._understood().job
            if plan is None:
                raise NotHere("there is no plan yet")
            verification = door.verify_plan(job, plan)
            if not verification.is_proven:
                raise views.refused(verification.findings, door.speech_of(job))
            verified = door.VerifiedPlan(job=job, plan=plan, checks=verification.checks)
            try:
                door.write_papers(verified, self._papers_folder(), paper=message.paper or None)
            except door.InputError as error:
                raise views.refused(error.findings, door.speech_of(job)) from None
        self._notify()

    def paper(self, name: str) -> Path:
        """Return one of the written files."""
        root = self._papers_folder().resolve()
        path = (root / name).resolve()
        if not path.is_relative_to(root) or not path.is_file():
            raise NotHere("there is no such paper")
        return path
