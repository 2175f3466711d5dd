"""What papers say of each kind of joint: its card on the joints page, what is done, what to mind.

A kind without words stops the program at its start.  Sentences may use ``{thick}``, ``{overlap}``,
``{slope}`` (``8:1``), ``{times}`` (``8``), ``{angle}``, ``{strap}``, ``{margin}`` and ``{face}``,
each as the reader's units have it.
"""

from __future__ import annotations

from dataclasses import dataclass

from nestcut.model.joint import JointKind


@dataclass(frozen=True, slots=True, kw_only=True)
class JointWords:
    """The words of one kind of joint.

    Parameters
    ----------
    head
        What its card is called; thickness and names of joints follow.
    how
        How it is made, a sentence or two each.
    verb
        What is done to a worked face: ``plane`` it, ``halve`` it; empty: none is worked.
    caution
        What must not be forgotten where it is made, one line.
    """

    head: str
    how: tuple[str, ...]
    verb: str = ""
    caution: str


_WORDS = {
    JointKind.SCARF: JointWords(
        head="Scarf {slope}",
        how=(
            "Overlap {overlap} = {slope} x {thick}, {angle} to the face; both pieces' lengths "
            "include it.",
            "On each piece draw a line one overlap in from its joint end, parallel to it, on the "
            "face named below; plane from there down to nothing at the end. Glue good faces up, "
            "as pictured: the piece planed on its back lies on the other. Right when its end lies "
            "on the other's line all across, faces level, and a string lies along both base lines "
            "(panels) or one edge (rails); curved parts as below. Try it dry first. Trim edges "
            "across the joint once the glue is hard.",
        ),
        verb="plane",
        caution="Clamp down, and stop both pieces endways with blocks: slopes slide on wet glue, "
        "and what has slid is a short boat.",
    ),
    JointKind.BUTT_STRAP: JointWords(
        head="Butt strap",
        how=(
            "{strap}{face}, its middle on the joint.",
            "1 Square both base lines round the pieces' ends and draw them on the strap's side too. "
            "2 That side up, plastic film under, ends touching all across, a string along both "
            "lines: glue, butted ends too; weight it. It ends {margin} inside the finished "
            "edges, for chine log and gunwale: if one is wider, shorten that end of the strap.",
        ),
        caution="A pair is mirrored, straps too: lay both side by side first.",
    ),
    JointKind.KEYED: JointWords(
        head="Keyed joint",
        how=(
            "The edges interlock and are cut with a router to the outline in the sheet's DXF file.",
            "Try a test piece from an offcut first: the fit depends on the bit.",
        ),
        caution="Keys alone are weaker than a scarf: sheathe or strap it as the plans say.",
    ),
    JointKind.HALF_LAP: JointWords(
        head="Half lap",
        how=(
            "Lap {overlap} = {times} x {thick}; both pieces' lengths include it.",
            "Halve each piece on the face named below, to half its thickness. Glue good faces up, "
            "as pictured: right when both ends touch the other's shoulder. Try it dry first.",
        ),
        verb="halve",
        caution="Not where a rail is bent: half the wood is cut at either shoulder.",
    ),
}

JOINT_WORDS: dict[JointKind, JointWords] = {kind: _WORDS[kind] for kind in JointKind}
"""What is said of each kind."""
