"""Thousands of damaged drawings: none may crash the reader, hang it, or eat the memory.

    python -m tests.benchmark.mutations [--count 20000] [--seed 0] [--first 0] [--folder DIR]

Every mutant is made from one or two sound drawings by a seeded stream: bytes flipped, pieces cut
out, doubled, moved or mixed, group codes and numbers replaced by hostile ones.  A worker process
reads them one after the other under a limit of 10 s of processor time and 1 GiB each; what kills it
is counted and the next worker goes on behind it.  The last line is a JSON summary; the exit status
is 1 if anything but a Drawing or a DrawingError came out.
"""

from __future__ import annotations

import argparse
import json
import re
import resource
import signal
import subprocess
import sys
import tempfile
import time
import traceback
from collections import Counter
from pathlib import Path

import numpy as np

from nestcut.drawings.read import OWN_FAULT, read_drawing
from nestcut.errors import DrawingError
from nestcut.search.streams import stream

SECONDS = 10
"""Limit for one mutant, in processor time so that a busy machine proves nothing. [s]"""
MEMORY_BYTES = 1 << 30
MAX_BASE_BYTES = 90_000
_HOSTILE = (b"nan", b"inf", b"-inf", b"1e300", b"-1e308", b"1e999", b"0", b"-1", b"2147483647",
            b"99999999999999999999", b"1e-320", b"", b"abc", b"0.0", b"-0", b"65535", b"3.5",
            b"\xff\xfe", b"<b>", b"=1+1", b"../../x", b"\x00")  # fmt: skip
_CODES = (b"0", b"2", b"5", b"8", b"10", b"20", b"40", b"41", b"42", b"70", b"71", b"72", b"90",
          b"100", b"210", b"230", b"330", b"999", b"1010", b"-1", b"60", b"62", b"6")  # fmt: skip


def base_drawings(folder: Path) -> list[bytes]:
    """Return sound drawings to damage: small ones of a folder, and our own."""
    files = sorted(p for p in folder.rglob("*") if p.suffix.lower() == ".dxf")
    found = [p.read_bytes() for p in files if p.stat().st_size <= MAX_BASE_BYTES]
    return [*found, own_drawing()]


def own_drawing() -> bytes:
    """Return a drawing with one of everything, so that mutants exist without other files."""
    import io

    from ezdxf.filemanagement import new

    document = new("R2000", units=4)
    block = document.blocks.new("part")
    block.add_lwpolyline(
        [(0, 0, 0), (90, 0, 0.4), (90, 60, 0), (0, 60, 0)], format="xyb", close=True
    )
    block.add_circle((30, 30), 8)
    nest = document.blocks.new("nest")
    nest.add_blockref("part", (0, 0), dxfattribs={"rotation": 30, "xscale": -1, "yscale": 2})
    space = document.modelspace()
    space.add_blockref("nest", (300, 0))
    array = {"row_count": 2, "column_count": 3, "row_spacing": 100, "column_spacing": 120}
    space.add_blockref("part", (0, 200), dxfattribs=array)
    for a, b in (((0, 0), (100, 0)), ((100, 0), (100, 50)), ((100, 50), (0, 0))):
        space.add_line(a, b)
    space.add_arc((200, 100), 40, 0, 180)
    space.add_line((160, 100), (240, 100))
    space.add_ellipse((50, 120), (40, 10), 0.4)
    space.add_spline([(0, 500), (100, 560), (200, 480), (300, 520)])
    space.add_open_spline([(0, 600), (100, 660), (200, 580), (300, 620), (340, 700)])
    space.add_polyline2d([(400, 400), (500, 400), (450, 480)], close=True)
    space.add_text("side panel x2 6mm", height=10).set_placement((20, 20))
    space.add_mtext("frame {\\H2;2}", dxfattribs={"insert": (60, 100)})
    hatch = space.add_hatch()
    hatch.paths.add_polyline_path([(600, 0), (700, 0), (650, 80)], is_closed=True)
    hatch.paths.add_edge_path().add_arc((650, 30), 10, 0, 360)
    space.add_point((5, 5))
    out = io.StringIO()
    document.write(out)
    return document.encode(out.getvalue())


def mutant(bases: list[bytes], seed: int, number: int) -> bytes:
    """Return one damaged drawing; the same seed and number give the same one."""
    rng = stream(seed, "mutant", number)
    data = bases[int(rng.integers(len(bases)))]
    for _ in range(int(rng.integers(1, 5))):
        ways = (_flip, _cut, _double, _truncate, _swap_values, _hostile_value, _hostile_value,
                _hostile_code, _mix, _insert)  # fmt: skip
        way = ways[int(rng.integers(len(ways)))]
        other = bases[int(rng.integers(len(bases)))]
        data = way(data, other, rng)
    return data


def _span(data: bytes, rng: np.random.Generator) -> tuple[int, int]:
    a = int(rng.integers(max(1, len(data))))
    return a, min(len(data), a + int(rng.integers(1, 2000)))


def _flip(data: bytes, other: bytes, rng: np.random.Generator) -> bytes:
    del other
    changed = bytearray(data)
    for _ in range(int(rng.integers(1, 30))):
        if changed:
            changed[int(rng.integers(len(changed)))] = int(rng.integers(256))
    return bytes(changed)


def _cut(data: bytes, other: bytes, rng: np.random.Generator) -> bytes:
    del other
    a, b = _span(data, rng)
    return data[:a] + data[b:]


def _double(data: bytes, other: bytes, rng: np.random.Generator) -> bytes:
    del other
    a, b = _span(data, rng)
    return data[:b] + data[a:b] * int(rng.integers(1, 20)) + data[b:]


def _truncate(data: bytes, other: bytes, rng: np.random.Generator) -> bytes:
    del other
    return data[: int(rng.integers(len(data) + 1))]


def _mix(data: bytes, other: bytes, rng: np.random.Generator) -> bytes:
    a, b = _span(other, rng)
    at = int(rng.integers(len(data) + 1))
    return data[:at] + other[a:b] + data[at:]


def _insert(data: bytes, other: bytes, rng: np.random.Generator) -> bytes:
    del other
    at = int(rng.integers(len(data) + 1))
    return data[:at] + rng.bytes(int(rng.integers(1, 200))) + data[at:]


def _lines(data: bytes) -> list[bytes]:
    return re.split(rb"\r?\n", data)


def _swap_values(data: bytes, other: bytes, rng: np.random.Generator) -> bytes:
    del other
    lines = _lines(data)
    for _ in range(int(rng.integers(1, 8))):
        i, j = (int(rng.integers(len(lines))) for _ in range(2))
        lines[i], lines[j] = lines[j], lines[i]
    return b"\n".join(lines)


def _hostile_value(data: bytes, other: bytes, rng: np.random.Generator) -> bytes:
    del other
    lines = _lines(data)
    for _ in range(int(rng.integers(1, 12))):
        i = int(rng.integers(len(lines))) | 1
        if i < len(lines):
            lines[i] = _HOSTILE[int(rng.integers(len(_HOSTILE)))]
    return b"\n".join(lines)


def _hostile_code(data: bytes, other: bytes, rng: np.random.Generator) -> bytes:
    del other
    lines = _lines(data)
    for _ in range(int(rng.integers(1, 12))):
        i = int(rng.integers(len(lines))) & ~1
        lines[i] = _CODES[int(rng.integers(len(_CODES)))]
    return b"\n".join(lines)


class _TooLongError(Exception):
    """The reader took more than its seconds."""


def _alarm(*_: object) -> None:
    raise _TooLongError


def work(folder: Path, seed: int, first: int, end: int) -> None:
    """Read mutants one by one; print what came out of each before the next begins."""
    bases = base_drawings(folder)
    read_drawing_bytes(bases[-1])  # imports done before the limits count
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES + _in_use(), resource.RLIM_INFINITY))
    signal.signal(signal.SIGPROF, _alarm)
    for number in range(first, end):
        data = mutant(bases, seed, number)
        sys.stdout.write(f"{number} ")
        sys.stdout.flush()
        began = time.process_time()
        signal.setitimer(signal.ITIMER_PROF, SECONDS)
        try:
            what = read_drawing_bytes(data)
        except _TooLongError:
            what = "HANG " + json.dumps(traceback.format_exc()[-1500:])
        except BaseException:
            what = "CRASH " + json.dumps(traceback.format_exc()[-1500:])
        finally:
            signal.setitimer(signal.ITIMER_PROF, 0)
        sys.stdout.write(f"{time.process_time() - began:.2f} {what}\n")
        sys.stdout.flush()


def _in_use() -> int:
    pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[0])
    return pages * resource.getpagesize()


def read_drawing_bytes(data: bytes) -> str:
    """Read a drawing from bytes; return "read" or "refused"."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "mutant.dxf"
        path.write_bytes(data)
        try:
            read_drawing(path)
        except DrawingError as error:
            if not error.findings or any(f.code == OWN_FAULT for f in error.findings):
                raise  # a fault of ours, not of the drawing
            return "refused"
        return "read"


def run(folder: Path, seed: int, first: int, count: int) -> Counter[str]:
    """Run workers until all mutants are through; return what came out of them."""
    counts: Counter[str] = Counter()
    slowest = 0.0
    at = first
    while at < first + count:
        command = [sys.executable, "-m", "tests.benchmark.mutations", "--folder", str(folder),
                   "--seed", str(seed), "--first", str(at), "--count", str(first + count - at),
                   "--worker"]  # fmt: skip
        done = at
        with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as worker:
            for line in worker.stdout or ():
                number, seconds, what = line.rstrip("\n").split(" ", 2)
                done = int(number) + 1
                slowest = max(slowest, float(seconds))
                counts[what.split(" ", 1)[0]] += 1
                if not what.startswith(("read", "refused")):
                    sys.stdout.write(f"mutant {number}: {what}\n")
        if done < first + count:
            sys.stdout.write(f"mutant {done}: killed the worker (status {worker.returncode})\n")
            counts["KILLED"] += 1
            done += 1
        at = done
    sys.stdout.write(json.dumps({"seed": seed, **counts, "slowest_s": round(slowest, 2)}) + "\n")
    return counts


def main() -> int:
    """Run from the command line."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("--count", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--first", type=int, default=0)
    shared = Path(__file__).parents[3] / "shared" / "drawings"
    parser.add_argument("--folder", type=Path, default=shared)
    parser.add_argument("--worker", action="store_true")
    asked = parser.parse_args()
    if asked.worker:
        work(asked.folder, asked.seed, asked.first, asked.first + asked.count)
        return 0
    counts = run(asked.folder, asked.seed, asked.first, asked.count)
    return 1 if set(counts) - {"read", "refused"} else 0


if __name__ == "__main__":
    sys.exit(main())
