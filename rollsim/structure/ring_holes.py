"""Both rings where closures pass through them: net section beside the hole, and its notch factors.

Local y of a ring points outward (r of the section), local z against the axis (t of the section).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from rollsim.structure.design import CageDesign
from rollsim.structure.hot_spots import HotSpot
from rollsim.structure.notch import hole_in_bent_plate, hole_in_tension
from rollsim.structure.sections import Section, rectangle_section

#: Hole in a strip that bends in its plane, on the stress at the edge of the hole; Peterson's Stress
#: Concentration Factors (from memory): independent of the size of the hole.
IN_PLANE = 2.0
_TAKEN = (
    "hole taken as round, empty and in the middle of the ring, on the safe side for a filled one"
)


def ring_hole_spots(design: CageDesign) -> Iterator[HotSpot]:
    """Edges of the holes: in the cover at every closure, in the base ring at every rivet.

    Parameters
    ----------
    design : CageDesign
        From `frame_design`.

    Yields
    ------
    HotSpot
        Section forces of the ring just ahead of the bar (positive rotation).
    """
    if design.one_piece:
        return
    rings = [("cover ring at holes", "ring_cover", design.cover_thickness)]
    if design.kind == "steel_rivet":
        rings.append(("base ring at holes", "ring_base", design.base_thickness))
    width, hole = design.cover.width_r, design.closure.width_r
    pull = hole_in_tension(hole, width)
    for name, place, thickness in rings:
        flat = hole_in_bent_plate(hole, width, thickness)
        yield HotSpot(
            name,
            "rings",
            place,
            design.closure_places,
            net_section(width, thickness, hole),
            design.material,
            pull.value,
            flat.value,
            IN_PLANE,
            0.0,
            "; ".join((pull.formula, flat.formula, f"bent in its plane: {IN_PLANE:g}", _TAKEN)),
        )


def net_section(width: float, thickness: float, hole: float) -> Section:
    """Section of a strip less a hole in its middle: A = (w - d) t, I = t (w^3 - d^3)/12 in plane.

    Parameters
    ----------
    width, thickness, hole : float, m
        Width w and thickness t of the strip, diameter d of the hole.

    Returns
    -------
    Section
        Its points are the edges of the hole. Torsion: that of the two strips beside the hole.

    Examples
    --------
    >>> round(net_section(10.0, 4.0, 5.0).about_t, 2)
    291.67
    """
    whole = rectangle_section(width, thickness)
    side = rectangle_section(0.5 * (width - hole), thickness)
    corners = 0.5 * np.array([[1, 1], [1, -1], [-1, -1], [-1, 1]]) * [hole, thickness]
    return replace(
        whole,
        area=2.0 * side.area,
        about_r=2.0 * side.about_r,
        about_t=thickness * (width**3 - hole**3) / 12.0,
        torsion=2.0 * side.torsion,
        points=corners,
    )
