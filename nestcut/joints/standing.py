"""How one joint stands to every rule that its part has: measured, whether kept or broken."""

from __future__ import annotations

import math
from collections.abc import Sequence

from nestcut.joints.arithmetic import clear_distance_mm
from nestcut.joints.rules import JoinedPart, Neighbour
from nestcut.model.joint import Measured, Standing
from nestcut.trade.joints import CLEAR_WOOD_OVERLAPS


def standings(
    part: JoinedPart,
    at_mm: Sequence[float],
    index: int,
    neighbours: Sequence[tuple[Neighbour, float]],
    run_outs: Sequence[float] = (),
) -> tuple[Standing, ...]:
    """Measure one joint of a part against all of the part's rules.

    Parameters
    ----------
    part
        The part and its rule.
    at_mm
        Middles of all joints of this copy, rising. [mm]
    index
        Which of them is meant.
    neighbours
        Whose joints must not lie abreast, each with the distance asked for. [mm]
    run_outs
        Of a band sawn from boards: the run-out of every piece; empty for other parts. [-]
    """
    at, half, rule = at_mm[index], part.overlap_mm / 2.0, part.rule
    found = [
        Standing(
            measured=Measured.KEEP_CLEAR,
            what=zone.reason,
            has=clear_distance_mm(at, part.taken_mm, zone.from_mm, zone.to_mm) + zone.half_width_mm,
            limit=zone.half_width_mm,
        )
        for zone in rule.keep_clear
    ]
    found += [
        Standing(
            measured=Measured.STAGGER,
            what=near.name,
            has=min(abs(at - x) for x in near.at_mm),
            limit=least,
        )
        for near, least in neighbours
        if near.at_mm
    ]
    starts = (-part.allowance_mm, *(x - half for x in at_mm))
    stops = (*(x + half for x in at_mm), part.length_mm + part.allowance_mm)
    lengths = [b - a for a, b in zip(starts, stops, strict=True)]
    if rule.min_piece_mm > 0.0:
        shorter = min((index, index + 1), key=lambda k: (lengths[k], k))
        found.append(
            Standing(
                measured=Measured.LEAST_PIECE,
                what=f"piece {shorter + 1} of {len(lengths)}",
                has=lengths[shorter],
                limit=rule.min_piece_mm,
            )
        )
    if index + 1 < len(at_mm):
        found.append(
            Standing(
                measured=Measured.CLEAR_WOOD,
                what=f"joint {index + 2}",
                has=at_mm[index + 1] - at - part.taken_mm,
                limit=CLEAR_WOOD_OVERLAPS.value * part.taken_mm,
            )
        )
    if rule.max_joints is not None:
        most = float(rule.max_joints)
        found.append(
            Standing(measured=Measured.MOST_JOINTS, what="", has=float(len(at_mm)), limit=most)
        )
    if run_outs and math.isfinite(min(run_outs[index], run_outs[index + 1])):
        worse = min((index, index + 1), key=lambda k: (run_outs[k], k))
        found.append(
            Standing(
                measured=Measured.RUN_OUT,
                what=f"piece {worse + 1} of {len(run_outs)}",
                has=run_outs[worse],
                limit=rule.run_out,
            )
        )
    return tuple(found)
