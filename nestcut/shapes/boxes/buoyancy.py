"""Volume inside a box, and what it would bear filled with foam.

Volume of a prismatoid: h/6 (bottom + 4 middle + top), exact for walls of any slope.  Foam in water
bears the difference of the two densities (USCG Boatbuilder's Handbook, Flotation: foam of
2 lb/ft3 gives 62.4 - 2 = 60.4 lb/ft3).
"""

from __future__ import annotations

from nestcut.shapes.boxes.box import BoxSpec, inside_rectangle
from nestcut.trade.flotation import FRESH_WATER_KG_M3
from nestcut.units import M3_PER_MM3

CAUTION = (
    "An estimate, for planning only: foam soaks, cavities leak, and what a swamped boat needs is "
    "for the designer and the local rules to say."
)


def inside_volume_m3(spec: BoxSpec) -> float:
    """Clear volume between the walls, from bottom to top. [m3]"""

    def area(height: float) -> float:
        aft, fore, starboard, port = inside_rectangle(spec, height)
        return (fore - aft) * (port - starboard)

    h = spec.height_mm
    return h / 6.0 * (area(0.0) + 4.0 * area(h / 2.0) + area(h)) * M3_PER_MM3


def foam_buoyancy_kg(
    volume_m3: float, foam_kg_m3: float, water_kg_m3: float = FRESH_WATER_KG_M3.value
) -> float:
    """What a volume of foam bears under water, less its own weight. [kg]

    Parameters
    ----------
    volume_m3
        Of the foam. [m3]
    foam_kg_m3, water_kg_m3
        Densities. [kg/m3]
    """
    return volume_m3 * (water_kg_m3 - foam_kg_m3)
