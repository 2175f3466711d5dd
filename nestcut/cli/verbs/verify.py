"""``nestcut verify``: a plan file proven once more."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path

import click

from nestcut.cli.form import Form
from nestcut.cli.talk import say, show_findings
from nestcut.door.findings import (
    Finding,
    PlanFileError,
    blocking,
    finding_record,
    speech_of,
    tell_fact,
)
from nestcut.door.plan import Verification, papers_of_plan, read_plan, verify_plan

ANOTHER_JOB = ("PLAN-005", "PLAN-006")
"""What is said where a plan's job has changed: that, with its saw's, and no more."""
UNPROVEN = Verification(findings=(), checks=())


def run_verify(path: Path, *, form: Form) -> int:
    """Prove a plan file; exit 1 if it is refused, 4 if pieces are left unplaced."""
    beside = papers_of_plan(path)
    try:
        read = read_plan(path)
    except PlanFileError as error:
        raise PlanFileError((*error.findings, *blocking(beside))) from None
    stale = _stale(read.findings)
    # Against another job a plan breaks rules by the dozen, which tells nobody anything.
    verification = UNPROVEN if stale else verify_plan(read.job, read.text.plan)
    findings = (*(stale or read.findings), *verification.findings, *beside)
    speech = speech_of(read.job)
    refused = bool(blocking(findings))
    told = [tell_fact(c, speech) for c in verification.checks]
    unplaced = [u.piece for u in read.text.plan.unplaced]
    if form is Form.JSON:
        document = {
            "format": "nestcut verification",
            "version": 1,
            "plan": str(path),
            "verified": not refused,
            "unplaced": unplaced,
            "checks": [] if refused else told,
            "findings": [finding_record(f, speech) for f in findings],
        }
        click.echo(json.dumps(document, indent=1, ensure_ascii=False))
    elif not refused:
        click.echo(f"{path}: the plan stands.")
        for line in told:
            click.echo(f"  looked at: {line}")
    show_findings(findings, speech)
    if refused:
        say("The plan is refused.")
        return 1
    return 4 if unplaced else 0


def _stale(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """Say that the job has changed; empty where it hasn't."""
    if all(f.code != ANOTHER_JOB[0] for f in findings):
        return ()
    return tuple(f for f in findings if f.code in ANOTHER_JOB)
