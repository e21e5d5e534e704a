"""What has to be said with a fatigue verdict: warnings, limits of validity, assumptions."""

from __future__ import annotations

from typing import Any

from rollsim.fatigue.endurance import surface_factor
from rollsim.fatigue.loads import Span
from rollsim.fatigue.sn_curve import STRENGTH_SCATTER
from rollsim.structure.cover_parts import END_FLEXIBILITY
from rollsim.structure.hot_spots import HEAD_RATIO, POCKET_FILLET
from rollsim.units import MM

#: Evaluated time below which a warning is given: some ten turns of a cage at 1800 rev/min.
SHORT_S = 1.0


def warnings_for(history, case: Any, span: Span) -> tuple[str, ...]:
    """What a reader must know before the verdict.

    Parameters
    ----------
    history : History
        Opened history.
    case : Case
        Its case.
    span : Span
        Evaluated part.

    Returns
    -------
    tuple of str
    """
    found = []
    if str(history.attributes.get("motion", case.solver.motion)) == "planar":
        found.append(
            "PLANAR RUN: no axial force of the rollers was computed. The closures see the forces"
            " on the bars only; axial forces on the cover, which load closures most, are MISSING."
            " This verdict says nothing about them."
        )
    elif span.largest_cover <= 0.0:
        found.append("No roller touched the cover: the closures saw forces on the bars only.")
    if span.duration < SHORT_S:
        found.append(
            f"SHORT HISTORY: {span.duration:.3g} s stand for {case.fatigue.target_life_h:g} h of"
            " service. Rare strong impacts are not in it."
        )
    return tuple(found)


def limits_of(case: Any) -> tuple[str, ...]:
    """Limits of validity.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    tuple of str
    """
    limits = [
        "First beam model of the cage: rigid base ring, bars built into it, cover as a ring of"
        " beams, interface without friction that carries pressure only; section forces of such a"
        " model can be off by a quarter and more.",
        "Responses to single forces are added up although the interface opens and closes with"
        " their mixture.",
        "Quasi-static: inertia and vibration of the cage itself are left out; pulses of a"
        " millisecond and less can be wrong by half and more either way.",
        "Largest forces of each sampling interval are taken together as if they acted at one"
        " instant (safe side); two impacts of one face within one interval count as one.",
        "Normal stress times notch factor counts cycles, full notch sensitivity; shear enters the"
        " comparison with yield only; fretting, corrosion and temperature are left out.",
        "The evaluated time is repeated for the whole life; the interval is the spread over its"
        " blocks, not a confidence interval over runs or seeds.",
    ]
    if case.fatigue.load_share < 1.0:
        limits.append("The rest of the service time is taken as free of damage.")
    if case.cage.closure.preload_N > 0.0:
        limits.append(
            "Preload is added as a constant stress; no credit is taken for the joint that it"
            " keeps closed."
        )
    return tuple(limits)


def assumptions_made(case: Any) -> tuple[str, ...]:
    """Values that this evaluation used without being given them.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    tuple of str
    """
    kind = case.cage.closure.kind
    made = [
        f"scatter of fatigue strength: log-normal, standard deviation {STRENGTH_SCATTER:g} of the"
        " natural logarithm (value from memory)",
        "mean stress after Goodman, no credit for compression; damage sum after Miner, failure"
        " at 1",
        f"fillet in the pocket corners {POCKET_FILLET / MM:g} mm (common practice, no source)",
    ]
    if kind != "one_piece":
        made.append(
            f"flexible length of each closure end {END_FLEXIBILITY:g} of its thickness (frames"
            " agree with solid models for 0.25-0.5)"
        )
    if kind == "steel_rivet":
        made.append(f"rivet head {HEAD_RATIO:g} shank diameters (common practice, no source)")
        made.append(_surface_line(case))
    return tuple(made)


def _surface_line(case: Any) -> str:
    """Surface factor of the case beside the one of a textbook for the rivet's steel."""
    ultimate = case.materials[case.cage.closure.material].ultimate_MPa
    expected = surface_factor(ultimate, "machined")
    return (
        f"surface factor {case.fatigue.surface_factor:g} as in the case (Shigley gives"
        f" {expected:.2f} for machined steel of {ultimate:g} MPa)"
    )
