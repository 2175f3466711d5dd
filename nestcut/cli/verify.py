"""``nestcut verify``: a plan file proven once more."""

from __future__ import annotations

import json
from pathlib import Path

import click

from nestcut.cli.talk import say, show_findings
from nestcut.errors import blocking
from nestcut.intake.plan import read_plan
from nestcut.verify import verify_plan
from nestcut.words import finding_record, speech_of


def run_verify(path: Path, *, as_json: bool) -> int:
    """Prove a plan file; exit 1 if it is refused, 4 if pieces are left unplaced."""
    read = read_plan(path)
    verification = verify_plan(read.job, read.text.plan)
    findings = (*read.findings, *verification.findings)
    speech = speech_of(read.job)
    refused = bool(blocking(findings))
    unplaced = [u.piece for u in read.text.plan.unplaced]
    if as_json:
        document = {
            "format": "nestcut verification",
            "version": 1,
            "plan": str(path),
            "verified": not refused,
            "unplaced": unplaced,
            "checks": [] if refused else list(verification.checks),
            "findings": [finding_record(f, speech) for f in findings],
        }
        click.echo(json.dumps(document, indent=1, ensure_ascii=False))
    elif not refused:
        click.echo(f"{path}: the plan stands.")
        for line in verification.checks:
            click.echo(f"  proven: {line}")
    show_findings(findings, speech)
    if refused:
        say("The plan is refused.")
        return 1
    return 4 if unplaced else 0
