"""The bench's page measured in a browser: ``python -m tests.benchmark.bench_page JOB``.

A plan of the job is made (quick effort), the page is opened and a piece is dragged about.  Told are
the time to open it, the time of a frame under the pointer, and that of a push's answer. [ms]
"""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import nestcut
from nestcut.bench.keeper import Keeper, digest_of


def main() -> int:
    """Measure one job."""
    source = Path(sys.argv[1]).resolve()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "boat"
        shutil.copytree(source.parent, folder)
        job = nestcut.read_job(folder / source.name)
        text = nestcut.plan_text(nestcut.plan_job(job, nestcut.Budget(effort="quick")))
        keeper = Keeper(folder / source.name)
        keeper.change("planned", seen=digest_of(keeper.current.job), plan=text)
        served = subprocess.Popen(
            [sys.executable, "-m", "nestcut", "bench", str(folder), "--no-browser"],
            stdout=subprocess.PIPE,
            text=True,
        )
        assert served.stdout is not None
        address = served.stdout.readline().strip()
        script = Path(__file__).with_name("bench_page.mjs")
        try:
            return subprocess.run(
                ["node", str(script), address, source.name], check=False
            ).returncode
        finally:
            served.terminate()
            served.wait(20)


if __name__ == "__main__":
    raise SystemExit(main())
