"""Ready rails and boards for the tests of this room."""

from nestcut.boards import BoardsOutcome, JointPreference, cut_boards
from nestcut.model.job import CuttingRules, Job
from nestcut.model.joint import JointRule
from nestcut.model.part import Hands, RailPart
from nestcut.model.stock import BoardLength, BoardStock, Defect
from nestcut.search.settings import Deadline, Settings, Silent


def a_rail(
    name: str = "gunwale",
    length: float = 4900.0,
    joint: JointRule | None = None,
    hands: Hands = Hands.NONE,
    section: tuple[float, float] = (20.0, 45.0),
    count: int = 1,
    allowance: float = 0.0,
) -> RailPart:
    """A larch rail of 20 x 45 mm."""
    return RailPart(
        name=name,
        material="larch",
        thickness_mm=section[0],
        width_mm=section[1],
        length_mm=length,
        joint=joint,
        hands=hands,
        count=count,
        allowance_mm=allowance,
    )


def a_board(
    *lengths: tuple[float, int],
    width: float = 45.0,
    thickness: float = 20.0,
    to_hand: tuple[float, ...] = (),
    defects: tuple[Defect, ...] = (),
    end_trim: float = 0.0,
    name: str = "board",
) -> BoardStock:
    """Larch boards: (length, price) on sale, and lengths to hand, which carry the defects."""
    return BoardStock(
        name=name,
        material="larch",
        thickness_mm=thickness,
        width_mm=width,
        lengths=(
            *(BoardLength(length_mm=n, price_minor=p) for n, p in lengths),
            *(BoardLength(length_mm=n, count=1, defects=defects) for n in to_hand),
        ),
        end_trim_mm=end_trim,
    )


def a_job(rails: tuple[RailPart, ...], boards: tuple[BoardStock, ...], kerf: float = 3.0) -> Job:
    """A job of rails only."""
    return Job(
        name="rails",
        file="",
        sha256="",
        cutting=CuttingRules(kerf_mm=kerf),
        board_stocks=boards,
        rail_parts=rails,
    )


def cut(
    job: Job,
    preference: JointPreference = JointPreference.CHEAPEST,
    deadline: Deadline | None = None,
) -> BoardsOutcome:
    """Cut a job's rails."""
    return cut_boards(
        job.rail_parts,
        job.board_stocks,
        job.cutting,
        preference,
        Settings(),
        deadline or Deadline(),
        Silent(),
    )
