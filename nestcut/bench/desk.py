"""One folder at work: the job that is open and what a request does to it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from nestcut import door
from nestcut.bench import files, messages, shown
from nestcut.bench.answers import NotHere
from nestcut.bench.demo import demo_job
from nestcut.bench.files import BOOK, ChangedMeanwhile, Work, digest_of, stamp_of
from nestcut.bench.plans import Plans

_DRAWINGS = set(door.DRAWING_ENDINGS)
_TABLES = _DRAWINGS | {".csv", ".toml"}
_OUR_PICTURE = "-picture.svg"
"""How pictures of ours are called that lie beside a first job file."""
_OF_DRAWINGS = {"drawing", "drawings"}
"""Tables that say how drawings are read: with them the numbers of outlines move."""


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
        self.work = Work(folder, notify)
        self.plans = Plans(self.work)

    # -- what the page is shown -----------------------------------------------------------------

    def state(self) -> dict[str, Any]:
        """Return everything that the page shows."""
        with self.work.lock:
            told: dict[str, Any] = {"files": self._files(), "search": self.plans.search_view()}
            keeper = self.work.keeper
            if keeper is None:
                return told
            here = keeper.job_on_disk()
            told["job"] = {
                "file": keeper.path.name,
                "digest": digest_of(keeper.current.job),
                "text": keeper.current.job,
                "changed_outside": here != keeper.current.job,
                "theirs": here if here != keeper.current.job else "",
                "what": keeper.current.what,
                "state": keeper.current.number,
                "can_undo": keeper.current.parent > 0,
                "can_redo": keeper.can_redo,
                "pins": list(keeper.current.pins),
            }
            told["view"] = shown.job_view(self.work.understood(), keeper.current.job)
            return told | self.plans.view()

    def stamp(self) -> tuple[int, int] | None:
        """Return what changes whenever anyone writes the open job file; None: there is none."""
        keeper = self.work.keeper
        return None if keeper is None else stamp_of(keeper.path)

    def _files(self) -> dict[str, list[str]]:
        names = sorted(p.name for p in self.work.folder.iterdir() if p.is_file())
        jobs = [n for n in names if n.endswith(".toml") and n != BOOK]
        ours = {Path(n).stem + _OUR_PICTURE for n in jobs}
        drawings = [n for n in names if Path(n).suffix.lower() in _DRAWINGS and n not in ours]
        books = [n for n in names if n == BOOK]
        taken = sorted(_TABLES)
        return {"jobs": jobs, "drawings": drawings, "books": books, "taken": taken}

    def drawings(self) -> list[dict[str, Any]]:
        """Return the drawings of the open job, with outlines to be clicked."""
        with self.work.lock:
            path, read = self.work.job_file, self.work.understood()
        return shown.drawings_view(path, door.speech_of(read.job))

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
        with self.work.lock:
            path, read = self.work.job_file, self.work.understood()
        return shown.pictures(door.job_pictures(read), path)

    def picture(self, name: str) -> str:
        """Return a picture of a drawing of the folder, as SVG."""
        try:
            return door.drawing_picture(self.work.inside(name, _DRAWINGS).name)
        except door.InputError as error:
            raise shown.refused(error.findings) from None

    # -- files ----------------------------------------------------------------------------------

    def open(self, message: messages.Open) -> None:
        """Open a job of the folder."""
        path = self.work.inside(message.file, {".toml"})
        if not path.is_file():
            raise NotHere(f"there is no '{message.file}'")
        with self.work.lock:
            self.plans.forget()
            self.work.open(path)
        self.work.notify()

    def begin(self, message: messages.Begin) -> None:
        """Write a first job file and open it."""
        path = self.work.to_begin(message.name)
        drawings = [self.work.inside(d, _DRAWINGS).name for d in message.drawings]
        try:
            door.start_job(path.name, drawings, units=message.units)
        except door.InputError as error:
            raise shown.refused(error.findings) from None
        self.open(messages.Open(file=path.name))

    def take_in(self, name: str, content: bytes) -> str:
        """Lay an uploaded file into the folder; one of the same name and other content stays."""
        path = self.work.to_take_in(Path(name.replace("\\", "/")).name, _TABLES)
        stem, number = path.stem, 1
        while path.exists() and path.read_bytes() != content:
            number += 1
            path = path.with_name(f"{stem} {number}{path.suffix}")
        if not path.exists():
            path.write_bytes(content)
        self.work.notify()
        return path.name

    def demo(self) -> None:
        """Lay the demo into the folder and open it."""
        text, name, drawing = demo_job()
        self.take_in(name, drawing)
        self.take_in("demo.toml", text.encode())
        self.open(messages.Open(file="demo.toml"))

    # -- changes of the job ---------------------------------------------------------------------

    def set_value(self, message: messages.SetValue) -> dict[str, Any]:
        """Set a value."""
        return self._edit(
            message, lambda t: files.with_value(t, message.path, message.value), message.path
        )

    def remove(self, message: messages.Remove) -> dict[str, Any]:
        """Take something out."""
        return self._edit(message, lambda t: files.without(t, message.path), message.path)

    def add(self, message: messages.AddTable) -> dict[str, Any]:
        """Put a table in; an outline that a part takes isn't said to be none any more."""
        file, outline = message.values.get("drawing"), message.values.get("outline")

        def change(text: str) -> str:
            if isinstance(file, str) and isinstance(outline, str):
                text = files.without_no_part(text, file, outline)
            return files.with_table(text, message.kind, message.values)

        return self._edit(message, change, [message.kind])

    def close_gaps(self, message: messages.CloseGaps) -> dict[str, Any]:
        """Have the gaps of a layer closed."""
        return self._edit(
            message,
            lambda t: files.with_gap(t, message.file, message.layer, message.setting),
            ["drawing"],
        )

    def no_part(self, message: messages.NoPart) -> dict[str, Any]:
        """Take an outline for none, or for a rail that is drawn flat."""

        def change(text: str) -> str:
            if message.rail:
                text = files.with_table(text, "rail", message.rail)
            if message.part is not None:
                text = files.without(text, ["part", message.part])
            return files.with_no_part(text, message.file, message.outline)

        return self._edit(message, change)

    def take_stock(self) -> dict[str, Any]:
        """Write what of the stock book the job can use into it, as stock to hand; say how much."""
        with self.work.lock:
            keeper = self.work.at_hand
            keeper.take_theirs()
            try:
                taken = door.take_stock(self.work.book, self.work.job_file)
            except door.InputError as error:
                job = self.work.understood().job
                raise shown.refused(error.findings, door.speech_of(job)) from None
            keeper.take_theirs()
        self.work.notify()
        return {"taken": len(taken.entries)}

    def set_text(self, message: messages.SetText) -> dict[str, Any]:
        """Put a whole text in, sound or not: the builder may be half way."""
        return self._edit(message, lambda _: message.text)

    def _edit(
        self,
        message: messages.SetValue | messages.Remove | messages.AddTable | messages.CloseGaps
        | messages.NoPart | messages.SetText,
        change: Callable[[str], str],
        path: Sequence[str | int] = (),
    ) -> dict[str, Any]:  # fmt: skip
        """Change the job's text; where drawings are read otherwise, parts stay what they are.

        What has a name there and is an outline only now is a part, as at the job's beginning.
        """
        with self.work.lock:
            keeper = self.work.at_hand
            before = keeper.job_on_disk()
            if digest_of(before) != message.seen:
                raise ChangedMeanwhile(before)
            after = change(before)
            if path and path[0] in _OF_DRAWINGS:
                moved = door.moved_outlines(self.work.job_file, before, after)
                for place, outline in moved.items():
                    after = files.pointed_at(
                        after, place, outline.pointer, outline.was, outline.now
                    )
                after = files.with_parts(after, door.newly_named(self.work.job_file, before, after))
            keeper.change(message.what, seen=message.seen, job=after)
            told = {"digest": self.work.seen}
        self.work.notify()
        return told

    def take_theirs(self) -> None:
        """Go on with what an editor made of the job file."""
        with self.work.lock:
            self.work.at_hand.take_theirs()
        self.work.notify()

    def keep_mine(self) -> None:
        """Put the page's job file back; what the editor made of it stays in the history."""
        with self.work.lock:
            keeper = self.work.at_hand
            mine = keeper.current
            keeper.take_theirs()
            keeper.change(
                "kept mine", seen=digest_of(keeper.job_on_disk()), job=mine.job, plan=mine.plan
            )
        self.work.notify()

    def undo(self) -> dict[str, str]:
        """Go back; say what was undone."""
        with self.work.lock:
            keeper = self.work.at_hand
            what = keeper.current.what
            keeper.undo()
        self.work.notify()
        return {"what": what}

    def redo(self) -> dict[str, str]:
        """Go on again; say with what."""
        with self.work.lock:
            what = self.work.at_hand.redo().what
        self.work.notify()
        return {"what": what}
