"""Every edit of the plans of both demos and the small job, and what said that it is untrue.

    python -m tests.damage [--of-each 1] [--seed 0] [--share 1/1] [NAME ...]

The verifier is asked first of all, as if the file had been written anew after the edit, with all
that is derived and its seal.  One line a document, as JSON; edits that it lets through come before
it where no list of :mod:`tests.damage.judge` says why, and make the exit status 1.  ``--of-each``
takes so many places of one pattern of paths, ``--share 2/4`` the second of four lots.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections import Counter
from itertools import islice

from nestcut.intake.job import read_job
from nestcut.model.plan import VerifiedPlan
from nestcut.planfile.write import plan_to_json
from nestcut.verify import tally
from tests.builders_demos import PARTS
from tests.builders_joined import joined_plan, quick_plan
from tests.damage.compound import compound_edits
from tests.damage.edits import single_edits
from tests.damage.judge import (
    BY_NONE,
    BY_THE_SEAL,
    BY_WHAT_IS_DERIVED,
    is_listed,
    parsed,
    refusal,
    verdict,
)

NAMES = ("small job", "punt", "beach-boat")
UNLISTED = "NOT LISTED"


def run(name: str, of_each: int, seed: int, lot: tuple[int, int]) -> Counter[str]:
    """Count what came of every edit of one document."""
    small = name == "small job"
    verified = joined_plan() if small else quick_plan(read_job(PARTS / name / "job.toml"))
    job, document = verified.job, json.loads(plan_to_json(verified))
    sound = parsed(document)
    assert sound is not None
    assert refusal(document, job) == set()
    counts: Counter[str] = Counter()
    first, of = lot
    for edit in islice(single_edits(document, of_each, seed=seed), first - 1, None, of):
        what = verdict(edit.document, job, sound)
        if what in {BY_NONE, BY_THE_SEAL, BY_WHAT_IS_DERIVED}:
            what += ", listed" if is_listed(edit.path, what) else f", {UNLISTED}"
        counts[f"single, {what}"] += 1
        if what.endswith(UNLISTED):
            sys.stdout.write(f"{name}: {edit.path}: {what}\n")
            sys.stdout.flush()
    for path, plan in islice(compound_edits(job, verified.plan), first - 1, None, of):
        written = VerifiedPlan(job=job, plan=plan, checks=tally(job, plan))
        what = verdict(json.loads(plan_to_json(written)), job, sound)
        if what in {BY_NONE, BY_THE_SEAL, BY_WHAT_IS_DERIVED}:
            what += f", {UNLISTED}"
        counts[f"together, {what}"] += 1
        if what.endswith(UNLISTED):
            sys.stdout.write(f"{name}: {path}\n")
    return counts


def main() -> int:
    """Run from the command line."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("--of-each", type=int, default=1)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--share", default="1/1", help="which lot of how many: 2/4")
    parser.add_argument("names", nargs="*", default=NAMES, metavar="NAME")
    asked = parser.parse_args()
    through = 0
    first, of = map(int, asked.share.split("/"))
    for name in asked.names:
        began = time.process_time()
        counts = run(name, asked.of_each, asked.seed, (first, of))
        through += sum(n for what, n in counts.items() if what.endswith(UNLISTED))
        seconds = round(time.process_time() - began)
        row = {"document": name, "edits": counts.total(), **counts, "processor_s": seconds}
        sys.stdout.write(json.dumps(row) + "\n")
        sys.stdout.flush()
    return 1 if through else 0


if __name__ == "__main__":
    sys.exit(main())
