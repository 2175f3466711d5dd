"""Heads of CSV files and keys of JSON that others read: these stay, new ones come after."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

import nestcut
from nestcut.cli.commands import _run
from tests.builders_demos import PARTS, demo_on_shelves
from tests.builders_jobs import PLY_TO_BUY

HEADS = {
    "buying-list.csv": "stock,material,kind,thickness mm,length mm,width mm,size,to buy,to hand,"
    "each,together,currency,board feet,note,supplier,over",
    "cut-list.csv": "from,stock,order,piece,name in words,part,hand,copy,of,piece no.,"
    "pieces of part,material,thickness mm,length mm,width mm,length,width,lies,when,joints,bevels,"
    "allowance mm,note,board mm,along from mm,along to mm,across from mm,across to mm,"
    "share of price,currency,planed from mm",
    "joints.csv": "joint,name,part,hand,copy,kind,slope,angle deg,thickness mm,middle at mm,"
    "middle at,overlap mm,overlap,first piece,first in words,first planed,second piece,"
    "second in words,second planed,strap mm,strap face,from other end mm,from piece ends mm,rules,"
    "to mind,place,weak",
    "marking-out.csv": "sheet,stock,piece,measured from,line,point,along,up,kind,to the next point,"
    "compass along,compass up,compass radius,compass turns,keeps within mm",
    "usage.csv": "of,stock,material,area {0},pieces {0},pieces %,pieces money,kerf {0},kerf %,"
    "kerf money,offcuts kept {0},offcuts kept %,offcuts kept money,trim {0},trim %,trim money,"
    "kept out {0},kept out %,kept out money,waste {0},waste %,waste money,money,currency",
}
CURVE = "start end kind centre radius_mm start_deg sweep_deg control degree knots weights"
KEYS = {
    "": "format version job seed seconds repeatable stopped_by effort workers kerf_mm gap_mm "
    "sheets boards joints unplaced bounds buy usage findings notes checks pieces rail_pieces "
    "added_parts files seal",
    "job": "name file sha256",
    "sheets": "stock number length_mm width_mm thickness_mm outline edge_trim_mm end_trim_mm "
    "keep_out keep_out_reasons placements used_mm2 usage offcuts",
    "sheets.placements": "part piece hand face_down turn_deg shift_mm outline holes",
    "boards": "stock number length_mm width_mm thickness_mm cuts used usage",
    "boards.cuts": "part piece from_mm to_mm rip_from_mm rip_to_mm",
    "joints": "id part hand copy kind slope at_mm axis overlap_mm thickness_mm part_length_mm "
    "planed pieces distances standings rule_findings is_weak word",
    "bounds.*": "lower used proven_optimal measure reason",
    "buy": "stock count price total to_hand length_mm width_mm thickness_mm",
    "files": "name sha256",
    "usage": "sheets boards sheets_used boards_used",
    "pieces": "id part hand copy share n_shares cut_from material thickness_mm faces grain "
    "grain_deg turning small_angle_deg hole_use ends net shape note timing",
    "pieces.shape": "outline holes marks",
    "pieces.shape.outline": "points curves",
    "pieces.shape.outline.curves": CURVE,
    "rail_pieces": "id part hand copy share n_shares material thickness_mm width_mm length_mm "
    "from_mm to_mm ends note",
    "rail_pieces.ends": "kind joint line overlap_mm planed",
}
CHECK_KEYS = {
    "": "format version job usable kerf_mm gap_mm parts rails sheets boards findings assumed "
    "not_understood",
    "parts": "name material thickness_mm length_mm width_mm area_mm2 holes count hand pieces grain "
    "turn cut_from joint allowance_mm",
    "rails": "name material thickness_mm width_mm length_mm hand pieces",
    "sheets": "name material thickness_mm length_mm width_mm count price",
    "boards": "name material thickness_mm width_mm lengths",
    "boards.lengths": "length_mm count price",
    "not_understood": "parts rails sheets boards",
}


def keys_at(document: object, path: str) -> set[str]:
    """All keys of the objects at a path; a list is looked through, ``*`` stands for any key."""
    if isinstance(document, list):
        return set().union(*(keys_at(item, path) for item in document))
    if not isinstance(document, dict):
        return set()
    if not path:
        return set(document)
    first, _, rest = path.partition(".")
    if first == "*":
        return keys_at(list(document.values()), rest)
    return keys_at(document[first], rest) if first in document else set()


def missing(document: object, agreed: dict[str, str]) -> dict[str, set[str]]:
    """Return agreed keys that no object at their path has."""
    gone = {path: set(keys.split()) - keys_at(document, path) for path, keys in agreed.items()}
    return {path: keys for path, keys in gone.items() if keys}


def test_heads_and_keys_of_results_stay(tmp_path: Path) -> None:
    documents = []
    for demo, area in (("beach-boat", "m2"), ("punt", "ft2")):
        out = tmp_path / demo
        nestcut.write_papers(demo_on_shelves(demo), out)
        for name, head in HEADS.items():
            with (out / name).open(encoding="utf-8-sig") as file:
                columns = file.readline().rstrip("\n").split(",")
            agreed = head.format(area).split(",")
            assert columns == agreed, name
        documents.append(json.loads((out / "plan.json").read_text(encoding="utf-8")))
    assert missing(documents, KEYS) == {}


def test_keys_of_check_stay(capsys: pytest.CaptureFixture[str]) -> None:
    assert _run(["check", str(PARTS / "punt" / "job.toml"), "--json"]) == 0
    assert missing(json.loads(capsys.readouterr().out), CHECK_KEYS) == {}


def test_keys_of_verify_stay(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "job.toml").write_text(JOB, encoding="utf-8")
    words = ["plan", str(tmp_path / "job.toml"), "--effort", "quick", "--out", str(tmp_path / "o")]
    assert _run([*words, "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert missing(said, {"": KEYS[""].replace("files ", "")}) == {}

    assert _run(["verify", str(tmp_path / "o"), "--json"]) == 0
    assert set(json.loads(capsys.readouterr().out)) >= {"verified", "checks", "findings"}


JOB = f"""{PLY_TO_BUY}[[part]]
name = "shelf"
thickness = "6 mm"
shape = {{ kind = "rectangle", length = "300 mm", width = "200 mm" }}
"""
