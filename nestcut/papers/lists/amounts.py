"""Weights and amounts of coating: estimates, printed with where their figures come from."""

from __future__ import annotations

import math
from dataclasses import dataclass

from nestcut.geometry.polygons import to_polygon
from nestcut.papers.view import L_PER_US_GALLON, MM2_PER_FT2, PlanView
from nestcut.trade import Span, coatings
from nestcut.trade.woods import density_of
from nestcut.units import M2_PER_MM2, M3_PER_MM3, LengthStyle


def _spans(span: Span, style: LengthStyle) -> str:
    """Say what a litre or a gallon covers; 100 ft2 per US gallon are 2.454 m2 per litre."""
    if style is LengthStyle.INCH:
        return f"{span.low:.0f}-{span.high:.0f} ft\u00b2 per US gallon"
    to_metric = MM2_PER_FT2 * M2_PER_MM2 / L_PER_US_GALLON
    return f"{span.low * to_metric:.1f}-{span.high * to_metric:.1f} m\u00b2 per litre"


def epoxy_source(style: LengthStyle) -> str:
    """Where the figures of resin are from."""
    first, later = coatings.FIRST_COAT_FT2_PER_GALLON, coatings.NEXT_COATS_FT2_PER_GALLON
    return (
        f"{coatings.EPOXY_COATS.value:g} coats on bare wood: first coat {_spans(first, style)} "
        f"({first.source}), the next {coatings.EPOXY_COATS.value - 1:g}: {_spans(later, style)} "
        f"({later.source})"
    )


def paint_source(style: LengthStyle) -> str:
    """Where the figures of paint are from."""
    paint = coatings.PAINT_FT2_PER_GALLON
    coats = f"{coatings.PAINT_COATS.value:g} coats"
    return f"{coats}, {_spans(paint, style)} and coat ({paint.source})"


Range = tuple[float, float]
"""Least and greatest value."""


@dataclass(frozen=True, slots=True)
class WeightLine:
    """Weight of all pieces of one material and thickness; None where no density is known."""

    material: str
    thickness_mm: float
    kilograms: Range | None
    source: str = ""


@dataclass(frozen=True, slots=True)
class Amounts:
    """Weights, the area to coat and what covers it, as ranges.

    ``face_mm2`` is one face of every piece, ``coat_mm2`` both faces and all edges; resin and paint
    are for the latter.
    """

    weights: tuple[WeightLine, ...]
    face_mm2: float
    coat_mm2: float
    epoxy_litres: Range
    paint_litres: Range

    @property
    def is_all_known(self) -> bool:
        """Whether a density is known of every material."""
        return all(w.kilograms is not None for w in self.weights)

    @property
    def kilograms(self) -> Range:
        """Weight of all whose density is known, least and greatest. [kg]"""
        known = [w.kilograms for w in self.weights if w.kilograms is not None]
        return math.fsum(k[0] for k in known), math.fsum(k[1] for k in known)


def amounts_of(view: PlanView) -> Amounts:
    """Weigh the pieces without allowances; scarf overlaps count twice, so it's a little high."""
    volumes: dict[tuple[str, float], list[float]] = {}
    one_face: list[float] = []
    faces: list[float] = []
    for piece in view.verified.plan.pieces:
        polygon = to_polygon(piece.net)
        volumes.setdefault((piece.material, piece.thickness_mm), []).append(
            float(polygon.area) * piece.thickness_mm
        )
        one_face.append(float(polygon.area))
        faces.append(2.0 * float(polygon.area) + float(polygon.length) * piece.thickness_mm)
    for rail in view.verified.plan.rail_pieces:
        volumes.setdefault((rail.material, rail.thickness_mm), []).append(
            rail.length_mm * rail.width_mm * rail.thickness_mm
        )
        one_face.append(rail.length_mm * rail.width_mm)
        around = 2.0 * (rail.width_mm + rail.thickness_mm)
        faces.append(rail.length_mm * around + 2.0 * rail.width_mm * rail.thickness_mm)
    weights = []
    for (material, thickness), mm3 in sorted(volumes.items()):
        density = density_of(material)
        if density is None:
            weights.append(WeightLine(material, thickness, None))
            continue
        cubic_metres = math.fsum(mm3) * M3_PER_MM3
        weight = (cubic_metres * density.low, cubic_metres * density.high)
        weights.append(WeightLine(material, thickness, weight, density.source))
    area = math.fsum(faces)
    return Amounts(
        tuple(weights), math.fsum(one_face), area, _epoxy_litres(area), _paint_litres(area)
    )


def _epoxy_litres(area_mm2: float) -> Range:
    square_feet = area_mm2 / MM2_PER_FT2
    first, later = coatings.FIRST_COAT_FT2_PER_GALLON, coatings.NEXT_COATS_FT2_PER_GALLON
    more = coatings.EPOXY_COATS.value - 1.0
    few = square_feet / first.high + more * square_feet / later.high
    much = square_feet / first.low + more * square_feet / later.low
    return few * L_PER_US_GALLON, much * L_PER_US_GALLON


def _paint_litres(area_mm2: float) -> Range:
    all_coats = coatings.PAINT_COATS.value * area_mm2 / MM2_PER_FT2 * L_PER_US_GALLON
    paint = coatings.PAINT_FT2_PER_GALLON
    return all_coats / paint.high, all_coats / paint.low
