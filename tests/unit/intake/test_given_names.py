"""A part called what a strap or a layer will be called is told before the search."""

from __future__ import annotations

from pathlib import Path

import pytest

from nestcut.intake.job import understand_job
from nestcut.words import speech_of, tell

HEAD = """
[job]
name = "box"
[saw]
kerf = "2 mm"
[[sheet]]
name = "ply"
material = "ply"
thickness = "6 mm"
length = "2440 mm"
width = "1220 mm"
count = "buy"
"""
PART = """
[[part]]
name = "{name}"
thickness = "6 mm"
shape = {{ kind = "rectangle", length = "{length} mm", width = "600 mm" }}
{more}
"""
STRAPPED = 'joint = { kind = "butt strap", keep_clear = "none" }'
SCARFED = 'joint = { kind = "scarf", keep_clear = "none" }'


@pytest.mark.parametrize(
    ("name", "more", "said"),
    [
        ("bottom strap 1", STRAPPED, "JOB-095"),
        ("bottom strap 2b port", STRAPPED, "JOB-095"),
        ("bottom strap 1", SCARFED, ""),
        ("bottom strap", STRAPPED, ""),
        ("bottom, layer 2", "layers = 2", "JOB-094"),
        ("bottom, layer 3", "layers = 2", ""),
    ],
)
def test_names_that_nestcut_gives(name: str, more: str, said: str, tmp_path: Path) -> None:
    path = tmp_path / "box.toml"
    text = HEAD + PART.format(name="bottom", length=3600, more=more)
    path.write_text(text + PART.format(name=name, length=300, more=""))

    understood = understand_job(path)

    met = [f for f in understood.findings if f.code in {"JOB-094", "JOB-095"}]
    assert [f.code for f in met] == ([said] if said else [])
    for found in met:
        assert found.where == "part[2]"
        told = tell(found, speech_of(understood.job))
        assert "'bottom' gets this name" in told.message
        assert told.remedy == "Name this part otherwise."
