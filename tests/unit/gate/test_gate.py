"""Limits at the door: every refusal is a finding with its sentence, before any work is done."""

from __future__ import annotations

import os
import threading
from pathlib import Path

import pytest

from nestcut.again.order import parse_stages
from nestcut.bench.files import EditError, tables_as_written
from nestcut.errors import InputError
from nestcut.gate import (
    MAX_BYTES,
    FileKind,
    measure,
    plain,
    plain_line,
    read_file,
    read_text,
    scan,
    tables_of,
)
from nestcut.intake.drawn import drawings_on_table
from nestcut.intake.job import understand_job
from nestcut.intake.pictures import pictures_of
from nestcut.shed.book import parse_book
from nestcut.words import Speech, tell

JOB = """
[job]
name = "boat"
[saw]
kerf = "2 mm"
[[sheet]]
name = "ply"
material = "ply"
thickness = "6 mm"
length = "2440 mm"
width = "1220 mm"
count = "buy"
[[part]]
name = "plate"
thickness = "6 mm"
shape = { kind = "rectangle", length = "300 mm", width = "200 mm" }
"""


def refusal(path: Path, kind: FileKind = FileKind.JOB) -> tuple[str, str]:
    with pytest.raises(InputError) as caught:
        read_file(path, kind)
    (finding,) = caught.value.findings
    return finding.code, tell(finding, Speech()).message


def told(folder: Path, text: str) -> dict[str, str]:
    """Blocking findings of a job, code to sentence."""
    (folder / "job.toml").write_text(text, encoding="utf-8", newline="")
    found = understand_job(folder / "job.toml").findings
    return {f.code: f"{f.where}: {tell(f, Speech()).message}" for f in found}


@pytest.mark.parametrize("kind", list(FileKind))
def test_only_plain_files_come_in(kind: FileKind, tmp_path: Path) -> None:
    """A pipe that nobody writes to doesn't hang, a device without end is not read."""
    os.mkfifo(tmp_path / "pipe")
    pipe = "this is no plain file but a pipe or a device; a {} is wanted."

    assert refusal(tmp_path / "pipe", kind) == ("FIL-002", pipe.format(kind.value))
    assert refusal(Path("/dev/zero"), kind) == ("FIL-002", pipe.format(kind.value))
    assert refusal(tmp_path, kind) == ("FIL-004", f"that is a folder; a {kind.value} is wanted.")
    missing = f"the {kind.value} can't be read (No such file or directory)."
    assert refusal(tmp_path / "none", kind) == ("FIL-001", missing)
    assert refusal(tmp_path / ("n" * 5000), kind)[0] == "FIL-001"
    assert refusal(tmp_path / "a\0b", kind)[0] == "FIL-001"


def test_a_large_file_is_refused_never_cut(tmp_path: Path) -> None:
    """A part behind five megabytes of comment isn't missed in silence: the job is refused."""
    path = tmp_path / "job.toml"
    path.write_text(f"{JOB}# {'x' * 5_000_000}\n{JOB}", encoding="utf-8")

    assert refusal(path) == (
        "FIL-003",
        "this is larger than any job file needs to be: 5 MB are read at most, and a file is never "
        "read in part.",
    )
    path.write_bytes(b"x" * MAX_BYTES[FileKind.JOB])
    assert len(read_file(path, FileKind.JOB)) == MAX_BYTES[FileKind.JOB]


def test_a_byte_order_mark_is_passed_over(tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text(f"\ufeff{JOB}", encoding="utf-8")
    assert read_text(tmp_path / "job.toml", FileKind.JOB) == JOB


@pytest.mark.parametrize(
    ("kerf", "code", "sentence"),
    [
        ("nan", "LIM-002", "saw.kerf: 'nan' is no finite number."),
        ("-inf", "LIM-002", "saw.kerf: '-infinity' is no finite number."),
        ("1e400", "LIM-008", "saw.kerf: this number is far beyond any boat: 1e+400."),
        ("1e-308", "LIM-008", "saw.kerf: this number is far beyond any boat: 1e-308."),
        ("1e999999999", "LIM-008", "line 5: this number is far beyond any boat: 1e999999999."),
        ("9" * 400, "LIM-001",
         "line 5: a number of 400 digits stands here; 15 are read at most."),
        ("9" * 4400, "LIM-001",
         "line 5: a number of 4400 digits stands here; 15 are read at most."),
        ('"1e999999999 mm"', "LIM-008", "line 5: this number is far beyond any boat: 1e999999999."),
        ('"1111111111111111 mm"', "LIM-001", "saw.kerf: a number of 16 digits stands here; 15 are "
         "read at most."),
        ('"1001 m"', "LIM-008", "saw.kerf: this number is far beyond any boat: '1001 m'."),
        ("0x" + "f" * 90, "LIM-001", "saw.kerf: a number of 109 digits stands here; 15 are read at "
         "most."),
    ],
)  # fmt: skip
def test_numbers_without_end(kerf: str, code: str, sentence: str, tmp_path: Path) -> None:
    found = told(tmp_path, JOB.replace('"2 mm"', kerf))

    assert found[code] == sentence


@pytest.mark.parametrize(
    ("text", "code", "sentence"),
    [
        (JOB.replace("plate", "n" * 5000), "LIM-003",
         "part[1].name: this text has 5000 signs; 200 are read at most."),
        (f'{JOB}note = "{"word " * 2000}"', "LIM-003",
         "part[1].note: this text has 10000 signs; 2000 are read at most."),
        (JOB + "[[part]]\n" * 300_000, "LIM-004",
         "part: there are 300001 of these; 1000 are read at most."),
        (f"{JOB}[[board]]\nlengths = [{'1, ' * 20_000}]", "LIM-004",
         "board[1].lengths: there are 20000 of these; 200 are read at most."),
        (f"{JOB}{'.'.join('a' * 100_000)} = 1", "LIM-005",
         "line 17: tables lie in tables 20 deep here; 12 are read at most."),
        (f"{JOB}a = {'[' * 30}{']' * 30}", "LIM-005",
         "part[1].a[1][1][1][1][1][1][1][1][1]: tables lie in tables 12 deep here; 12 are read at "
         "most."),
        (f'{JOB}[drawings]\nflatness = "0.0001 mm"', "LIM-009",
         "drawings.flatness: this is finer than any saw: a curve would have more points than can "
         "be searched."),
        (JOB.replace('thickness = "6 mm"\nshape', 'count = 1001\nthickness = "6 mm"\nshape'),
         "LIM-010", "{job}: 1001 pieces are asked for in all; 1000 are planned at most."),
    ],
)  # fmt: skip
def test_texts_and_counts_without_end(text: str, code: str, sentence: str, tmp_path: Path) -> None:
    found = told(tmp_path, text)
    assert found[code] == sentence.format(job=(tmp_path / "job.toml").as_posix())


def test_control_signs_are_left_out_once_and_told(tmp_path: Path) -> None:
    """What clears a screen, begins a row of a table or turns a line round is no part of a name."""
    name = r"\u001b[2Jkn\ree\u0000\u202e \u009bport"
    (tmp_path / "job.toml").write_text(JOB.replace("plate", name), encoding="utf-8")
    understanding = understand_job(tmp_path / "job.toml")

    assert understanding.job.sheet_parts[0].name == "[2Jkn ee    port"
    (finding,) = [f for f in understanding.findings if f.code == "LIM-007"]
    assert finding.where == "part[1].name"
    assert tell(finding, Speech()).message == "control signs in this text were left out."


def test_other_signs_stay() -> None:
    """Letters of all alphabets, signs of the trade and lines of notes are left as they are."""
    for text in ("Spant 5½″", "Шпангоут", "肋骨", "e\u0301", "\U0001f6f6", "5 m² at 8°"):
        assert plain_line(text) == plain(text) == text
    assert plain("one\n\ttwo") == "one\n\ttwo"
    assert plain_line("one\ntwo") == "one two"


def test_a_document_of_usual_size_is_left_as_it_is() -> None:
    document = {"part": [{"name": "a", "points": [[1, 2]] * 3000, "note": "x" * 1999}]}
    measured = measure(document, "job.toml")

    assert measured.data == document
    assert measured.findings == ()
    assert scan(JOB, "job.toml") == ()


def test_reading_a_pipe_with_a_writer_is_refused_as_well(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    writer = threading.Thread(target=_write_to, args=(tmp_path / "pipe",), daemon=True)
    writer.start()
    assert refusal(tmp_path / "pipe")[0] == "FIL-002"


def _write_to(path: Path) -> None:
    try:
        number = os.open(path, os.O_RDWR | os.O_NONBLOCK)
        os.write(number, JOB.encode())
        os.close(number)
    except OSError:
        return


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("a" + ".a" * 100_000 + " = 1", "LIM-005"),
        ("x = 1e999999999", "LIM-008"),
        ("[[part]]\n" * 2_000, "LIM-004"),
    ],
)
def test_every_reader_of_tables_looks_before_it_parses(
    text: str, code: str, tmp_path: Path
) -> None:
    """A key of 100,000 steps takes 20 GB to parse: 'check --draw', orders and stock books too."""
    with pytest.raises(InputError) as caught:
        tables_of(text, "x.toml")
    assert [f.code for f in caught.value.findings] == [code]
    (tmp_path / "x.toml").write_text(text, encoding="utf-8")

    assert pictures_of(tmp_path / "x.toml") == ()
    assert drawings_on_table(tmp_path / "x.toml") == ()
    assert [f.code for f in parse_book(text, "x.toml").findings] == [code]
    with pytest.raises(InputError):
        parse_stages(text, "x.toml")
    with pytest.raises(EditError):
        tables_as_written(text)


def test_tables_nested_without_end_are_no_crash() -> None:
    with pytest.raises(ValueError, match="without end"):
        tables_of("x = " + "[" * 20_000, "x.toml")
