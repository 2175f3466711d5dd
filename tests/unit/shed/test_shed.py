"""The stock book: filled, handed out, taken back; never lost, never half written."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import nestcut
from nestcut.cli.verbs.shed import run_back
from nestcut.errors import InputError
from nestcut.model.stock import (
    BoardLength,
    BoardStock,
    Defect,
    GoodFaces,
    KeepOut,
    SheetGrain,
    SheetStock,
)
from nestcut.shed import (
    Book,
    Change,
    NewEntry,
    go_back,
    handed_out,
    new_book_text,
    parse_book,
    read_book,
    relevant_entries,
    states_of,
    write_change,
)
from tests.builders_jobs import SHELF

JOB = "# my shelf, don't touch" + SHELF


def sheet(length: float = 700.04, width: float = 350.0, **more: object) -> SheetStock:
    plain = SheetStock(
        name="", material="ply", thickness_mm=6.0, length_mm=length, width_mm=width, count=1
    )
    return replace(plain, **more)  # type: ignore[arg-type]


def board(length: float = 900.0) -> BoardStock:
    lengths = (
        BoardLength(length_mm=length, count=1, defects=(Defect(from_mm=10, to_mm=40, reason="k"),)),
    )
    return BoardStock(name="", material="fir", thickness_mm=19.0, width_mm=89.0, lengths=lengths)


def put(path: Path, *stocks: SheetStock | BoardStock) -> Book:
    entries = tuple(NewEntry(stock=s, came_from="shelf, sheet 1") for s in stocks)
    return write_change(path, lambda _: Change(added=entries))


def test_what_is_put_in_is_read_back_and_never_larger(tmp_path: Path) -> None:
    odd = sheet(
        outline=((0.0, 0.0), (700.0, 0.0), (650.5, 350.0), (0.0, 350.0)),
        keep_outs=(KeepOut(points=((1.0, 1.0), (2.0, 1.0), (2.0, 2.5)), reason='a "knot"'),),
        grain=SheetGrain.ALONG_WIDTH,
        good_faces=GoodFaces.BOTH,
        edge_trim_mm=2.5,
        actual_thickness_mm=5.8,
    )
    put(tmp_path / "shed.toml", odd, board())

    first, second = read_book(tmp_path / "shed.toml").entries

    assert first.stock == replace(odd, name="shed 1", length_mm=700.0)
    assert second.stock == replace(board(), name="shed 2")
    assert (first.id, first.origin.came_from) == (1, "shelf, sheet 1")


def test_numbers_are_never_used_again(tmp_path: Path) -> None:
    path = tmp_path / "shed.toml"
    put(path, sheet(), sheet())
    write_change(path, lambda _: Change(removed=frozenset({2})))
    assert [e.id for e in put(path, sheet()).entries] == [1, 3]


def test_what_the_builder_wrote_by_hand_stays(tmp_path: Path) -> None:
    path = tmp_path / "shed.toml"
    put(path, sheet())
    mine = path.read_text() + '\n[[sheet]]\nid = 9\nmaterial = "oak"  # from uncle\n'
    mine += 'thickness = "1/2in"\nlength = "2ft"\nwidth = "1ft"\n'
    path.write_text(mine)

    book = put(path, sheet())

    assert [e.id for e in book.entries] == [1, 9, 10]
    assert "# from uncle" in path.read_text()
    go_back(path)
    assert path.read_text() == mine


def test_every_change_can_be_taken_back_and_brought_again(tmp_path: Path) -> None:
    path = tmp_path / "shed.toml"
    texts = [new_book_text()]
    for _ in range(4):
        put(path, sheet())
        texts.append(path.read_text())

    for text in reversed(texts[:-1]):
        go_back(path)
        assert path.read_text() == text
    go_back(path, to=4)
    assert path.read_text() == texts[4]
    with pytest.raises(InputError) as caught:
        go_back(path, to=99)
    assert caught.value.findings[0].code == "SHD-007"


@pytest.mark.parametrize(
    ("content", "code"),
    [
        (b"[book\n", "SHD-001"),
        (b"\xff\xfe\x00", "SHD-001"),
        (b"[[sheet]]\n", "SHD-002"),
        (b"twice", "SHD-003"),
        (b"sheet = [3]\n[book]\nformat = 'nestcut shed'\nversion = 1\n", "SHD-004"),
        (b"nameless", "SHD-005"),
        (b"#" * 5_000_001, "SHD-006"),
    ],
)
def test_a_damaged_book_says_so_and_is_left_alone(
    tmp_path: Path, content: bytes, code: str
) -> None:
    path = tmp_path / "shed.toml"
    good = put(path, sheet(), sheet()).text
    if content == b"twice":
        content = good.replace("id = 2", "id = 1").encode()
    if content == b"nameless":
        content = good.replace("id = 2\n", "").encode()
    path.write_bytes(content)

    for act in (read_book, put):
        with pytest.raises(InputError) as caught:
            act(path)
        assert caught.value.findings[0].code == code
        assert path.read_bytes() == content
    if code != "SHD-006":
        assert go_back(path).text == good
        kept = [p.read_bytes() for p in (tmp_path / "shed.toml.states").glob("*.toml")]
        assert content in kept


def test_a_folder_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(InputError) as caught:
        put(tmp_path / "file" / "shed.toml", sheet())
    assert caught.value.findings[0].code == "SHD-009"


def test_a_full_disk_leaves_the_old_book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "shed.toml"
    before = put(path, sheet()).text

    def full(handle: int) -> None:
        del handle
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(InputError) as caught:
        put(path, sheet())
    assert caught.value.findings[0].code == "SHD-009"
    assert path.read_text() == before
    assert [p for p in tmp_path.rglob("*") if p.name.startswith(".")] == []


def test_two_writers_lose_nothing(tmp_path: Path) -> None:
    path = tmp_path / "shed.toml"
    writers = [
        threading.Thread(target=lambda: [put(path, sheet()) for _ in range(10)]) for _ in range(2)
    ]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    assert [e.id for e in read_book(path).entries] == list(range(1, 21))


def test_a_run_that_waits_in_vain_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "shed.toml"
    monkeypatch.setattr("nestcut.shed.file.PATIENCE_S", 0.05)

    def hold(book: Book) -> Change:
        del book
        with pytest.raises(InputError) as caught:
            put(path, sheet())
        assert caught.value.findings[0].code == "SHD-008"
        return Change()

    write_change(path, hold)


_WRITER = """
import sys
from pathlib import Path
from typing import Any
from tests.unit.shed.test_shed import put, sheet
path = Path(sys.argv[1])
print("ready", flush=True)
while True:
    put(path, sheet())
"""


def _kill_while_writing(path: Path, times: int) -> None:
    luck = np.random.default_rng(1)
    count = 0
    for _ in range(times):
        writer = subprocess.Popen(
            [sys.executable, "-c", _WRITER, str(path)], stdout=subprocess.PIPE, text=True
        )
        assert writer.stdout is not None
        writer.stdout.readline()
        time.sleep(luck.uniform(0.0, 0.05))
        writer.send_signal(signal.SIGKILL)
        writer.wait()
        writer.stdout.close()
        ids = [e.id for e in read_book(path).entries]
        assert ids == list(range(1, len(ids) + 1))
        assert len(ids) >= count
        count = len(ids)


def test_killed_at_any_moment_the_book_is_whole(tmp_path: Path) -> None:
    _kill_while_writing(tmp_path / "shed.toml", 3)


@pytest.mark.deep
def test_killed_at_two_hundred_moments_the_book_is_whole(tmp_path: Path) -> None:
    _kill_while_writing(tmp_path / "shed.toml", 200)


def test_a_digest_with_an_exponent_in_it_is_no_number() -> None:
    digest = "ab94e45031c0" + "d" * 52
    text = new_book_text().replace("plans = []", f'plans = ["{digest}"]')
    assert parse_book(text, "book").plans == (digest,)
    assert parse_book(text.replace("next_id = 1", "next_id = 4e4503"), "book").findings != ()


def test_a_job_gets_what_it_can_use_at_its_end_and_all_else_stays(tmp_path: Path) -> None:
    path = tmp_path / "shed.toml"
    put(path, sheet(), sheet(material="oak"), board(), sheet(thickness_mm=9.0))
    job = nestcut.read_job(JOB, drawings={})
    fit = relevant_entries(read_book(path), job)
    assert [e.stock.name for e in fit] == ["shed 1"]

    text = handed_out(JOB, fit)
    again = handed_out(text, fit)

    assert text.startswith(JOB)
    assert again == text
    assert handed_out(text, ()) == JOB
    read = nestcut.read_job(text, drawings={})
    assert [(s.name, s.count, s.length_mm) for s in read.sheet_stocks] == [
        ("6 mm ply", None, 1000.0),
        ("shed 1", 1, 700.0),
    ]
    done = nestcut.plan_job(read, nestcut.Budget(effort=nestcut.Effort.QUICK))
    assert nestcut.money(done.plan) == 0.0


def test_what_is_set_aside_for_another_job_is_left_to_it(tmp_path: Path) -> None:
    path = tmp_path / "shed.toml"
    put(path, sheet(), sheet())
    job = nestcut.read_job(JOB, drawings={})
    book = write_change(path, lambda _: Change(promised={1: "other.toml"}))

    assert [e.id for e in relevant_entries(book, job)] == [2]
    book = write_change(path, lambda _: Change(promised={1: ""}))
    assert [e.id for e in relevant_entries(book, job)] == [1, 2]
    assert parse_book(book.text, "b").entries[0].origin.promised_to == ""


def test_states_are_listed(tmp_path: Path) -> None:
    assert states_of(tmp_path / "none.toml") == ()
    put(tmp_path / "shed.toml", sheet())
    assert states_of(tmp_path / "shed.toml") == (0, 1)


def test_a_job_that_keeps_what_the_book_takes_back_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "shed.toml"
    write_change(path, lambda _: Change(added=(NewEntry(stock=sheet(), came_from="x"),)))
    write_change(path, lambda _: Change(promised={1: "boat.toml"}))
    assert run_back(path, None) == 0
    told = capsys.readouterr().err
    assert "back at change 1, 1 entry\n" in told
    assert "boat.toml still has what was set aside for it as stock to hand" in told
    assert run_back(path, None) == 0
    assert "still has" not in capsys.readouterr().err
