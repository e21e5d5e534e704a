"""Sizes of bearing and cage that the sketches and the motion player draw, in mm."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from rollsim.case.pocket_sides import pocket_half_angle
from rollsim.units import DEG, UM

#: Exaggerations that a reader can keep in mind.
_ROUND = (1.0, 2.0, 3.0, 5.0, 8.0, 10.0, 15.0, 20.0, 30.0, 50.0)
#: Share of a bar's width that clearances drawn too large must leave.
_LEFT_OF_BAR = 0.35


@dataclass(frozen=True)
class Shapes:
    """Radii and gaps in mm.

    Fields: count; roller, pitch (radii); outer, inner (outside of the outer ring, bore); gap (of a
    roller at each raceway when all is centred); cage_out, cage_in (radii); pocket_gap (at each side
    of a centred roller); land_gap (radial, 0 without a land); guidance; extra, shift (mm a pocket:
    half clearance beyond the others, place along the pitch circle); exaggeration (default).
    """

    count: int
    roller: float
    pitch: float
    outer: float
    inner: float
    gap: float
    cage_out: float
    cage_in: float
    pocket_gap: float
    land_gap: float
    guidance: str
    extra: tuple[float, ...]
    shift: tuple[float, ...]
    exaggeration: float

    def plain(self) -> dict[str, Any]:
        """The same as plain data, for the player."""
        return asdict(self)


def shapes_of(history: Any) -> Shapes:
    """Sizes of the bearing of a history.

    Parameters
    ----------
    history : History
        Opened history.

    Returns
    -------
    Shapes
    """
    case = history.case
    bearing, cage, play = case.bearing, case.cage, case.clearance
    guided = cage.guidance != "roller" and play.guidance_um is not None
    extra, shift = (
        tuple(float(1e3 * v) for v in np.atleast_1d(history.attributes.get(name, 0.0)))
        for name in ("pocket_extra_clearance_m", "pocket_shift_m")
    )
    count = case.roller.count
    return Shapes(
        count=count,
        roller=0.5 * case.roller.diameter_mm,
        pitch=0.5 * bearing.pitch_diameter_mm,
        outer=0.5 * bearing.outside_diameter_mm,
        inner=0.5 * bearing.bore_mm,
        gap=0.25e-3 * case.clearance.radial_um,
        cage_out=0.5 * cage.outer_diameter_mm,
        cage_in=0.5 * cage.inner_diameter_mm,
        pocket_gap=0.5e-3 * play.pocket_um,
        land_gap=0.5e-3 * play.guidance_um if guided else 0.0,
        guidance=cage.guidance,
        extra=extra if len(extra) == count else (0.0,) * count,
        shift=shift if len(shift) == count else (0.0,) * count,
        exaggeration=_exaggeration(case),
    )


def _exaggeration(case: Any) -> float:
    """Largest round factor on all clearances that leaves the bars visible."""
    half_width = 0.5 * case.roller.diameter_mm + 0.5e-3 * case.clearance.pocket_um
    pitch = 0.5 * case.bearing.pitch_diameter_mm
    bar = 2.0 * (np.pi * pitch / case.roller.count - half_width)
    room = (1.0 - _LEFT_OF_BAR) * bar / (UM * case.clearance.pocket_um * 1e3)
    return max((step for step in _ROUND if step <= 1.0 + room), default=1.0)


def pocket_edges(case: Any, radii: np.ndarray) -> np.ndarray:
    """Half angle that a pocket cuts out of circles about the bearing axis.

    Parameters
    ----------
    case : Case
        The case.
    radii : ndarray, mm
        Radii of the circles.

    Returns
    -------
    ndarray, rad
    """
    cage = case.cage
    width = case.roller.diameter_mm + 1e-3 * case.clearance.pocket_um
    contour = cage.pocket_contour_radius_mm
    return pocket_half_angle(
        radii,
        0.5 * case.bearing.pitch_diameter_mm,
        width,
        DEG * (cage.pocket_side_angle_deg or 0.0),
        np.inf if contour is None else contour,
    )
