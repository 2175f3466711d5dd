"""A verified plan as people see it: rows of sheets, boards, pieces and joints, named once.

Every printed number is worked out here or in ``lists`` once; no page computes its own.
"""

from nestcut.papers.view.bevels import (
    BevelView,
    angle_words,
    bevel_angles,
    bevel_label,
    bevel_letter,
    bevel_tilt,
    bevel_words,
    bevel_words_short,
    bevels_of,
    has_two_angles,
)
from nestcut.papers.view.digest import plan_digest
from nestcut.papers.view.figures import L_PER_US_GALLON, MM2_PER_FT2, Figures, per_mille, shared_out
from nestcut.papers.view.keeps import Keep, keep_words, keeps_of, turn_word
from nestcut.papers.view.name_findings import SPELLED_WORDS, spelled_names, spelling_findings
from nestcut.papers.view.piece_words import (
    CUT_WORDS,
    allowance_words,
    is_trim_line,
    joint_words,
    joint_words_angle,
    joint_words_short,
    joint_work_words,
    planing_words,
    rail_allowance_words,
    rail_angle_words,
    rail_joint_words,
    rail_name,
    rail_words,
    shown_name,
    warnings_for,
    which_one,
    which_rail,
)
from nestcut.papers.view.placed import EndView, PlacedPiece, SheetView, file_stem
from nestcut.papers.view.plan_words import (
    CAUTIONS,
    board_numbers,
    bound_words,
    count_words,
    grouped,
    many,
    search_words,
    told_findings,
)
from nestcut.papers.view.rows import (
    BlankView,
    BoardPiece,
    BoardView,
    PlanView,
    plan_view,
)
from nestcut.papers.view.seams import seam_joints
from nestcut.papers.view.sizes import SIZE_WORDS
from nestcut.papers.view.stance import Stance, centre_line, matters_to_ask, side_word, stance_of
from nestcut.papers.view.straps import strap_words
from nestcut.words.piece_names import code_of, name_in_words, share_letter

__all__ = [
    "CAUTIONS",
    "CUT_WORDS",
    "L_PER_US_GALLON",
    "MM2_PER_FT2",
    "SIZE_WORDS",
    "SPELLED_WORDS",
    "BevelView",
    "BlankView",
    "BoardPiece",
    "BoardView",
    "EndView",
    "Figures",
    "Keep",
    "PlacedPiece",
    "PlanView",
    "SheetView",
    "Stance",
    "allowance_words",
    "angle_words",
    "bevel_angles",
    "bevel_label",
    "bevel_letter",
    "bevel_tilt",
    "bevel_words",
    "bevel_words_short",
    "bevels_of",
    "board_numbers",
    "bound_words",
    "centre_line",
    "code_of",
    "count_words",
    "file_stem",
    "grouped",
    "has_two_angles",
    "is_trim_line",
    "joint_words",
    "joint_words_angle",
    "joint_words_short",
    "joint_work_words",
    "keep_words",
    "keeps_of",
    "many",
    "matters_to_ask",
    "name_in_words",
    "per_mille",
    "plan_digest",
    "plan_view",
    "planing_words",
    "rail_allowance_words",
    "rail_angle_words",
    "rail_joint_words",
    "rail_name",
    "rail_words",
    "seam_joints",
    "search_words",
    "share_letter",
    "shared_out",
    "shown_name",
    "side_word",
    "spelled_names",
    "spelling_findings",
    "stance_of",
    "strap_words",
    "told_findings",
    "turn_word",
    "warnings_for",
    "which_one",
    "which_rail",
]
