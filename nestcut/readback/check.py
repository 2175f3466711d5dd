"""All files of a folder against their plan."""

from __future__ import annotations

from pathlib import Path

from nestcut.errors import Finding, Severity, finding
from nestcut.model.plan import VerifiedPlan
from nestcut.readback.lists import check_lists
from nestcut.readback.sheets import check_sheet


def check_files(folder: Path, verified: VerifiedPlan) -> tuple[Finding, ...]:
    """Read the written sheet drawings and lists back and compare them with their plan.

    Parameters
    ----------
    folder
        Where the files lie, under the names that they will have.
    verified
        What they were made from.

    Returns
    -------
    tuple of Finding
        What a file says otherwise; empty if all of them say what the plan says.
    """
    found: list[Finding] = []
    for layout in verified.plan.sheets:
        files = sorted(folder.glob(f"sheets/{layout.number:02d}-*.dxf"))
        if len(files) != 1:
            found.append(finding("RDB-001", Severity.ERROR, f"sheet {layout.number}"))
            continue
        found += check_sheet(files[0], layout, verified.plan)
    return (*found, *check_lists(folder, verified))
