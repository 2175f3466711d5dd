"""Compiled kernels of other sources are thrown away: numba looks at a kernel's own file alone."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from nestcut.nesting.kernels import cache

RUN = """
import sys
from pathlib import Path
from nestcut.nesting.kernels.cache import renew_cache
here = Path(sys.argv[1])
sys.path.insert(0, str(here))
renew_cache(here / "__pycache__", here.glob("*.py"))
import above
print(above.twice(1.0))
"""

BELOW = "import numba\n@numba.njit(cache=True)\ndef once(x):\n    return x + {}\n"
ABOVE = """
import numba
from below import once
@numba.njit(cache=True)
def twice(x):
    return once(once(x))
"""


def _said(folder: Path) -> float:
    outside = {k: v for k, v in os.environ.items() if k != "NUMBA_CACHE_DIR"}
    ended = subprocess.run(
        [sys.executable, "-c", RUN, str(folder)], capture_output=True, text=True, env=outside
    )
    assert ended.returncode == 0, ended.stderr
    return float(ended.stdout)


def test_a_kernel_is_compiled_anew_when_what_it_calls_has_changed(tmp_path: Path) -> None:
    (tmp_path / "above.py").write_text(ABOVE)
    (tmp_path / "below.py").write_text(BELOW.format("1.0"))
    assert _said(tmp_path) == 3.0
    compiled = sorted((tmp_path / "__pycache__").glob("above.*.nb[ic]"))
    made = [path.stat().st_mtime_ns for path in compiled]
    assert compiled
    assert _said(tmp_path) == 3.0
    assert [path.stat().st_mtime_ns for path in compiled] == made  # the cache was good
    (tmp_path / "below.py").write_text(BELOW.format("5.0"))
    assert _said(tmp_path) == 11.0


def test_the_kernels_of_this_run_stand_for_todays_sources(tmp_path: Path) -> None:
    own = cache._sources()
    assert {"separate.py", "world.py", "moves.py", "noise.py", "search.py"} <= {p.name for p in own}
    note = cache._place() / cache._NOTE
    assert note.read_text() == cache._digest(own)
    cache.renew_cache(tmp_path, own)
    (tmp_path / "separate.nbi").touch()
    cache.renew_cache(tmp_path, own)
    assert (tmp_path / "separate.nbi").is_file()
    cache.renew_cache(tmp_path, own[:-1])
    assert not (tmp_path / "separate.nbi").exists()


def test_where_nothing_can_be_written_nothing_fails() -> None:
    cache.renew_cache(Path("/proc/none"), [])
