"""Weights and amounts of coating: estimates, printed with where their figures come from."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from nestcut.geometry.polygons import to_polygon
from nestcut.papers.view import L_PER_US_GALLON, MM2_PER_FT2, PlanView
from nestcut.units import LengthStyle


@dataclass(frozen=True, slots=True)
class Density:
    """Least and greatest usual density of a wood, air dry, and where it's from. [kg/m3]"""

    words: tuple[str, ...]
    low: float
    high: float
    source: str


_TABLE = "engineeringtoolbox.com, wood densities, air dry"
_PLY = "figures of boat designers on boatdesign.net, marine plywood density"
_MEMORY = "from memory, not looked up"

DENSITIES: tuple[Density, ...] = (
    Density(("okoume", "gaboon", "okume"), 450.0, 550.0, _PLY),
    Density(("douglas", "fir"), 530.0, 530.0, _TABLE),
    Density(("lauan",), 590.0, 590.0, _TABLE),
    Density(("meranti",), 710.0, 710.0, _TABLE),
    Density(("sapele", "sapelli"), 640.0, 640.0, _TABLE),
    Density(("mahogany",), 500.0, 850.0, _TABLE),
    Density(("cedar",), 380.0, 380.0, _TABLE),
    Density(("spruce",), 450.0, 450.0, _TABLE),
    Density(("larch",), 550.0, 600.0, _MEMORY),
    Density(("pine",), 480.0, 550.0, _MEMORY),
    Density(("ply", "plywood"), 500.0, 750.0, _PLY),
)
"""First match of a whole word in a material's name wins; plywood of no named wood has the widest
range."""

EPOXY_SOURCE = {
    LengthStyle.INCH: "3 coats on bare wood: first coat 200-300 ft² per US gallon (common "
    "practice, no source), the next two 320-535 ft² per gallon (film of 3-5 mil, arithmetic)",
    LengthStyle.MM: "3 coats on bare wood: first coat 5-7 m² per litre (common practice, "
    "no source), the next two 8-13 m² per litre (film of 0.08-0.13 mm, arithmetic)",
}
PAINT_SOURCE = {
    LengthStyle.INCH: "2 coats, 320-400 ft² per US gallon and coat (a chandler's table)",
    LengthStyle.MM: "2 coats, 8-10 m² per litre and coat (a chandler's table)",
}
"""Where the figures are from, in both units; 100 ft2 per US gallon are 2.454 m2 per litre."""

_FIRST_COAT_FT2_PER_GALLON = (200.0, 300.0)
_NEXT_COATS_FT2_PER_GALLON = (320.0, 535.0)
_PAINT_FT2_PER_GALLON = (320.0, 400.0)


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


def density_of(material: str) -> Density | None:
    """Density by the words in a material's name; None if no figure is at hand."""
    words = set(re.findall(r"[^\W\d_]+", material.lower()))
    return next((d for d in DENSITIES if words & set(d.words)), None)


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
        cubic_metres = math.fsum(mm3) * 1e-9
        weight = (cubic_metres * density.low, cubic_metres * density.high)
        weights.append(WeightLine(material, thickness, weight, density.source))
    area = math.fsum(faces)
    return Amounts(
        tuple(weights), math.fsum(one_face), area, _epoxy_litres(area), _paint_litres(area)
    )


def _epoxy_litres(area_mm2: float) -> Range:
    square_feet = area_mm2 / MM2_PER_FT2
    few, much = (
        square_feet / _FIRST_COAT_FT2_PER_GALLON[k]
        + 2.0 * square_feet / _NEXT_COATS_FT2_PER_GALLON[k]
        for k in (1, 0)
    )
    return few * L_PER_US_GALLON, much * L_PER_US_GALLON


def _paint_litres(area_mm2: float) -> Range:
    square_feet = area_mm2 / MM2_PER_FT2
    few, much = (2.0 * square_feet / _PAINT_FT2_PER_GALLON[k] for k in (1, 0))
    return few * L_PER_US_GALLON, much * L_PER_US_GALLON
