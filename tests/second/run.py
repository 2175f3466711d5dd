"""Jobs by lot, planned, written and judged: ``python -m tests.second.run --jobs 1000``.

Each job is written as a file with its drawing, read by the program, planned with quick effort,
its drawings and lists are written, and the second checker judges them by the job file alone.  One
in ``--whole-papers`` goes through ``nestcut.write_papers`` with all its pages and is judged by its
whole drawings; the others write the same DXF and CSV files without pages, which take most of the
time, and are judged by what these draw.

``--small`` asks for jobs of one to six pieces, nearly all with the plan that is made at once.
One process does them all in one folder, so that a job takes little but its planning and judging.
"""

from __future__ import annotations

import argparse
import gc
import shutil
import signal
import sys
import tempfile
import time
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

import nestcut
from nestcut.drawings.write import draw_sheet, write_sheet_drawing
from nestcut.papers.lists import buying_list_csv, cut_list_csv, joints_csv, usage_csv, usage_of
from nestcut.papers.view import Figures, file_stem, plan_view
from tests.second.chance import Size, small_size, write_job
from tests.second.drawing import empty_document, read_drawing, read_whole, save_drawn
from tests.second.judge import Verdict, judge


@dataclass
class Tally:
    """How a run of jobs went."""

    outcomes: Counter[str] = field(default_factory=Counter)
    looked_at: Counter[str] = field(default_factory=Counter)
    objections: list[tuple[int, str]] = field(default_factory=list)
    refused: list[tuple[int, str]] = field(default_factory=list)
    not_judged: list[tuple[int, str]] = field(default_factory=list)


def write_files(verified: nestcut.VerifiedPlan, folder: Path, size: Size = Size.USUAL) -> None:
    """Write what the checker reads, and nothing else; drawings of small jobs without tables."""
    figures = Figures(verified.job.style, verified.job.fraction, verified.job.currency)
    view = plan_view(verified)
    folder.mkdir(parents=True, exist_ok=True)
    texts = {
        "cut-list": cut_list_csv(view, figures),
        "buying-list": buying_list_csv(view, figures),
        "joints": joints_csv(view, figures),
        "usage": usage_csv(usage_of(view, figures), figures),
    }
    for name, text in texts.items():
        (folder / f"{name}.csv").write_text(text, encoding="utf-8")
    for layout in verified.plan.sheets:
        path = folder / "sheets" / f"{file_stem(layout.number, layout.stock)}.dxf"
        if size is Size.USUAL:
            write_sheet_drawing(path, verified, layout)
        else:
            document = empty_document()
            draw_sheet(document.modelspace(), verified, layout)
            path.parent.mkdir(exist_ok=True)
            save_drawn(document, path)


def budget_of(seed: int, size: Size) -> nestcut.Budget:
    """Most stop at the first plan, which must be right as well; one in so many is searched."""
    if size is Size.USUAL:
        return nestcut.Budget(effort="quick", seconds=None if seed % 4 == 1 else 0.0)
    return nestcut.Budget(effort="quick", seconds=0.3 if seed % 200 == 1 else 0.0)


def try_job(
    seed: int, folder: Path, tally: Tally, *, with_pages: bool, size: Size = Size.USUAL
) -> Verdict | None:
    """Plan one job of the lot and have it judged; None where there is no plan."""
    job_file = write_job(folder, seed, size)
    try:
        job = nestcut.read_job(job_file)
        budget = budget_of(seed, size)
        verified = nestcut.plan_job(job, budget)
    except nestcut.PlanRejectedError as error:
        codes = sorted({f"{f.code} {f.where}" for f in error.findings})
        tally.outcomes["refused by nestcut verify"] += 1
        tally.refused.append((seed, "; ".join(codes)))
        return None
    except nestcut.InputError as error:
        tally.outcomes["no plan: " + " ".join(sorted({f.code for f in error.findings}))] += 1
        return None
    result = folder / "out"
    if with_pages:
        nestcut.write_papers(verified, result)
    else:
        write_files(verified, result, size)
    verdict = judge(job_file, result, read_whole if with_pages else read_drawing)
    tally.outcomes["complete" if verified.plan.is_complete else "some left unplaced"] += 1
    tally.looked_at += verdict.looked_at
    tally.objections += [(seed, words) for words in verdict.objections]
    tally.not_judged += [(seed, words) for words in verdict.not_judged]
    return verdict


def main(arguments: list[str]) -> int:
    """Run what the command line asks for; status 1 where anything was found."""
    parser = argparse.ArgumentParser(prog="python -m tests.second.run", description=__doc__)
    parser.add_argument("--jobs", type=int, default=100)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--small", action="store_true", help="jobs of one to six pieces")
    parser.add_argument("--whole-papers", type=int, default=0, help="0: 50, of small jobs 500")
    parser.add_argument("--seconds", type=float, default=None, help="processor time at most")
    parser.add_argument("--keep", type=Path, default=None, help="where jobs objected to are kept")
    asked = parser.parse_args(arguments)
    tally = Tally()
    whole = asked.whole_papers or (1000 if asked.small else 50)
    stopped: list[int] = []
    for number in (signal.SIGTERM, signal.SIGINT):  # the count so far is told all the same
        signal.signal(number, lambda which, _: stopped.append(which))
    gc.freeze()
    gc.set_threshold(20_000, 20, 20)
    begin, done = time.process_time(), 0
    folder = Path(tempfile.mkdtemp(prefix="second-"))
    for seed in range(asked.first, asked.first + asked.jobs):
        is_late = asked.seconds is not None and time.process_time() - begin > asked.seconds
        if is_late or stopped:
            break
        before = len(tally.objections) + len(tally.refused)
        size = small_size(seed) if asked.small else Size.USUAL
        try:
            try_job(seed, folder, tally, with_pages=seed % whole == 0, size=size)
        except Exception as error:  # every crash is a finding of this run
            tally.outcomes["crashed"] += 1
            tally.objections.append((seed, f"crash: {type(error).__name__}: {error}"))
        done += 1
        found = [*tally.objections, *tally.refused]
        if len(found) > before:
            print([f for f in found if f[0] == seed], flush=True)
            if asked.keep is not None:
                shutil.copytree(folder, asked.keep / str(seed), dirs_exist_ok=True)
        _empty(folder)
        if done % (1000 if asked.small else 50) == 0:
            print(f"{done} jobs, {time.process_time() - begin:.0f} s", file=sys.stderr, flush=True)
            if asked.small:
                print(_told(tally), flush=True)
    shutil.rmtree(folder)
    print(f"{done} jobs in {time.process_time() - begin:.0f} s of processor time")
    print(_told(tally))
    return 1 if tally.objections or tally.refused else 0


def _empty(folder: Path) -> None:
    """Take away files and leave folders, which takes a disk less time; after pages, all of it."""
    if (folder / "out" / "plan.json").exists():
        shutil.rmtree(folder)
        folder.mkdir()
        return
    for path in folder.rglob("*"):
        if path.is_file():
            path.unlink()


def _told(tally: Tally) -> str:
    n_jobs = len({s for s, _ in tally.objections})
    looked_at = ", ".join(f"{n} {name}" for name, n in sorted(tally.looked_at.items()))
    return "\n".join(
        [
            *(f"  {n:7d} {name}" for name, n in tally.outcomes.most_common()),
            f"looked at: {looked_at}",
            f"{len(tally.objections)} objections in {n_jobs} jobs, "
            f"{len(tally.refused)} plans refused",
            f"{len(tally.not_judged)} things not judged",
        ]
    )


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
