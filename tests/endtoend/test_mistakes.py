# ruff: noqa: E501 - sentences and edits stand as they are
"""Natural mistakes: each is told once, at its root, with its line and what to do, and nothing else.

The messages are pinned: they were read by a person before they were written down here.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from nestcut.cli import main
from nestcut.errors import Severity
from nestcut.intake.job import understand_job
from nestcut.jobfile.spots import lines_of, spot_of
from nestcut.words import speech_of, tell
from tests.mistakes import JOB, MISTAKES, Mistake

EXPECTED = {
    "length without quotes": (
        7,
        "a length stands without quotes.",
        'Write kerf = "1/8in"',
    ),
    "curly quotes": (
        7,
        "these are curly quotes, as text programs set them.",
        'Write kerf = "1/8in"',
    ),
    "inch mark in double quotes": (
        29,
        "the inch mark ends the text too early.",
        "Put single quotes round it, three where there is a foot mark too: width = '5-1/2\"'",
    ),
    "feet and inches without quotes": (
        79,
        "a length stands without quotes.",
        "Write length = '''1' 8\"'''",
    ),
    "decimal comma in a price": (
        15,
        "a comma parts the items of a list; decimals take a point.",
        "Write price = 41.00",
    ),
    "open quote": (
        65,
        "this quote is never closed.",
        'Write name = "knee"',
    ),
    "name without quotes": (
        65,
        "words stand without quotes.",
        'Write name = "knee"',
    ),
    "nothing behind the equals sign": (
        8,
        "nothing stands behind the =.",
        "Write a value, or take the line out.",
    ),
    "key of another table": (
        8,
        "unknown key 'kind'.",
        "Known keys here: gap, kerf, name, reserve.",
    ),
    "kerf not answered": (
        7,
        "not answered yet: how wide is your saw cut?",
        "Write the answer after kerf = .",
    ),
    "one bracket too few": (
        83,
        "the brackets of this heading don't match.",
        "Write [[rail]]",
    ),
    "key written twice": (
        68,
        "this is written twice in the same table.",
        "Keep one of the two.",
    ),
    "list not closed": (
        85,
        "the list that begins here is never closed.",
        "Put ] (or }) behind its last item.",
    ),
    "prose": (
        6,
        "this line is neither a heading nor key = value.",
        'Write for example name = "side"; begin a remark with #.',
    ),
    "key below the wrong heading": (
        71,
        "unknown key 'grain'.",
        "It belongs to [[part]]: move this line above [part.shape], since all that stands below a heading belongs to it.",
    ),
    "shape's key above its heading": (
        52,
        "unknown key 'lower'.",
        "It belongs to the part's outline: move it below [part.shape].",
    ),
    "misspelt key": (
        4,
        "unknown key 'curency'.",
        "Did you mean 'currency'?",
    ),
    "misspelt choice": (
        51,
        "'both' is not one of the choices.",
        "Choose from: none, pair, port, starboard. Did you mean 'pair'?",
    ),
    "strap's width in a wrong unit": (
        52,
        'a strap 6\'-0" wide on a part 1/4" thick is no strap: they are 1 to 60 thicknesses wide.',
        "Compare it with the plans; a bare number counts thicknesses.",
    ),
    "misspelt kind": (
        78,
        "'rectangel' is not one of the choices.",
        "Choose from: rectangle, trapezoid, taper, polygon, circle, ellipse, bulkhead, panel, cap, developed, frame, transom, bottom, deck, seat, strap, doubler. Did you mean 'rectangle'?",
    ),
    "misspelt line": (
        56,
        "there is no line 'chime'.",
        "Choose from: chine, sheer.",
    ),
    "misspelt part": (
        90,
        "there is no part 'led'.",
        "Choose from: frame, knee, lid, side.",
    ),
    "no unit": (
        79,
        "cannot read '20' as a length: a number without a unit (at character 1).",
        "Write for example '7-1/4in' or '8ft 2in'.",
    ),
    "bare number without a job-wide unit": (
        79,
        "cannot read '20' as a length: a number without a unit (at character 1).",
        "Write for example '7-1/4in' or '8ft 2in'.",
    ),
    "unknown unit": (
        79,
        "cannot read '20 inchs' as a length: unknown unit 'inchs', known: mm, cm, m, in, ft (at character 4).",
        "Write for example '7-1/4in' or '8ft 2in'.",
    ),
    "comma that may be thousands": (
        79,
        "cannot read '1,200 mm' as a length: this comma may be decimal or stand for thousands (at character 2).",
        "Write 1200 or 1.200.",
    ),
    "thirteen inches": (
        44,
        "cannot read '1-13-7' as a length: inches go from 0 to 11 (at character 3).",
        "Write for example '7-1/4in' or '8ft 2in'.",
    ),
    "nine eighths": (
        41,
        "cannot read '1-8-9' as a length: eighths go from 0 to 7 (at character 5).",
        "Write for example '7-1/4in' or '8ft 2in'.",
    ),
    "figure left out": (
        41,
        "the row 'sheer' has 5 figures for 6 stations.",
        "Put - where a line has no reading, and two blanks or | between figures.",
    ),
    "stations out of order": (
        35,
        "the stations don't rise: station 3 at 5'-4\" comes after station 2 at 8'-0\".",
        "Read both distances again, and set the columns in order.",
    ),
    "no distances": (
        37,
        "the row 'xt' stands where the stations' distances are expected.",
        "Begin that row with at: at | 0-0-0 | 2-0-0 | ...; or say spacing = ...",
    ),
    "height misread by a foot": (
        41,
        "sheer, station 3: the height 2-4-2 stands 1'-0 1/4\" above a fair line; 1-4-2 would lie on it.",
        "Read it again. If it is meant, the line turns sharply there: list it under knuckles.",
    ),
    "half-breadth misread by two inches": (
        45,
        'chine, station 2: the half-breadth 1-4-0 falls 1 15/16" below a fair line; 1-6-0 would lie on it.',
        "Read it again. If it is meant, the line turns sharply there: list it under knuckles.",
    ),
    "line misspelt in the table": (
        35,
        "the line 'sheer' has no heights.",
        "Add its row under heights, or take it out.",
    ),
    "outside or inside not said": (
        61,
        "nothing says whether offsets are to the outside or the inside of the planking.",
        'Write to = "outside" (or "inside") under [offsets]: the plans say it beside the table.',
    ),
    "planking not said": (
        61,
        "offsets are to the outside of the planking, and its thickness isn't said.",
        'Write planking = "1/4in" under [offsets], or ["3/8in", "1/4in"] from the centre line out.',
    ),
    "station that isn't there": (
        62,
        "there is no station '9'.",
        "Choose from: 0, 1, 2, 3, 4, 5; or give a length.",
    ),
    "hole over the edge": (
        81,
        "this hole reaches the edge or lies outside the part.",
        "Move it, make it smaller, or make it a notch.",
    ),
    "key nearly right": (
        57,
        "unknown key 'notch'.",
        "Did you mean 'notches'?",
    ),
    "no stock of this thickness": (
        73,
        "no stock for 'lid' (any material, 3/8\").",
        'Add a [[sheet]] of it, or use what is there: ply 1/4", ply 3/4".',
    ),
    "sheet turned": (
        21,
        "length and width of '3/4 in ply', 4'-0\" x 8'-0\": is its face grain along the shorter side?",
        'length is measured along the face grain, as the yard says it: write the longer side as length, or add grain = "along" where the grain really runs along the shorter one.',
    ),
    "keep-out off the sheet": (
        16,
        "this area reaches beyond the sheet, which is 8'-0\" x 4'-0\".",
        "Measure it from the marking-out corner: along the length first, then across.",
    ),
    "unit slip in the kerf": (
        7,
        "3'-0\" is far too much.",
        "Check the unit.",
    ),
    "two parts of one name": (
        65,
        "there is a 'frame' already.",
        "Name them apart.",
    ),
    "no name": (
        88,
        "the text is missing.",
        "Add: name = ...",
    ),
    "saw forgotten": (
        0,
        "the saw's kerf is missing.",
        'Add: [saw] with kerf = "1/8in".',
    ),
}
"""Line, message and remedy of the one finding of each mistake; line 0: what is missing has none."""


def test_the_job_is_sound_without_them(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text(JOB, encoding="utf-8")

    assert [f for f in understand_job(path).findings if f.severity is not Severity.NOTE] == []


def test_there_are_forty_and_more() -> None:
    assert len({m.name for m in MISTAKES}) >= 40
    assert {m.name for m in MISTAKES} == set(EXPECTED)


@pytest.mark.parametrize("mistake", MISTAKES, ids=lambda m: m.name)
def test_a_mistake_is_told_once_at_its_root(mistake: Mistake, tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text(mistake.text, encoding="utf-8")
    found = understand_job(path)
    [finding] = [f for f in found.findings if f.severity is not Severity.NOTE]
    told = tell(finding, speech_of(found.job))
    spot = spot_of(finding.where, lines_of(path))
    line = finding.line or (0 if spot is None else spot.line)

    assert (line, told.message, told.remedy) == EXPECTED[mistake.name]
    if "table[" in finding.where:  # a row of a pasted table is pointed at where it stands
        assert line == mistake.text[: mistake.text.index(mistake.new)].count("\n") + 1
    assert not re.search(r"\d mm", told.message) or " mm" in mistake.new


def test_the_line_is_shown_with_a_caret(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """As ``nestcut check`` prints it."""
    path = tmp_path / "job.toml"
    path.write_text(JOB.replace('hand = "pair"', 'hand = "both"'), encoding="utf-8")

    with pytest.raises(SystemExit) as ended:
        main(["check", str(path)])
    assert ended.value.code == 3
    err = capsys.readouterr().err
    assert '    | hand = "both"\n    |        ^^^^^^\n' in err
    assert "Did you mean 'pair'?" in err
    assert "1 to settle" in err
