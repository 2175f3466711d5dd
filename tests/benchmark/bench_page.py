"""The bench's page measured in a browser: ``python -m tests.benchmark.bench_page JOB``.

Instead of a job file a number (``64``) makes a boat of so many pieces, by lot but always the same.
A plan of the job is made (quick effort), the page is opened and a piece is dragged about.  Told are
the time to open it, the time of a frame under the pointer, and that of a push's answer. [ms]
"""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np

import nestcut
from nestcut.bench.files import Keeper, digest_of


def boat_of(count: int) -> str:
    """Return a job of so many pieces: knees, tapers, frames and lids of 6 and 9 mm ply."""
    luck = np.random.default_rng(count)
    rows = ['[job]\nname = "many pieces"\ncurrency = "EUR"\n[saw]\nkerf = "2 mm"\n']
    rows += [
        f'[[sheet]]\nname = "{mm} mm ply"\nmaterial = "ply"\nthickness = "{mm} mm"\n'
        f'length = "2440 mm"\nwidth = "1220 mm"\nprice = {price}\n'
        for mm, price in ((6, 48), (9, 74))
    ]
    for number in range(count):
        a, b = int(luck.integers(180, 620)), int(luck.integers(90, 340))
        shape = (
            f'kind = "polygon"\npoints = [["0 mm", "0 mm"], ["{a} mm", "0 mm"], '
            f'["{a // 4} mm", "{b // 3} mm"], ["0 mm", "{b} mm"]]',
            f'kind = "taper"\nlength = "{2 * a} mm"\nstart = "{b} mm"\nend = "{b // 2} mm"',
            f'kind = "ellipse"\nlength = "{a} mm"\nwidth = "{b} mm"',
            f'kind = "rectangle"\nlength = "{a} mm"\nwidth = "{b} mm"',
        )[number % 4]
        rows.append(
            f'[[part]]\nname = "part {number + 1}"\nthickness = "{luck.choice([6, 9])} mm"\n'
            f"[part.shape]\n{shape}\n"
        )
    return "".join(rows)


def main() -> int:
    """Measure one job."""
    wanted = sys.argv[1]
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "boat"
        if wanted.isdigit():
            folder.mkdir()
            source = folder / "many.toml"
            source.write_text(boat_of(int(wanted)))
        else:
            source = Path(wanted).resolve()
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
