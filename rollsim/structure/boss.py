"""Bosses of rivets beside the bars: where they stand, their section."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from rollsim.case.materials import Material
from rollsim.case.schema_closures import BESIDE
from rollsim.structure.sections import Section, tube_section
from rollsim.units import MM


@dataclass(frozen=True)
class Bosses:
    """Round bosses or distance pieces, all alike, each in place of the bar of its gap.

    Fields: gaps, numbers of the bars that they stand in place of (count from 0, in the order of the
    rivets); section, a tube round the rivet; bore m; material; separate (True: a distance piece
    between both rings, pressed by them only; False: one piece with the base ring); bedding N/m3 of
    its faces.
    """

    gaps: tuple[int, ...]
    section: Section
    bore: float
    material: Material
    separate: bool
    bedding: float


def boss_gaps(count: int, rollers: int, first: int = 0) -> tuple[int, ...]:
    """Gaps between rollers that are nearest to evenly spaced places.

    A rivet from ring to ring passes the rollers over their whole length, so it has room between two
    of them only; rivet k stands in gap first + round(k Z / n), halves rounded down.

    Parameters
    ----------
    count : int
        Number of rivets n, at most Z.
    rollers : int
        Number of rollers Z.
    first : int
        Gap of the first rivet (count from 0).

    Returns
    -------
    tuple of int
        Count from 0, in the sense of positive rotation.

    Examples
    --------
    >>> boss_gaps(6, 18)
    (0, 3, 6, 9, 12, 15)
    >>> boss_gaps(10, 18)
    (0, 2, 4, 5, 7, 9, 11, 13, 14, 16)
    >>> boss_gaps(4, 18, first=16)
    (16, 2, 7, 11)
    """
    # Whole numbers: rounding of fractions must not depend on the machine.
    steps = ((2 * k * rollers + count - 1) // (2 * count) for k in range(count))
    return tuple((first + step) % rollers for step in steps)


def bosses_of(case: Any, bedding: Any) -> Bosses | None:
    """Bosses of a case; None where no rivet stands beside the bars.

    Parameters
    ----------
    case : Case
        A valid case.
    bedding : callable
        Modulus in Pa, thickness of the ring in m, width of the face in m -> N/m3.

    Returns
    -------
    Bosses or None
    """
    closure = case.cage.closure
    if getattr(closure, "position", "") != BESIDE:
        return None
    outside, bore = closure.boss_diameter_mm * MM, closure.diameter_mm * MM
    material = case.materials[closure.boss_material or case.cage.material]
    return Bosses(
        boss_gaps(closure.count, case.roller.count, closure.first_gap - 1),
        tube_section(outside, bore),
        bore,
        material,
        closure.boss_joint == "separate",
        bedding(material.youngs_modulus, case.cage.cover_thickness_mm * MM, outside),
    )
