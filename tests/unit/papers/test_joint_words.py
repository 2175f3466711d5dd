"""Distances of a joint in the builder's words and units."""

from __future__ import annotations

from dataclasses import replace

from nestcut.model.joint import Measured, Standing
from nestcut.papers.lists.joint_words import end_words, rule_words
from nestcut.papers.view.figures import Figures
from nestcut.units import LengthStyle
from tests.builders import a_scarfed_rail

STANDINGS = tuple(
    Standing(measured=m, what=what, has=has, limit=limit)
    for m, what, has, limit in (
        (Measured.KEEP_CLEAR, "frame 3", 177.0, 50.0),
        (Measured.KEEP_CLEAR, "rowlock", -25.4, 0.0),
        (Measured.STAGGER, "rail S1", 254.0, 508.0),
        (Measured.LEAST_PIECE, "piece A of 2", 889.0, 762.0),
        (Measured.CLEAR_WOOD, "joint 2", 254.0, 720.0),
        (Measured.MOST_JOINTS, "", 3.0, 2.0),
        (Measured.RUN_OUT, "piece A of 2", 11.25, 10.0),
    )
)


def test_every_rule_is_told_and_the_broken_ones_are_marked() -> None:
    joint = replace(a_scarfed_rail()[1], standings=STANDINGS)
    assert rule_words(joint, Figures(LengthStyle.MM, 16, "EUR")) == (
        "127 mm clear of the 100 mm kept for 'frame 3'",
        "25 mm inside 'rowlock' (BROKEN)",
        "254 mm from the joint of rail S1 (508 mm asked for) (BROKEN)",
        "piece A of 2 is 889 mm long (762 mm at least)",
        "254 mm of clear wood to the next joint (720 mm is usual)",
        "3 of 2 joints allowed (BROKEN)",
        "grain run-out, piece A of 2: 1:11.2 (no steeper than 1:10)",
    )
    inches = rule_words(joint, Figures(LengthStyle.INCH, 16, "EUR"))
    assert inches[0] == "5\" clear of the 3 15/16\" kept for 'frame 3'"
    assert "mm" not in " ".join(inches)


def test_butts_are_told_without_the_ends_of_their_pieces() -> None:
    joint = replace(
        a_scarfed_rail()[1],
        distances=(("the part's other end", 1500.0), ("the end of either piece", 0.0)),
    )
    told = end_words(joint, Figures(LengthStyle.MM, 16, "EUR"))
    assert told == ("1500 mm from the part's other end",)
