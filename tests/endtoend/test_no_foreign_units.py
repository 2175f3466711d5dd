"""No millimetre in what an inch job gives and no inch in what an mm job gives, in any output.

Every file of a result folder and all that check, plan, verify and shape say of both demos and the
skiff, printed in the job's own units and in the other ones.  Left out is what is so by
nature: names that the builder gave, columns of CSV files and keys of JSON that name their unit,
prose that quotes a CSV's resolution, and thicknesses sold in the other system.
"""

from __future__ import annotations

import contextlib
import csv
import html
import io
import json
import re
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path
from tempfile import mkdtemp

import pypdf
import pytest
from ezdxf.filemanagement import readfile

from nestcut.cli import main
from nestcut.door import Budget, plan_job, read_job, write_papers
from nestcut.intake.job import understand_job
from nestcut.model.part import RailPart, SheetPart
from nestcut.model.plan import VerifiedPlan
from nestcut.papers.lists import summary_text
from nestcut.search.settings import Effort
from nestcut.units import LengthStyle
from nestcut.words import finding_line, speech_of

PARTS = Path(__file__).parents[2] / "parts"
INCH, MM = LengthStyle.INCH, LengthStyle.MM
CASES = [
    ("punt/job.toml", INCH, INCH),
    ("punt/job.toml", INCH, MM),
    ("skiff/job.toml", INCH, INCH),
    pytest.param("skiff/job.toml", INCH, MM, marks=pytest.mark.deep),
    ("beach-boat/job.toml", MM, MM),
    pytest.param("beach-boat/job.toml", MM, INCH, marks=pytest.mark.deep),
]
MILLIMETRES = re.compile(r"\d\s*(?:mm|cm|m|m\u00b2|m2|kg|l)\b(?!/)|\bmm\b|\u33a1")
INCHES = re.compile(r"\d\s*(?:inch|inches|ft|ft\u00b2|feet|lb|gal)\b|\d[\"\u2033']|\d in\b(?! \d)")
BY_NATURE = (
    re.compile(r"\bto 0\.01 mm\b"),  # what a CSV file holds
    re.compile(r"\b1 in \d"),  # run-out of the grain
)
AS_SOLD = re.compile(r"(?:(?<=mm) |^)\([^()]*\"\)")
FIGURE = re.compile(r"(\d+(?:\.\d+)?) mm\b")
OUTCOMES = {None, 0, 4}


def say(*words: str) -> str:
    """Everything that a command prints."""
    heard = io.StringIO()
    with (
        contextlib.redirect_stdout(heard),
        contextlib.redirect_stderr(heard),
        pytest.raises(SystemExit) as ended,
    ):
        main(list(words))
    assert ended.value.code in OUTCOMES, heard.getvalue()[-2000:]
    return heard.getvalue()


@lru_cache(maxsize=8)
def told(job: str, style: LengthStyle) -> dict[str, str]:
    """All outputs of a job in one style, by name."""
    out = Path(mkdtemp(prefix="nestcut-units-"))
    path, verified = PARTS / job, planned(job)
    write_papers(verified, out / "plan", units=style.value)
    texts = {str(p.relative_to(out)): text_of(p) for p in sorted(out.rglob("*")) if p.is_file()}
    texts["summary"] = summary_text(verified, style)
    if style is style_of(job):
        findings = (*verified.job.findings, *verified.plan.findings)
        texts["findings"] = "\n".join(finding_line(f, speech_of(verified.job)) for f in findings)
        texts["check"] = unquoted(say("check", str(path)))
        texts["shape"] = unquoted(say("shape", str(path), "--out", str(out / "shapes")))
        texts["verify"] = say("verify", str(out / "plan" / "plan.json"))
    else:
        del texts["plan/plan.json"]  # the job's own
    return texts


@lru_cache(maxsize=8)
def planned(job: str) -> VerifiedPlan:
    """A plan, quick and rough."""
    return plan_job(read_job(PARTS / job), Budget(effort=Effort.QUICK, seconds=1.0))


def unquoted(heard: str) -> str:
    """What a command prints, but lines of the job shown with a caret."""
    return "\n".join(x for x in heard.splitlines() if not x.startswith("    | "))


def style_of(job: str) -> LengthStyle:
    return understand_job(PARTS / job).job.style


def text_of(path: Path) -> str:
    """Words that a reader sees in a file."""
    match path.suffix:
        case ".pdf":
            return "\n".join(page.extract_text() for page in pypdf.PdfReader(path).pages)
        case ".dxf":
            space = readfile(path).modelspace()
            return "\n".join(e.dxf.text for e in space.query("TEXT"))
        case ".html" | ".svg":
            bare = re.sub(r"<(style|script).*?</\1>", "", path.read_text("utf-8"), flags=re.DOTALL)
            named = re.sub(r'<[^>]*?(?:aria-label|title|alt)="([^"]*)"[^>]*>', r"\n\1\n", bare)
            return html.unescape(re.sub(r"<[^>]*>", "\n", named))
        case ".csv":
            rows = list(csv.reader(path.read_text("utf-8-sig").splitlines()))
            kept = [k for k, head in enumerate(rows[0]) if not head.endswith((" mm", " m2", " kg"))]
            return "\n".join(row[k] for row in rows[1:] for k in kept if k < len(row))
        case ".json":
            return "\n".join(sentences(json.loads(path.read_text("utf-8"))))
        case _:
            return ""


SAID = {"message", "remedy", "reason", "text", "rule_findings", "checks", "note"}


def sentences(data: object, key: str = "") -> Iterator[str]:
    """Texts under keys that hold sentences."""
    if isinstance(data, dict):
        for name, value in data.items():
            yield from sentences(value, name)
    elif isinstance(data, list):
        for value in data:
            yield from sentences(value, key)
    elif isinstance(data, str) and key in SAID:
        yield data


def names_of(job: str) -> set[str]:
    """What the builder wrote: names, remarks and the lines of the job; they may hold any unit."""
    found = understand_job(PARTS / job).job
    stocks = {s.name for s in found.sheet_stocks} | {b.name for b in found.board_stocks}
    parts: list[SheetPart | RailPart] = [*found.sheet_parts, *found.rail_parts]
    notes = {p.note for p in parts if p.note}
    zones = {z.reason for p in parts if p.joint for z in p.joint.keep_clear}
    return stocks | notes | zones | {found.name}


def _unless_true(figure: re.Match[str]) -> str:
    """Metric figures that no sixteenth gives to a tenth stay on inch papers."""
    sixteenths = float(figure[1]) / 25.4 * 16
    is_true = abs(sixteenths - round(sixteenths)) * 25.4 / 16 <= 0.1
    return figure[0] if is_true else ""


def leaks(job: str, own: LengthStyle, style: LengthStyle) -> list[str]:
    """Lines of the outputs that speak the other system."""
    assert style_of(job) is own
    foreign = MILLIMETRES if style is INCH else INCHES
    names = sorted(names_of(job), key=len, reverse=True)
    found = []
    for output, text in told(job, style).items():
        for line in text.splitlines():
            bare = line
            for name in names:
                bare = bare.replace(name, "")
            for kept in BY_NATURE:
                bare = kept.sub("", bare)
            if own is not style:  # papers in the other system: a size as it is sold stands behind
                bare = AS_SOLD.sub("", bare)
            if style is INCH and own is MM:
                bare = FIGURE.sub(_unless_true, bare)
            if foreign.search(bare):
                found.append(f"{output}: {line.strip()}")
    return found


@pytest.mark.parametrize(("job", "own", "style"), CASES)
def test_no_output_speaks_the_other_system(job: str, own: LengthStyle, style: LengthStyle) -> None:
    found = leaks(job, own, style)
    assert not found, "\n".join(found[:40])
