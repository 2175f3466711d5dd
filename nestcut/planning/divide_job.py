"""All parts of a job divided: whole ones, given joints, and joints chosen with the stock.

Parts with free joints are taken group by group: those cut from the same material and thickness
share their sheets (or boards) with everything else of it, so they are chosen together.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from nestcut.boards import JointPreference
from nestcut.errors import blocking
from nestcut.facts import Fact, Length, fact
from nestcut.geometry.usable import beds_mm
from nestcut.joints.candidates import offer_more, offer_positions
from nestcut.joints.curved.offer import offer_band_positions
from nestcut.joints.curved.places import Plank
from nestcut.joints.offers import Offer
from nestcut.model.job import CuttingRules, Job
from nestcut.model.part import CutFrom, SheetPart
from nestcut.model.piece import SheetPiece
from nestcut.model.plan import StopReason
from nestcut.model.progress import Phase, Progress
from nestcut.model.stock import SheetStock, Usable
from nestcut.planning.free_joints import Extend, choose_joints, unsplittable
from nestcut.planning.joints_told import Prices, choice_told, only_way
from nestcut.planning.more_joints import least_cost_of_area
from nestcut.planning.pieces import Pieces, divide, gather
from nestcut.planning.sawn.as_sheets import boards_as_sheets
from nestcut.planning.trials import Worth, nest_trial
from nestcut.search.settings import Deadline, Settings, Watcher
from nestcut.search.work import WORK
from nestcut.sheets.timing import Share
from nestcut.tolerances import SAME_LENGTH_MM
from nestcut.trade.joints import JOINT_WORTH_SHARE

TIME_SHARE = 0.3
"""Share of the time that may go into choosing joints, where time is limited. [-]"""

Group = tuple[CutFrom, str, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """Joints where they suit the stock against equal stretches, by the same trials."""

    group: Fact
    chosen: Worth
    equal: Worth | None


@dataclass(frozen=True, slots=True, kw_only=True)
class DividedJob:
    """What dividing all parts comes to.

    Parameters
    ----------
    made
        Every flat piece, in the order of the job's parts; findings included, blocking ones too.
    stopped_by
        Why no more positions were tried.
    comparisons
        Against equal stretches, group by group.
    """

    made: Pieces
    stopped_by: StopReason = StopReason.WORK_DONE
    comparisons: tuple[Comparison, ...] = ()


def divide_parts(
    job: Job,
    settings: Settings,
    deadline: Deadline,
    watcher: Watcher,
    preference: JointPreference,
) -> DividedJob:
    """Divide all parts of a job; free joints are chosen by laying out sheets with them."""
    made = {p.name: _given(p) for p in job.sheet_parts if not is_free(p)}
    at = {p.name: p.joint.at_mm for p in job.sheet_parts if p.joint and p.joint.at_mm}
    findings = [f for m in made.values() for f in m.findings]
    comparisons: list[Comparison] = []
    notes: list[Fact] = []
    work = WORK[settings.effort]
    whole = Share(deadline, TIME_SHARE * deadline.remaining_s())
    groups = _groups(job)
    for place, group in enumerate(groups):
        share = Share(whole, whole.remaining_s() / (len(groups) - place))
        parts = [p for p in job.sheet_parts if _group(p) == group]
        free = [p for p in parts if is_free(p)]
        stocks = _stocks(job, group)
        offers = tuple(_offer(p, job, stocks) for p in free)
        if unsplittable(offers) or blocking(findings):
            findings += unsplittable(offers)
            continue
        if all(len(o.choices) == 1 for o in offers):
            for offer in offers:
                made[offer.part.name] = divide(
                    offer.part, offer.choices[0].at_mm, offer.choices[0].twin_at_mm
                )
                at[offer.part.name] = offer.choices[0].at_mm
                notes += only_way(offer, Prices.KNOWN)
            continue
        watcher.tell(Progress(phase=Phase.JOINTS, subject=tuple(p.name for p in free)))
        others = tuple(p for part in parts if part.name in made for p in made[part.name].pieces)
        rules = replace(job.cutting, reserve_mm=None)
        chosen = choose_joints(
            offers,
            others,
            nest_trial(stocks, rules, settings.seed, 0, share),
            _preference(group, preference),
            work.joint_trials,
            share,
            closer=nest_trial(stocks, rules, settings.seed, work.joint_passes, share),
            given_mm={name: places for name, places in at.items() if places},
            joint_worth_minor=_joint_worth(stocks),
            extend=_extend(offers, others, stocks, job.cutting),
        )
        for (name, choice), pieces in zip(chosen.choices, chosen.made, strict=True):
            made[name] = pieces
            at[name] = (*choice.at_mm, *(choice.twin_at_mm or ()))
        label = fact("JNT-312", material=group[1], thickness=Length(group[2]))
        comparisons.append(Comparison(group=label, chosen=chosen.worth, equal=chosen.equal_worth))
        priced = all(s.price_minor > 0 for s in stocks if s.is_to_buy)
        notes += choice_told(chosen, label, Prices.KNOWN if priced else Prices.UNKNOWN)
    every = gather([made[p.name] for p in job.sheet_parts if p.name in made])
    told = {id(f) for f in every.findings}
    more = tuple(f for f in findings if id(f) not in told)
    return DividedJob(
        made=replace(every, findings=(*every.findings, *more), notes=(*every.notes, *notes)),
        stopped_by=whole.stop_reason() or StopReason.WORK_DONE,
        comparisons=tuple(comparisons),
    )


def _extend(
    offers: tuple[Offer, ...],
    others: tuple[SheetPiece, ...],
    stocks: tuple[SheetStock, ...],
    cutting: CuttingRules,
) -> Extend:
    """Return what offers more joints, as many as the rules allow, unless they can't pay."""

    def extend(best: Worth) -> tuple[Offer, ...] | None:
        parts = [o.part for o in offers]
        if best.n_unplaced == 0 and best.cost_minor <= least_cost_of_area(
            parts, others, stocks, replace(cutting, reserve_mm=None)
        ):
            return None
        more = tuple(offer_more(o, stocks) for o in offers)
        return (
            more
            if any(len(m.choices) > len(o.choices) for m, o in zip(more, offers, strict=True))
            else None
        )

    return extend


def _preference(group: Group, preference: JointPreference) -> JointPreference:
    """Return what weighs more in a group; curves sawn from boards are kept long unless money rules.

    A cap in fewer pieces is stronger and fairer, so fewest pieces come first there.
    """
    if group[0] is CutFrom.BOARD and preference is not JointPreference.CHEAPEST:
        return JointPreference.FEWEST
    return preference


def is_free(part: SheetPart) -> bool:
    """Whether a part's joints are left to the search."""
    return part.joint is not None and part.joint.at_mm is None


def _given(part: SheetPart) -> Pieces:
    return divide(part, () if part.joint is None else part.joint.at_mm or ())


def _group(part: SheetPart) -> Group:
    return part.cut_from, part.material, part.thickness_mm


def _groups(job: Job) -> list[Group]:
    """Return the groups that hold a part with free joints, in the order of the job."""
    return list(dict.fromkeys(_group(p) for p in job.sheet_parts if is_free(p)))


def _stocks(job: Job, group: Group) -> tuple[SheetStock, ...]:
    cut_from, material, thickness = group
    stocks = job.sheet_stocks if cut_from is CutFrom.SHEET else boards_as_sheets(job.board_stocks)
    return tuple(
        s
        for s in stocks
        if s.material == material and abs(s.thickness_mm - thickness) < SAME_LENGTH_MM
    )


def _offer(part: SheetPart, job: Job, stocks: tuple[SheetStock, ...]) -> Offer:
    """Return the positions that come into question for a part."""
    if part.width_along_mm is None:
        return offer_positions(part, stocks)
    return offer_band_positions(part, planks_of(part, job, stocks))


def planks_of(part: SheetPart, job: Job, stocks: tuple[SheetStock, ...]) -> tuple[Plank, ...]:
    """Return the usable sizes that pieces of a band may be cut from.

    Parameters
    ----------
    stocks
        Sheets that a part from sheets may be cut from.
    """
    if part.cut_from is CutFrom.BOARD:
        return tuple(
            p
            for b in job.board_stocks
            if b.material == part.material
            and abs(b.thickness_mm - part.thickness_mm) < SAME_LENGTH_MM
            for offer in b.lengths
            for p in _planks(b.name, b.usable(offer), offer.price_minor)
        )
    return tuple(p for s in stocks for p in _planks(s.name, s.usable, s.price_minor))


def _planks(name: str, usable: Usable, price_minor: int) -> tuple[Plank, ...]:
    """Its beds, each for its share of the price."""
    beds = beds_mm(usable)
    whole = sum(length * width for length, width in beds)
    return tuple(
        Plank(
            name=name,
            length_mm=length,
            width_mm=width,
            price_minor=price_minor * (length * width / whole),
        )
        for length, width in beds
    )


def _joint_worth(stocks: tuple[SheetStock, ...]) -> float:
    prices = [s.price_minor for s in stocks if s.is_to_buy and s.price_minor > 0]
    return JOINT_WORTH_SHARE.value * min(prices, default=0)
