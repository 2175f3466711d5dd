"""Result folders: whole or not at all, and nothing of the builder's is ever touched."""

from __future__ import annotations

import json
import os
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from nestcut.errors import InputError
from nestcut.outlet import (
    Papers,
    add_to_folder,
    check_folder,
    folder_state,
    settle_folder,
    write_folder,
)
from nestcut.words import Speech, free_names, safe_name, tell
from tests.unit.outlet.things import lost, put_thirty_things, record_of

PAPERS = Papers(
    register="plan.json",
    form="nestcut plan",
    names=re.compile(
        r"cut-list\.csv|shop\.pdf|labels\.pdf|pattern-.*\.pdf|sheets/\d\d-.*\.(dxf|svg)"
        r"|boards/\d\d-.*\.svg"
    ),
    folders=("sheets", "boards"),
)


def matter(seed: int = 0) -> str:
    return f'{{"format": "nestcut plan", "seed": {seed}}}\n'


def filled(sheets: int, text: str = "new") -> Callable[[Path], None]:
    """Return what makes the papers of a plan of so many sheets."""

    def fill(made: Path) -> None:
        (made / "cut-list.csv").write_text(f"{sheets} sheets, {text}")
        (made / "shop.pdf").write_text(f"%PDF {sheets} {text}")
        (made / "sheets").mkdir()
        (made / "boards").mkdir()
        for k in range(1, sheets + 1):
            (made / "sheets" / f"{k:02d}-ply.dxf").write_text(f"{k} of {sheets}, {text}")

    return fill


def names_in(folder: Path) -> set[str]:
    return {p.relative_to(folder).as_posix() for p in folder.rglob("*") if not p.is_dir()}


def codes(error: pytest.ExceptionInfo[InputError]) -> list[str]:
    return [f.code for f in error.value.findings]


def told(error: pytest.ExceptionInfo[InputError]) -> str:
    return tell(error.value.findings[0], Speech()).message


def test_a_folder_appears_whole(tmp_path: Path) -> None:
    """All files are there afterwards, the register names them, nothing is left beside."""
    write_folder(tmp_path / "out", PAPERS, filled(1), matter())

    assert names_in(tmp_path) == {
        "out/plan.json",
        "out/cut-list.csv",
        "out/shop.pdf",
        "out/sheets/01-ply.dxf",
    }
    listed = json.loads((tmp_path / "out" / "plan.json").read_text())["files"]
    assert [f["name"] for f in listed] == ["cut-list.csv", "sheets/01-ply.dxf", "shop.pdf"]
    assert folder_state(tmp_path / "out", PAPERS) == ()


def test_a_fault_while_making_leaves_the_older_results(tmp_path: Path) -> None:
    """When a file can't be made, the folder is as it was; a new one doesn't appear."""
    write_folder(tmp_path / "out", PAPERS, filled(1), matter())
    before = record_of(tmp_path)

    def fail(made: Path) -> None:
        (made / "cut-list.csv").write_text("half")
        raise OSError(28, "No space left on device")

    for target in (tmp_path / "out", tmp_path / "new" / "deep"):
        with pytest.raises(InputError) as caught:
            write_folder(target, PAPERS, fail, matter(1))
        assert codes(caught) == ["OUT-001"]
        assert told(caught) == "this can't be written (No space left on device)."
    assert record_of(tmp_path) == before


def test_thirty_things_of_the_builders_are_as_they_were(tmp_path: Path) -> None:
    """After ten runs all is the same to the byte and the mode, the folder's own included."""
    out = tmp_path / "out"
    out.mkdir()
    put_thirty_things(out, tmp_path / "elsewhere")
    before, beyond = record_of(out), record_of(tmp_path / "elsewhere")
    assert len(before) > 30
    for run in range(10):
        check_folder(out, PAPERS, re.compile(r"cut-list\.csv|sheets/\d\d-ply\.dxf"))
        write_folder(out, PAPERS, filled(1 + run % 3), matter(run))
        add_to_folder(out, PAPERS, lambda made: _put(made / "labels.pdf"))

    assert lost(before, record_of(out)) == {}
    assert record_of(tmp_path / "elsewhere") == beyond
    assert {p.name for p in tmp_path.iterdir()} == {"out", "elsewhere"}
    ours = names_in(out) - set(before)
    assert not any(name.startswith(".nestcut") for name in ours)


def _put(path: Path) -> None:
    path.write_text("%PDF labels")


def test_stale_papers_go_only_as_they_were_written(tmp_path: Path) -> None:
    """Old sheets, labels and patterns go with their plan; what was changed stays, and is told."""
    out = tmp_path / "out"
    write_folder(out, PAPERS, filled(3), matter())
    for name in ("labels.pdf", "pattern-knee.pdf"):
        add_to_folder(out, PAPERS, lambda made, name=name: _put(made / name))  # type: ignore[misc]
    (out / "sheets" / "02-ply.dxf").write_text("with my own marks")
    (out / "pattern-mine.pdf").write_text("mine")
    outcome = write_folder(out, PAPERS, filled(1), matter(1))

    assert names_in(out) == {
        "plan.json",
        "cut-list.csv",
        "shop.pdf",
        "sheets/01-ply.dxf",
        "sheets/02-ply.dxf",
        "pattern-mine.pdf",
    }
    assert [f.code for f in outcome.findings] == ["OUT-009"]
    assert tell(outcome.findings[0], Speech()).message == (
        "these papers are from an older plan and were changed since, so they are left: "
        "sheets/02-ply.dxf."
    )


def test_labels_and_patterns_stay_with_their_plan(tmp_path: Path) -> None:
    """Papers written again of the same plan leave what was made from it."""
    out = tmp_path / "out"
    write_folder(out, PAPERS, filled(1), matter())
    add_to_folder(out, PAPERS, lambda made: _put(made / "labels.pdf"))
    assert folder_state(out, PAPERS) == ()
    write_folder(out, PAPERS, filled(1, "inch"), matter())

    assert (out / "labels.pdf").exists()
    assert (out / "cut-list.csv").read_text() == "1 sheets, inch"
    assert folder_state(out, PAPERS) == ()


@pytest.mark.parametrize(
    "thing", ["a file", "a folder", "a link", "a broken link", "a pipe", "a changed paper"]
)
def test_what_stands_in_the_way_is_found_before_the_search(tmp_path: Path, thing: str) -> None:
    """Whatever has one of our names and isn't as we wrote it is told, and left."""
    out = tmp_path / "out"
    write_folder(out, PAPERS, filled(1), matter())
    way = out / "cut-list.csv"
    way.unlink()
    match thing:
        case "a file" | "a changed paper":
            way.write_text("ticked off")
        case "a folder":
            way.mkdir()
        case "a link":
            (tmp_path / "list.csv").write_text("1 sheets, new")
            way.symlink_to(tmp_path / "list.csv")
        case "a broken link":
            way.symlink_to(tmp_path / "gone")
        case _:
            os.mkfifo(way)
    before = record_of(tmp_path)

    for attempt in (
        lambda: check_folder(out, PAPERS),
        lambda: write_folder(out, PAPERS, filled(1), matter(1)),
    ):
        with pytest.raises(InputError) as caught:
            attempt()
        assert codes(caught) == ["OUT-003"]
        assert told(caught) == (
            "these stand where papers would go, and are not as nestcut wrote them: cut-list.csv. "
            "They are left alone."
        )
    assert record_of(tmp_path) == before


def test_places_that_cannot_be_used_are_found_before_the_search(tmp_path: Path) -> None:
    """A file, a dangling link, the folder that is worked in, a place that can't be written."""
    (tmp_path / "file").write_text("mine")
    (tmp_path / "dangling").symlink_to(tmp_path / "stick" / "out")
    (tmp_path / "way").mkdir()
    (tmp_path / "way" / "sheets").write_text("mine")
    wanted = {
        tmp_path / "file": "OUT-011",
        tmp_path / "dangling": "OUT-012",
        Path(): "OUT-013",
        tmp_path / "way": "OUT-003",
        Path("/proc/nestcut"): "OUT-001",
        tmp_path / "file" / "deeper": "OUT-001",
        tmp_path / ("n" * 5000): "OUT-001",
    }
    before = record_of(tmp_path)
    for target, code in wanted.items():
        with pytest.raises(InputError) as caught:
            check_folder(target, PAPERS)
        assert codes(caught) == [code], target
    check_folder(tmp_path / "new" / "deep", PAPERS)
    assert record_of(tmp_path) == before


def test_a_linked_folder_stays_a_link(tmp_path: Path) -> None:
    """Results go where the link leads; a linked folder for sheets is followed too."""
    real, disk = tmp_path / "real", tmp_path / "disk"
    real.mkdir()
    disk.mkdir()
    (tmp_path / "out").symlink_to(real)
    (real / "sheets").symlink_to(disk)
    for seed in range(2):
        write_folder(tmp_path / "out", PAPERS, filled(2 - seed), matter(seed))

    assert (tmp_path / "out").is_symlink()
    assert (real / "sheets").is_symlink()
    assert names_in(disk) == {"01-ply.dxf"}


def test_papers_on_another_disk(tmp_path: Path) -> None:
    """Where a rename can't cross to another disk, a copy is made beside and renamed."""
    shared = Path("/dev/shm")  # noqa: S108 - another disk, on most systems
    if not shared.is_dir() or shared.stat().st_dev == tmp_path.stat().st_dev:
        pytest.skip("no second disk here")
    disk = shared / f"nestcut-{os.getpid()}"
    disk.mkdir()
    try:
        out = tmp_path / "out"
        out.mkdir()
        (out / "sheets").symlink_to(disk)
        for seed in range(2):
            write_folder(out, PAPERS, filled(2 - seed), matter(seed))
        assert names_in(disk) == {"01-ply.dxf"}
        assert folder_state(out, PAPERS) == ()
    finally:
        for path in disk.iterdir():
            path.unlink()
        disk.rmdir()


def test_a_plan_that_lies_alone_is_nobodys_to_replace(tmp_path: Path) -> None:
    """A friend's plan.json is left alone; its own papers may be written beside it."""
    write_folder(tmp_path / "theirs", PAPERS, filled(1), matter(7))
    (tmp_path / "out").mkdir()
    text = (tmp_path / "theirs" / "plan.json").read_text()
    (tmp_path / "out" / "plan.json").write_text(text)

    with pytest.raises(InputError) as caught:
        check_folder(tmp_path / "out", PAPERS)
    assert codes(caught) == ["OUT-003"]
    with pytest.raises(InputError):
        write_folder(tmp_path / "out", PAPERS, filled(1), matter(8))
    assert (tmp_path / "out" / "plan.json").read_text() == text
    write_folder(tmp_path / "out", PAPERS, filled(1), matter(7))
    assert folder_state(tmp_path / "out", PAPERS) == ()


def test_a_register_from_elsewhere_leads_nowhere(tmp_path: Path) -> None:
    """Names that lead out of the folder, or that no paper has, are never removed."""
    write_folder(tmp_path / "out", PAPERS, filled(1), matter())
    path = tmp_path / "out" / "plan.json"
    empty = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"
    document = json.loads(path.read_text())
    names = (
        "pattern-x/../../mine.pdf",
        "../mine.txt",
        "notes.txt",
        "/etc/hostname",
        ".git/index",
        "sheets/../../mine.txt",
    )
    document["files"] += [{"name": name, "sha256": empty} for name in names]
    path.write_text(json.dumps(document))
    (tmp_path / "mine.txt").touch()
    (tmp_path / "mine.pdf").touch()
    (tmp_path / "out" / "pattern-x").mkdir()
    (tmp_path / "out" / "notes.txt").touch()
    write_folder(tmp_path / "out", PAPERS, filled(1), matter(1))

    assert (tmp_path / "mine.txt").exists()
    assert (tmp_path / "mine.pdf").exists()
    assert (tmp_path / "out" / "notes.txt").exists()


def test_changed_and_missing_papers_are_told(tmp_path: Path) -> None:
    """A paper that is gone or was changed is named; a plan file on its own is no fault."""
    out = tmp_path / "out"
    write_folder(out, PAPERS, filled(2), matter())
    (out / "cut-list.csv").write_text("ticked off")
    (out / "sheets" / "02-ply.dxf").unlink()

    (finding,) = folder_state(out, PAPERS)
    assert finding.code == "OUT-008"
    assert not finding.is_blocking
    assert tell(finding, Speech()).message == (
        "these papers are gone or not as nestcut wrote them: cut-list.csv, sheets/02-ply.dxf."
    )
    (tmp_path / "alone").mkdir()
    (tmp_path / "alone" / "plan.json").write_text((out / "plan.json").read_text())
    assert folder_state(tmp_path / "alone", PAPERS) == ()


def test_what_a_killed_run_left_is_cleared(tmp_path: Path) -> None:
    """A private place without a register is cleared; a builder's folder of a like name stays."""
    out = tmp_path / "out"
    write_folder(out, PAPERS, filled(1), matter())
    left = out / ".nestcut-new-0123456789abcdef"
    left.mkdir()
    filled(2)(left)
    (left / "plan.json").write_text('{"format": "nestcut pl')
    (out / ".nestcut-new-mine").mkdir()
    (out / "sheets" / ".nestcut-new-0123456789abcdef").mkdir()
    (out / ".nestcut-lock").touch()

    assert settle_folder(out, PAPERS) == ()
    assert not left.exists()
    assert {p.name for p in out.iterdir()} == {
        "plan.json", "cut-list.csv", "shop.pdf", "sheets", "boards", ".nestcut-new-mine",
    }  # fmt: skip
    assert names_in(out / "sheets") == {"01-ply.dxf"}
    assert not (out / "sheets" / ".nestcut-new-0123456789abcdef").exists()


def test_a_disk_that_fails_half_way(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A move that can't be ended is told as half way, and ended by the next run."""
    from nestcut.outlet import folder as module

    out = tmp_path / "out"
    write_folder(out, PAPERS, filled(2), matter())
    moved: list[Path] = []

    def fail(source: Path, goal: Path) -> None:
        if len(moved) == 2:
            raise OSError(5, "Input/output error")
        moved.append(source.replace(goal))

    with monkeypatch.context() as patched:
        patched.setattr(module, "_rename", fail)
        with pytest.raises(InputError) as caught:
            write_folder(out, PAPERS, filled(1), matter(1))
    assert codes(caught) == ["OUT-001", "OUT-007"]
    assert [f.code for f in folder_state(out, PAPERS)] == ["OUT-007"]
    assert [f.code for f in settle_folder(out, PAPERS)] == ["OUT-010"]
    assert folder_state(out, PAPERS) == ()
    assert (out / "cut-list.csv").read_text() == "1 sheets, new"
    assert not (out / "sheets" / "02-ply.dxf").exists()


def test_names_are_safe_everywhere() -> None:
    """Separators, markup and dots lead nowhere else; two things never share a name."""
    assert safe_name("../../etc/passwd") == "etc-passwd"
    assert safe_name("<b>6 mm</b>") == "b-6-mm-b"
    assert safe_name("...") == "unnamed"
    assert free_names(["a b", "a/b", "A-B", "c"]) == ("a-b", "a-b-2", "A-B-3", "c")
