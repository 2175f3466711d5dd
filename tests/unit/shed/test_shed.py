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
from typing import Any

import numpy as np
import pytest
from shapely.geometry import Polygon

import nestcut
from nestcut.cli.declared.shed import shed_add
from nestcut.cli.verbs.shed import run_back
from nestcut.errors import InputError
from nestcut.model.plan import BoardCut, BoardLayout, Offcut, Plan, SheetLayout, StopReason
from nestcut.model.stock import (
    BoardLength,
    BoardStock,
    Defect,
    GoodFaces,
    KeepOut,
    SheetGrain,
    SheetStock,
)
from nestcut.papers.view import plan_view
from nestcut.shed import (
    Book,
    Change,
    Kept,
    NewEntry,
    changed_text,
    gather_rest,
    go_back,
    handed_out,
    new_book_text,
    parse_book,
    read_book,
    relevant_entries,
    states_of,
    write_change,
)
from tests.builders_demos import demo_on_shelves
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


def _plan(*sheets: SheetLayout, boards: tuple[BoardLayout, ...] = ()) -> Plan:
    return Plan(
        seed=0,
        effort="quick",
        workers=1,
        seconds_limit=None,
        stopped_by=StopReason.PROVEN,
        pieces=(),
        rail_pieces=(),
        sheets=sheets,
        boards=boards,
        joints=(),
        unplaced=(),
        bounds=(),
        buy=(),
    )


def leftovers(*corners: tuple[float, float, float, float]) -> tuple[NewEntry, ...]:
    """What a sheet of 1000 x 500 mm leaves where rectangles are spent, and a board of 2 m."""
    job = nestcut.read_job(JOB, drawings={})
    stock = replace(job.sheet_stocks[0], seams_mm=(600.0,), seam_overlap_mm=48.0, edge_trim_mm=5.0)
    fir = replace(board(2000.0), name="fir")
    job = replace(job, sheet_stocks=(stock,), board_stocks=(fir,))
    layout = SheetLayout(
        stock=stock.name,
        number=1,
        length_mm=1000.0,
        width_mm=500.0,
        thickness_mm=6.0,
        outline=None,
        edge_trim_mm=5.0,
        keep_outs=(),
        placements=(),
        spent=tuple(
            KeepOut(points=((x0, y0), (x1, y0), (x1, y1), (x0, y1)), reason="gone")
            for x0, y0, x1, y1 in corners
        ),
    )
    cut = BoardCut(piece="x", from_mm=0.0, to_mm=1200.0, rip_from_mm=0.0, rip_to_mm=40.0)
    whole = BoardLayout(
        stock="fir", number=1, length_mm=2000.0, width_mm=89.0, thickness_mm=19.0, cuts=(cut,)
    )
    return gather_rest(job, _plan(layout, boards=(whole,)), Kept())


def test_a_plan_leaves_its_large_offcuts_and_clear_ends() -> None:
    rest = leftovers((0.0, 0.0, 497.0, 500.0), (0.0, 303.0, 1000.0, 500.0))
    first, *strips = (r.stock for r in rest)
    assert isinstance(first, SheetStock)
    assert first.outline is None
    assert first.edge_trim_mm == 0.0
    # 0.6 mm inside what kerf (3 mm) and trim leave: 500 to 995, 5 to 300
    assert (first.length_mm, first.width_mm) == pytest.approx((493.8, 293.8))
    (seam,) = first.keep_outs
    assert [round(x, 3) for x, _ in seam.points] == [75.4, 123.4, 123.4, 75.4]
    # What is left of the board is an L: its page has the end sawn off first, over the whole width.
    boards = [b for b in strips if isinstance(b, BoardStock)]
    assert [(b.lengths[0].length_mm, b.width_mm) for b in boards] == [(797.0, 89.0), (1200.0, 46.0)]
    assert [r.came_from for r in rest] == ["shelf, sheet 1", "shelf, board 1", "shelf, board 1"]
    kept = parse_book(changed_text(parse_book(new_book_text(), "b"), Change(added=rest), 1), "b")
    assert kept.findings == ()
    assert [e.stock.width_mm for e in kept.entries[1:]] == [89.0, 46.0]


def test_what_the_pages_mark_as_kept_goes_into_the_book() -> None:
    """An end has one least length, on its page, in the book and in the command."""
    done = nestcut.plan_job(
        nestcut.read_job(ONE_RAIL, drawings={}), nestcut.Budget(effort=nestcut.Effort.QUICK)
    )
    (view,) = plan_view(done).boards
    assert view.keep_mm is not None
    begins, ends = view.keep_mm
    assert ends - begins < 500.0
    (rest,) = [e.stock for e in gather_rest(done.job, done.plan, Kept())]
    assert isinstance(rest, BoardStock)
    assert (rest.lengths[0].length_mm, rest.width_mm) == pytest.approx((ends - begins, 45.0))
    usual: dict[str | None, Any] = {o.name: o.default for o in shed_add.params}
    assert float(nestcut.parse_length_mm(usual["least_board"])) == Kept().board_mm
    assert tuple(float(nestcut.parse_length_mm(x)) for x in usual["least"]) == Kept().sides_mm


@pytest.mark.parametrize("demo", ["punt", "beach-boat"])
def test_the_book_takes_of_boards_just_what_their_pages_keep(demo: str) -> None:
    """A strip in the book that its page hatched was thrown away before anyone looked for it."""
    done = demo_on_shelves(demo)
    view = plan_view(done)
    booked = sorted(
        (entry.came_from, entry.stock.lengths[0].length_mm, entry.stock.width_mm)
        for entry in gather_rest(done.job, done.plan, Kept())
        if isinstance(entry.stock, BoardStock)
    )
    marked = sorted(
        (f"{done.job.name}, {b.label.lower()}", w.along_mm[1] - w.along_mm[0],
         w.across_mm[1] - w.across_mm[0])
        for b in view.boards
        for w in b.keeps
    )  # fmt: skip
    assert booked == marked
    assert any(b.strips for b in view.boards)


def test_the_book_takes_of_boards_of_curves_just_what_their_pages_keep() -> None:
    """Its page is a sheet's; whatever else lies beside the curve is hatched there."""
    job = nestcut.read_job(JOB, drawings={})
    job = replace(job, board_stocks=(replace(board(2000.0), name="fir"),))
    sawn = ((0.0, 0.0), (1200.0, 0.0), (1200.0, 40.0), (0.0, 40.0))
    layout = SheetLayout(
        stock="fir",
        number=1,
        length_mm=2000.0,
        width_mm=89.0,
        thickness_mm=19.0,
        outline=None,
        edge_trim_mm=0.0,
        keep_outs=(),
        placements=(),
        spent=(KeepOut(points=sawn, reason="gone"),),
        board=4,
    )

    def rests(*offcuts: Offcut) -> list[tuple[float, float, tuple[Defect, ...]]]:
        made = gather_rest(job, _plan(replace(layout, offcuts=offcuts)), Kept())
        assert {e.came_from for e in made} <= {"shelf, board 4"}
        return [
            (s.lengths[0].length_mm, s.width_mm, s.lengths[0].defects)
            for s in (e.stock for e in made)
            if isinstance(s, BoardStock)
        ]

    end = Offcut(from_mm=(1203.0, 0.0), to_mm=(2000.0, 89.0))
    strip = Offcut(from_mm=(0.0, 43.0), to_mm=(1200.0, 89.0))
    short = Offcut(from_mm=(1203.0, 0.0), to_mm=(1400.0, 89.0))
    knot = (Defect(from_mm=10, to_mm=40, reason="k"),)
    assert rests() == []
    assert rests(end, strip) == [(797.0, 89.0, ()), (1200.0, 46.0, knot)]
    assert rests(short) == []


def test_a_strip_that_is_sawn_in_lengths_goes_into_the_book_in_lengths() -> None:
    """Beside two posts lie two short strips; a blank is parted as well, though it has no name."""
    job = nestcut.read_job(JOB, drawings={})
    job = replace(job, board_stocks=(replace(board(2000.0), name="fir"),))

    def rests(**taken: tuple[BoardCut, ...]) -> list[tuple[float, float]]:
        layout = BoardLayout(
            stock="fir",
            number=1,
            length_mm=2000.0,
            width_mm=89.0,
            thickness_mm=19.0,
            **{"cuts": (), **taken},
        )
        made = [e.stock for e in gather_rest(job, _plan(boards=(layout,)), Kept())]
        return [(s.lengths[0].length_mm, s.width_mm) for s in made if isinstance(s, BoardStock)]

    whole = BoardCut(piece="x", from_mm=0.0, to_mm=1200.0, rip_from_mm=0.0, rip_to_mm=40.0)
    posts = (
        replace(whole, to_mm=800.0),
        replace(whole, piece="y", from_mm=803.0, to_mm=1603.0),
    )
    assert rests(cuts=posts) == [(394.0, 89.0), (800.0, 46.0), (800.0, 46.0)]
    unnamed = replace(whole, piece="", rip_from_mm=43.0, rip_to_mm=89.0)
    blanks = (replace(unnamed, to_mm=400.0), replace(unnamed, from_mm=403.0, to_mm=800.0))
    assert rests(cuts=(whole,), blanks=blanks) == [(797.0, 89.0), (397.0, 46.0)]


ONE_RAIL = """
[job]
name = "one rail"
[saw]
kerf = "3 mm"
[[board]]
name = "fir"
material = "fir"
thickness = "19 mm"
width = "45 mm"
lengths = [{ length = "2.4 m", price = 8 }]
[[rail]]
name = "cleat"
material = "fir"
section = ["19 mm", "45 mm"]
length = "2 m"
"""


def test_an_offcut_with_a_corner_gone_has_its_true_outline() -> None:
    first, *_ = (r.stock for r in leftovers((0.0, 0.0, 400.0, 250.0)))
    assert isinstance(first, SheetStock)
    assert first.outline is not None
    whole = Polygon([(0, 0), (988.8, 0), (988.8, 488.8), (0, 488.8)])
    true = whole.difference(Polygon([(0, 0), (398, 0), (398, 248), (0, 248)]))
    assert Polygon(first.outline).symmetric_difference(true).area < 100.0
    entries = Change(added=leftovers((0.0, 0.0, 400.0, 250.0)))
    back = parse_book(changed_text(parse_book(new_book_text(), "b"), entries, 1), "b")
    assert back.findings == ()
    read = back.entries[0].stock
    assert isinstance(read, SheetStock)
    assert read.outline is not None
    assert Polygon(read.outline).area == pytest.approx(Polygon(first.outline).area)


def test_a_digest_with_an_exponent_in_it_is_no_number() -> None:
    digest = "ab94e45031c0" + "d" * 52
    text = new_book_text().replace("plans = []", f'plans = ["{digest}"]')
    assert parse_book(text, "book").plans == (digest,)
    assert parse_book(text.replace("next_id = 1", "next_id = 4e4503"), "book").findings != ()


def test_narrow_necks_and_what_hangs_on_them_are_forgotten() -> None:
    rest = leftovers((0.0, 0.0, 1000.0, 230.0), (400.0, 230.0, 460.0, 400.0))
    sheets = [r.stock for r in rest if isinstance(r.stock, SheetStock)]
    assert len(sheets) == 2
    assert all(min(s.length_mm, s.width_mm) >= 149.0 for s in sheets)


def test_a_place_cut_out_of_the_middle_is_barred() -> None:
    first, *_ = (r.stock for r in leftovers((400.0, 200.0, 480.0, 280.0)))
    assert isinstance(first, SheetStock)
    assert "cut" in {k.reason for k in first.keep_outs}


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
