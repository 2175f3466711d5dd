"""Weights and amounts of coating: estimates, printed with where their figures come from."""

from __future__ import annotations

import math
from dataclasses import dataclass

from nestcut.geometry.polygons import to_polygon
from nestcut.reports.figures import L_PER_US_GALLON, MM2_PER_FT2
from nestcut.reports.rows import PlanView

DENSITY_SOURCE = (
    "air-dry densities, engineeringtoolbox.com 'Wood - densities'; okoume ply 500 kg/m³ ± 50: "
    "boat designers' forum figures"
)
"""Printed beside every weight."""

DENSITIES_KG_M3: tuple[tuple[tuple[str, ...], float], ...] = (
    (("okoume", "gaboon", "okume"), 500.0),
    (("douglas", "fir"), 530.0),
    (("lauan",), 590.0),
    (("meranti",), 710.0),
    (("sapele", "sapelli"), 640.0),
    (("red cedar", "cedar"), 380.0),
    (("spruce",), 450.0),
)
"""Words in a material's name and the density that goes with them, first match wins. [kg/m3]"""

EPOXY_SOURCE = (
    "3 coats on bare wood: first coat 200-300 ft² per US gallon (common practice, no source), the "
    "next two 320-535 ft² per gallon (film of 3-5 mil, arithmetic)"
)
PAINT_SOURCE = "2 coats, 320-400 ft² per US gallon and coat (a chandler's table)"

_FIRST_COAT_FT2_PER_GALLON = (200.0, 300.0)
_NEXT_COATS_FT2_PER_GALLON = (320.0, 535.0)
_PAINT_FT2_PER_GALLON = (320.0, 400.0)


@dataclass(frozen=True, slots=True)
class WeightLine:
    """Weight of all pieces of one material and thickness; None where no density is known."""

    material: str
    thickness_mm: float
    kilograms: float | None


@dataclass(frozen=True, slots=True)
class Amounts:
    """Weights, the area to coat (both faces and the edges) and what covers it, as ranges."""

    weights: tuple[WeightLine, ...]
    coat_mm2: float
    epoxy_litres: tuple[float, float]
    paint_litres: tuple[float, float]

    @property
    def is_all_known(self) -> bool:
        """Whether a density is known of every material."""
        return all(w.kilograms is not None for w in self.weights)

    @property
    def kilograms(self) -> float:
        """Weight of all whose density is known. [kg]"""
        return math.fsum(w.kilograms for w in self.weights if w.kilograms is not None)


def density_kg_m3(material: str) -> float | None:
    """Density by the words in a material's name; None if no figure is at hand. [kg/m3]"""
    name = material.lower()
    for words, density in DENSITIES_KG_M3:
        if any(word in name for word in words):
            return density
    return None


def amounts_of(view: PlanView) -> Amounts:
    """Weigh the pieces without allowances; scarf overlaps count twice, so it's a little high."""
    volumes: dict[tuple[str, float], list[float]] = {}
    faces: list[float] = []
    for piece in view.verified.plan.pieces:
        polygon = to_polygon(piece.net)
        volumes.setdefault((piece.material, piece.thickness_mm), []).append(
            float(polygon.area) * piece.thickness_mm
        )
        faces.append(2.0 * float(polygon.area) + float(polygon.length) * piece.thickness_mm)
    for rail in view.verified.plan.rail_pieces:
        volumes.setdefault((rail.material, rail.thickness_mm), []).append(
            rail.length_mm * rail.width_mm * rail.thickness_mm
        )
        around = 2.0 * (rail.width_mm + rail.thickness_mm)
        faces.append(rail.length_mm * around + 2.0 * rail.width_mm * rail.thickness_mm)
    weights = []
    for (material, thickness), mm3 in sorted(volumes.items()):
        density = density_kg_m3(material)
        weight = None if density is None else math.fsum(mm3) * 1e-9 * density
        weights.append(WeightLine(material, thickness, weight))
    area = math.fsum(faces)
    return Amounts(tuple(weights), area, _epoxy_litres(area), _paint_litres(area))


def _epoxy_litres(area_mm2: float) -> tuple[float, float]:
    square_feet = area_mm2 / MM2_PER_FT2
    few, much = (
        square_feet / _FIRST_COAT_FT2_PER_GALLON[k]
        + 2.0 * square_feet / _NEXT_COATS_FT2_PER_GALLON[k]
        for k in (1, 0)
    )
    return few * L_PER_US_GALLON, much * L_PER_US_GALLON


def _paint_litres(area_mm2: float) -> tuple[float, float]:
    square_feet = area_mm2 / MM2_PER_FT2
    few, much = (2.0 * square_feet / _PAINT_FT2_PER_GALLON[k] for k in (1, 0))
    return few * L_PER_US_GALLON, much * L_PER_US_GALLON
