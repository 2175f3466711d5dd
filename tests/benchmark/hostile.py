"""Hostile files through the command line: ``python -m tests.benchmark.hostile [--only WORD]``.

Each file meets the commands that read such files, each in a process of its own.  Told are
processor time, memory and the exit status; the bar is 10 s, 1 GiB, and never "our fault" (1 is
sound from ``verify``: a damaged plan doesn't stand).  A file with a time limit of its own runs to
the wall's clock as well: no command may hang.
"""

from __future__ import annotations

import argparse
import json
import os
import resource
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from functools import partial
from pathlib import Path

MOST_SECONDS, MOST_MIB = 10.0, 1024
_HANGS_S = 240
_ROOT = Path(__file__).resolve().parents[2]

_HEAD = """
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
"""
_PART = """
[[part]]
name = "{name}"
thickness = "6 mm"
shape = {{ kind = "rectangle", length = "{length}", width = "200 mm" }}
"""


@dataclass(frozen=True)
class Case:
    """A file, by what it is, and how it is made."""

    name: str
    suffix: str
    make: Callable[[], bytes]


def _job(more: str = "", part: str = _PART.format(name="plate", length="300 mm")) -> bytes:
    return (_HEAD + part + more).encode(errors="surrogatepass")


def _with(old: str, new: str) -> bytes:
    text = _job().decode()
    assert old in text
    return text.replace(old, new, 1).encode()


def _jobs() -> Iterator[Case]:
    digits = {
        "400": "1" + "0" * 400,
        "4400": "9" * 4400,
        "1e400": "1e400",
        "endless": "1e999999999",
    }
    for name, number in digits.items():
        yield Case(f"length {name}", ".toml", partial(_with, "300 mm", f"{number} mm"))
        yield Case(
            f"bare price {name}", ".toml", partial(_with, '"buy"', f'"buy"\nprice = {number}')
        )
        yield Case(f"kerf {name}", ".toml", partial(_with, "2 mm", f"{number} mm"))
    for word in ("nan", "inf", "-inf", "-0.0", "0x7fffffffffffffff", "1e308"):
        yield Case(f"price {word}", ".toml", partial(_with, '"buy"', f'"buy"\nprice = {word}'))
        yield Case(f"small angle {word}", ".toml", partial(_job, f"small_angle = {word}\n"))
        yield Case(f"count {word}", ".toml", partial(_job, f"count = {word}\n"))
    yield Case("sheet of 1e15", ".toml", lambda: _with("2440 mm", "1e15 mm"))
    yield Case("sheet of a thousand km", ".toml", lambda: _with("2440 mm", "1000000 mm"))
    for flat in ("1e-308 mm", "1e-10 mm", "0.0001 mm", "0 mm"):
        yield Case(f"flatness {flat}", ".toml", partial(_curved, flat))
    many = "".join(_PART.format(name=f"p{k}", length="30 mm") for k in range(1000))
    yield Case("1,000 parts", ".toml", lambda: _job(many, ""))
    yield Case("one part 1,000 times", ".toml", lambda: _job("count = 1000\n"))
    yield Case("one part 20,000 times", ".toml", lambda: _job("count = 20000\n"))
    yield Case("300,000 empty parts", ".toml", lambda: _job("[[part]]\n" * 300_000))
    yield Case("900 empty parts", ".toml", lambda: _job("[[part]]\n" * 900))
    yield Case(
        "dotted key of 100,000 steps", ".toml", lambda: _job("a" + ".a" * 100_000 + " = 1\n")
    )
    yield Case("20,000 lists in lists", ".toml", lambda: _job("x = " + "[" * 20_000 + "\n"))
    yield Case("200 lists in lists", ".toml", lambda: _job(f"x = {'[' * 200}{']' * 200}\n"))
    yield Case("text of 10,000 letters", ".toml", lambda: _with('"plate"', f'"{"x" * 10_000}"'))
    yield Case(
        "text of 4,000,000 letters", ".toml", lambda: _with('"plate"', f'"{"x" * 4_000_000}"')
    )
    yield Case("6 MB of comment", ".toml", lambda: _job(f"# {'x' * 6_000_000}\n"))
    yield Case("4.9 MB of short lines", ".toml", lambda: _job("#\n" * 2_450_000))
    yield Case(
        "200,000 unknown keys",
        ".toml",
        lambda: _job("".join(f"k{n} = 1\n" for n in range(200_000))),
    )
    yield Case("control signs", ".toml", lambda: _with('"plate"', '"pl\\u0000\\u001b[31mate\\r=1"'))
    yield Case("half a letter", ".toml", lambda: b"\xff\xfe" + _job())
    yield Case("half a sign", ".toml", lambda: _job() + b'note = "\xc3"\n')
    yield Case("20,000 board lengths", ".toml", lambda: _boards(20_000))
    yield Case("200 board lengths", ".toml", lambda: _boards(200))
    for count in (501, 2_000, 5_000):
        yield Case(f"polygon of {count} points that crosses itself", ".toml", partial(_star, count))
    yield Case(
        "part drawn in a name of 5,000 letters", ".toml", lambda: _drawn("d" * 5000 + ".dxf")
    )
    yield Case("part drawn in /dev/zero", ".toml", lambda: _drawn("/dev/zero"))
    yield Case("empty", ".toml", lambda: b"")
    yield Case("1 MB of noughts", ".toml", lambda: bytes(1_000_000))


def _curved(flatness: str) -> bytes:
    part = """
[[part]]
name = "round"
thickness = "6 mm"
shape = { kind = "disc", diameter = "300 mm" }
"""
    return _job("", part).replace(
        b'kerf = "2 mm"', f'kerf = "2 mm"\nflatness = "{flatness}"'.encode()
    )


def _boards(count: int) -> bytes:
    lengths = ", ".join(f'"{2000 + k} mm"' for k in range(count))
    return _job(
        f"""
[[board]]
name = "fir"
material = "fir"
section = ["20 mm", "40 mm"]
lengths = [{lengths}]
count = "buy"
[[rail]]
name = "gunwale"
section = ["20 mm", "40 mm"]
length = "4800 mm"
joint = {{ kind = "scarf", keep_clear = "none" }}
"""
    )


def _star(count: int) -> bytes:
    spots = [(k * 7919 % count, k * 104_729 % count) for k in range(count)]
    points = ", ".join(f'["{x} mm", "{y} mm"]' for x, y in spots)
    part = f"""
[[part]]
name = "star"
thickness = "6 mm"
[part.shape]
kind = "polygon"
points = [{points}]
"""
    return _job("", part)


def _drawn(file: str) -> bytes:
    return _job("", f'\n[[part]]\nname = "plate"\nthickness = "6 mm"\ndrawing = "{file}"\n')


def _r12(entities: str, blocks: str = "") -> bytes:
    section = f"0\nSECTION\n2\nBLOCKS\n{blocks}0\nENDSEC\n" if blocks else ""
    return f"{section}0\nSECTION\n2\nENTITIES\n{entities}0\nENDSEC\n0\nEOF\n".encode()


def _line(x0: object, y0: object, x1: object, y1: object) -> str:
    return f"0\nLINE\n8\n0\n10\n{x0}\n20\n{y0}\n11\n{x1}\n21\n{y1}\n"


def _insert(name: str, more: str = "") -> str:
    return f"0\nINSERT\n8\n0\n2\n{name}\n10\n0\n20\n0\n{more}"


def _block(name: str, inside: str) -> str:
    return f"0\nBLOCK\n8\n0\n2\n{name}\n70\n0\n10\n0\n20\n0\n{inside}0\nENDBLK\n8\n0\n"


def _polyline(points: Sequence[tuple[float, float]]) -> str:
    corners = "".join(f"0\nVERTEX\n8\n0\n10\n{x}\n20\n{y}\n" for x, y in points)
    return f"0\nPOLYLINE\n8\n0\n66\n1\n70\n1\n{corners}0\nSEQEND\n"


def _nested(depth: int, each: int) -> bytes:
    blocks = _block("B0", _line(0, 0, 10, 0))
    for level in range(1, depth):
        blocks += _block(f"B{level}", _insert(f"B{level - 1}") * each)
    return _r12(_insert(f"B{depth - 1}"), blocks)


def _drawings() -> Iterator[Case]:
    yield Case("ten inserts, ten deep", ".dxf", lambda: _nested(10, 10))
    yield Case("a block in itself", ".dxf", lambda: _r12(_insert("A"), _block("A", _insert("A"))))
    grid = "70\n400\n71\n400\n44\n20\n45\n20\n"
    square = _polyline([(0, 0), (10, 0), (10, 10), (0, 10)])
    yield Case("400 x 400 copies", ".dxf", lambda: _r12(_insert("S", grid), _block("S", square)))
    yield Case("400 x 400 of nothing", ".dxf", lambda: _r12(_insert("S", grid), _block("S", "")))
    yield Case(
        "240,000 loose lines",
        ".dxf",
        lambda: _r12("".join(_line(k, 0, k, 5) for k in range(240_000))),
    )
    yield Case(
        "11,000 loose lines",
        ".dxf",
        lambda: _r12("".join(_line(3 * k, 0, 3 * k, 5) for k in range(11_000))),
    )
    yield Case("100,000 equal lines", ".dxf", lambda: _r12(_line(0, 0, 100, 50) * 100_000))
    yield Case("11,000 equal lines", ".dxf", lambda: _r12(_line(0, 0, 100, 50) * 11_000))
    yield Case(
        "5,000 lines through one point",
        ".dxf",
        lambda: _r12("".join(_line(-k, -99, k, 99) for k in range(5_000))),
    )
    yield Case("mesh of 150 x 150 crossing lines", ".dxf", _mesh)
    for count in (501, 5_000):
        star = [(k * 7919 % count, k * 104_729 % count) for k in range(count)]
        yield Case(
            f"polyline of {count} points that crosses itself",
            ".dxf",
            partial(_r12, _polyline(star)),
        )
    yield Case("3,000 squares in squares", ".dxf", _matryoshka)
    yield Case(
        "6,000 equal circles",
        ".dxf",
        lambda: _r12("0\nCIRCLE\n8\n0\n10\n5\n20\n5\n40\n3\n" * 6_000),
    )
    for bad in ("nan", "inf", "1e300", "9" * 4400):
        yield Case(f"coordinate {bad[:5]}", ".dxf", partial(_r12, _line(0, 0, bad, 5) + square))
    yield Case(
        "text of 100,000 letters",
        ".dxf",
        lambda: _r12(f"0\nTEXT\n8\n0\n10\n0\n20\n0\n40\n5\n1\n{'x' * 100_000}\n" + square),
    )
    yield Case("5,000 texts over squares", ".dxf", _labels)
    yield Case("70 MB", ".dxf", lambda: _r12(_line(0, 0, 1, 1)) + b"999\nx\n" * 12_000_000)
    yield Case("half a file", ".dxf", lambda: _r12(square)[:150])
    yield Case("noughts", ".dxf", lambda: bytes(100_000))
    yield Case("spline of 90,000 points", ".dxf", _spline)
    svg = '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm">'
    yield Case("entities that multiply", ".svg", _laughs)
    yield Case(
        "groups 5,000 deep",
        ".svg",
        (svg + "<g>" * 5000 + "</g>" * 5000 + "</svg>").encode,
    )
    yield Case("use of itself", ".svg", f'{svg}<g id="a"><use href="#a"/></g></svg>'.encode)
    path = "M0 0 " + " ".join(f"L{k * 7919 % 5000} {k * 104_729 % 5000}" for k in range(5_000))
    yield Case(
        "path of 5,000 points that crosses itself",
        ".svg",
        f'{svg}<path d="{path}Z"/></svg>'.encode,
    )
    yield Case("path of 3 MB", ".svg", f'{svg}<path d="M0 0{" l1 1" * 600_000}"/></svg>'.encode)


def _mesh() -> bytes:
    lines = [_line(0, 7 * k, 1050, 7 * k + 1) for k in range(150)]
    return _r12("".join(lines + [_line(7 * k, -5, 7 * k + 1, 1055) for k in range(150)]))


def _matryoshka() -> bytes:
    return _r12("".join(_polyline([(-k, -k), (k, -k), (k, k), (-k, k)]) for k in range(1, 3_001)))


def _labels() -> bytes:
    text = ""
    for k in range(2_500):
        x, y = 30 * (k % 50), 30 * (k // 50)
        text += _polyline([(x, y), (x + 20, y), (x + 20, y + 20), (x, y + 20)])
        text += f"0\nTEXT\n8\n0\n10\n{x + 5}\n20\n{y + 5}\n40\n3\n1\nmake 2 of {k}\n"
    return _r12(text)


def _spline() -> bytes:
    points = "".join(f"10\n{k % 977}\n20\n{k % 499}\n30\n0\n" for k in range(90_000))
    knots = "".join(f"40\n{k}\n" for k in range(90_004))
    head = "0\nSPLINE\n5\nFF\n100\nAcDbEntity\n8\n0\n100\nAcDbSpline\n70\n0\n71\n3\n"
    head += "72\n90004\n73\n90000\n74\n0\n"
    return b"0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1015\n0\nENDSEC\n" + _r12(
        head + knots + points
    )


def _laughs() -> bytes:
    entities = '<!ENTITY a "xxxxxxxxxx">' + "".join(
        f'<!ENTITY {name} "{("&" + chr(ord(name) - 1) + ";") * 10}">' for name in "bcdefghij"
    )
    return f"<!DOCTYPE svg [{entities}]><svg><text>&j;</text></svg>".encode()


def _plans(sound: str) -> Iterator[Case]:
    yield Case("noughts", ".json", lambda: bytes(100_000))
    yield Case("empty object", ".json", lambda: b"{}")
    yield Case("100,000 lists in lists", ".json", lambda: b"[" * 100_000)
    yield Case("60 MB of blanks", ".json", lambda: b" " * 60_000_000)
    plan = json.loads(sound)
    for word in ("NaN", "1e999", "9" * 4400):
        text = sound.replace('"kerf_mm": 2.0', f'"kerf_mm": {word}')
        yield Case(f"number {word[:5]} in a plan", ".json", text.encode)
    for key in plan:
        if isinstance(plan[key], list) and plan[key]:
            text = json.dumps({**plan, key: plan[key] * (40_000 // len(plan[key]))})
            yield Case(f"40,000 {key}", ".json", text.encode)


COMMANDS: dict[str, tuple[tuple[str, ...], ...]] = {
    ".toml": (
        ("check", "{}", "--draw", "drawn"),
        ("plan", "{}", "--seconds", "2", "--out", "out"),
        ("shape", "{}", "--out", "shapes"),
        ("shed", "show", "{}"),
        ("stages", "own/plan.json", "{}", "--out", "staged"),
    ),
    ".dxf": (("start", "{}", "--out", "begun.toml"),),
    ".svg": (("start", "{}", "--out", "begun.toml"),),
    ".json": (
        ("verify", "{}"),
        ("report", "{}", "--out", "papers"),
        ("again", "own/plan.json", "{}"),
    ),
}


@dataclass(frozen=True, slots=True)
class Met:
    """What a command did with a file."""

    case: str
    command: str
    status: int
    seconds: float
    mib: float

    @property
    def is_sound(self) -> bool:
        """Whether the bar is met."""
        allowed = {0, 2, 3, 4, 5} | ({1} if self.command == "verify" else set())
        return self.status in allowed and self.seconds <= MOST_SECONDS and self.mib <= MOST_MIB


def run(words: tuple[str, ...], folder: Path) -> tuple[int, float, float]:
    """Run a command in a folder; exit status, processor time [s], memory [MiB]."""
    environment = {**os.environ, "PYTHONPATH": str(_ROOT)}
    process = subprocess.Popen(
        [sys.executable, "-m", "nestcut", *words],
        cwd=folder,
        env=environment,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    resource.prlimit(process.pid, resource.RLIMIT_CPU, (_HANGS_S, _HANGS_S))
    _, status, usage = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    return process.returncode, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024


def meet(case: Case, command: tuple[str, ...], folder: Path) -> Met:
    """Give a file to a command."""
    file = folder / f"x{case.suffix}"
    file.write_bytes(case.make())
    status, seconds, mib = run(tuple(w.format(file.name) for w in command), folder)
    return Met(case.name, command[0], status, seconds, mib)


def _sound_plan(folder: Path) -> str:
    (folder / "job.toml").write_bytes(_job())
    run(("plan", "job.toml", "--effort", "quick", "--out", "own"), folder)
    return (folder / "own" / "plan.json").read_text(encoding="utf-8")


def main() -> int:
    """Meet every file with every command that reads such files."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--only", default="", help="only files with this in their name")
    only = parser.parse_args().only
    met: list[Met] = []
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        sound = _sound_plan(folder)
        for case in (*_jobs(), *_drawings(), *_plans(sound)):
            if only not in f"{case.name}{case.suffix}":
                continue
            for command in COMMANDS[case.suffix]:
                with suppress(FileNotFoundError):
                    (folder / "begun.toml").unlink()
                met.append(meet(case, command, folder))
                last = met[-1]
                flag = "" if last.is_sound else "   <-- MISSED"
                told = f"{last.status:4d} {last.seconds:7.1f} s {last.mib:6.0f} MiB"
                print(f"{told}  {last.command:7s} {last.case}{case.suffix}{flag}", flush=True)
    missed = [m for m in met if not m.is_sound]
    worst_s, worst_mib = max(m.seconds for m in met), max(m.mib for m in met)
    print(f"{len(met)} runs, {len(missed)} missed; at most {worst_s:.1f} s and {worst_mib:.0f} MiB")
    return 1 if missed else 0


if __name__ == "__main__":
    raise SystemExit(main())
