"""Names that nestcut gives, of straps and layers: no part of the builder's may have one."""

from __future__ import annotations

import re
from collections.abc import Sequence

from nestcut.errors import Finding, Severity, finding
from nestcut.intake.parts.layers import layer_name
from nestcut.jobfile.records import JobText
from nestcut.joints.kinds import KINDS
from nestcut.model.part import RailPart, SheetPart


def names_in_the_way(text: JobText, parts: Sequence[SheetPart | RailPart]) -> tuple[Finding, ...]:
    """Findings for parts called what a strap or a layer of another part is called."""
    written = {p.name for p in text.parts} | {r.name for r in text.rails}
    layers = {layer_name(p.name, k): p.name for p in text.parts for k in range(p.layers)}
    findings = [
        finding("JOB-094", Severity.ERROR, text.paths.get(name, name), part=layers[name])
        for name in sorted(written & set(layers))
    ]
    for part in parts:
        if part.joint is None or not KINDS[part.joint.kind].has_strap:
            continue
        strap = re.compile(rf"{re.escape(part.name)} strap \d+[a-z]?( .*)?")
        findings += [
            finding("JOB-095", Severity.ERROR, text.paths.get(name, name), part=part.name)
            for name in sorted({p.name for p in parts})
            if strap.fullmatch(name)
        ]
    return tuple(findings)
