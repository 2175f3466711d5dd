"""What ``again`` calls sheets and boards: as the papers do, on which curved pieces' boards move."""

from __future__ import annotations

from nestcut.cli.verbs.again import _Pages
from nestcut.door.again import Source


def test_pages_are_called_as_they_are_printed() -> None:
    was = _Pages({("sheet", 1): "Sheet 1", ("sheet", 2): "Board 2", ("board", 1): "Board 1"})
    now = _Pages({**was.names, ("sheet", 2): "Board 3", ("board", 2): "Board 2"})
    assert was.at("sheet", 2) == "board 2"
    assert now.at("sheet", 2) == "board 3"
    assert now.at("board", 0) == "nowhere"
    both = _Pages({("sheet", 2): "Board 1", ("board", 1): "Board 1"})
    assert both.all_at([(Source.SHEET, 2), (Source.BOARD, 1)]) == "board 1"
