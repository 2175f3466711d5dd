"""Arithmetic of joints: lengths, angles, what an overlap costs.

Pure functions of a few numbers, each with the source of its formula.  Which joint goes where is
not decided here (rules: :mod:`nestcut.joints.rules`).  Lengths in mm, slopes as run per unit of
thickness (8 for "8:1").

Which dimension a scarf is cut through: a rail's ``thickness_mm``, the direction in which its
laps are planed; a sheet's thickness.
"""

from __future__ import annotations

import math

from nestcut.trade import joints


def plank_stagger_mm(frame_spaces: int, frame_space_mm: float | None) -> float:
    """Least distance between butts of adjacent planks. [mm]

    Parameters
    ----------
    frame_spaces
        How many frame spaces lie between them; 3 is asked for.
    frame_space_mm
        Distance of the frames; None where they are spaced oddly: 5 ft whatever their number. [mm]

    References
    ----------
    .. [1] US Army TB 55-1900-201-45/1, para 2-13.
    """
    return (
        joints.STAGGER_ODD_FRAMES_MM.value
        if frame_space_mm is None
        else frame_spaces * frame_space_mm
    )


def scarf_length_mm(thickness_mm: float, slope: float) -> float:
    """Length of a plain scarf along the part: what two pieces share. [mm]

    Parameters
    ----------
    thickness_mm
        Thickness in the direction the scarf is planed. [mm], > 0
    slope
        Run per unit of thickness. [-], > 0

    Raises
    ------
    ValueError
        If either is not positive.

    References
    ----------
    .. [1] Geometry: a slope of 1 in s through a thickness t runs s t.
    """
    if not (thickness_mm > 0.0 and slope > 0.0):
        raise ValueError(f"a scarf needs a thickness and a slope, got {thickness_mm} and {slope}")
    return thickness_mm * slope


def scarf_angle_deg(slope: float) -> float:
    """Angle between the planed slope and the face: atan(1 / slope). [deg]"""
    if slope <= 0.0:
        raise ValueError(f"a slope is positive, got {slope}")
    return math.degrees(math.atan(1.0 / slope))


def joined_length_mm(stock_mm: float, n_pieces: int, overlap_mm: float) -> float:
    """Length of ``n_pieces`` stock lengths joined end to end: n b - (n - 1) o. [mm]

    Parameters
    ----------
    stock_mm
        Length of each. [mm]
    n_pieces
        How many, one or more.
    overlap_mm
        What neighbours share. [mm]

    Raises
    ------
    ValueError
        If there are fewer than one.
    """
    if n_pieces < 1:
        raise ValueError(f"nothing is joined from {n_pieces} pieces")
    return n_pieces * stock_mm - (n_pieces - 1) * overlap_mm


def equal_positions_mm(length_mm: float, n_pieces: int) -> tuple[float, ...]:
    """Middles of the overlaps when a part is divided into equal stretches. [mm]

    End pieces carry one overlap and inner ones two, so inner pieces are half an overlap longer.
    """
    return tuple(length_mm * k / n_pieces for k in range(1, n_pieces))


def strap_width_mm(thickness_mm: float, thicknesses: float) -> float:
    """Width of a butt strap across the joint, both sides together. [mm]"""
    if not (thickness_mm > 0.0 and thicknesses > 0.0):
        raise ValueError(f"a strap needs a width, got {thicknesses} x {thickness_mm} mm")
    return thickness_mm * thicknesses


def clear_distance_mm(at_mm: float, overlap_mm: float, from_mm: float, to_mm: float) -> float:
    """Distance from a joint's overlap to a stretch; negative: by how much they share. [mm]

    Parameters
    ----------
    at_mm
        Middle of the joint, along the part. [mm]
    overlap_mm
        Length of its overlap. [mm]
    from_mm, to_mm
        Ends of the stretch. [mm]
    """
    return max(
        from_mm - (at_mm + overlap_mm / 2.0),
        (at_mm - overlap_mm / 2.0) - to_mm,
    )
