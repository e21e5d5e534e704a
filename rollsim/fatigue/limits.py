"""What has to be said with a fatigue verdict: warnings, limits of validity, assumptions."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from rollsim.analysis.settled import AssumedValue
from rollsim.fatigue.endurance import surface_factor
from rollsim.fatigue.loads import Span
from rollsim.structure.cage_axes import END_FLEXIBILITY
from rollsim.structure.design import CageDesign, bar_period
from rollsim.structure.hot_spots import HEAD_RATIO, bar_root_factors
from rollsim.units import MM

#: Evaluated time below which a warning is given: some ten turns of a cage at 1800 rev/min.
SHORT_S = 10.0
#: Reserve on load that so short a history must leave before the word is "survives".
SHORT_RESERVE = 1.5
#: Pocket fillet in m whose reserve is told beside that of an assumed one.
OTHER_FILLET = 1.0 * MM
FILLET_KEY = "cage.pocket_fillet_mm"
#: Tables of the case, and words in keys of the lubricant (friction, films), that touch the verdict.
TOUCHING_TABLES = ("cage", "clearance", "contact", "fatigue")
TOUCHING_OF_LUBRICANT = ("friction", "viscosity", "oil_fraction", "roughness", "slip_scale")


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
            " on bars and lands only; axial forces on the cover, which load closures most, are"
            " MISSING."
            " This verdict says nothing about them."
        )
    elif span.largest_cover <= 0.0:
        found.append(
            "No roller touched the cover: nothing pushed the closures along the axis but inertia."
        )
    if span.duration < SHORT_S:
        found.append(
            f"SHORT HISTORY: {span.duration:.3g} s stand for {case.fatigue.target_life_h:g} h of"
            " service. Rare strong impacts are not in it."
        )
    return tuple(found)


def limits_of(case: Any, design: CageDesign, frequencies: np.ndarray | None) -> tuple[str, ...]:
    """Limits of validity.

    Parameters
    ----------
    case : Case
        The case.
    design : CageDesign
        Numbers of its cage.
    frequencies : ndarray or None, Hz
        Natural frequencies of the shapes in which the cage vibrates; None as at rest.

    Returns
    -------
    tuple of str
    """
    limits = [
        "Beam frame of the free cage: rings, bars and closures as beams, interface of cover and bar"
        " ends without friction that carries pressure only, solved at every instant; section forces"
        " of such a model can be off by a quarter and more.",
        "Nothing holds the cage: all loads are balanced by the inertia of its rigid motion."
        " Rubbing of rollers on pocket faces and axial forces of lands are left out.",
        "A roller presses evenly along its whole bar (line load at the pitch radius): one that"
        " touches the middle alone bends the root up to 1.5 times as much, one that is skewed and"
        " presses beside the cover loads the closure up to 3 times as much and the root less.",
        _dynamics(design, frequencies),
        "A roller pushes the cover midway between two bars, on one circle.",
        "Largest forces of each sampling interval are taken together as if they acted at one"
        " instant, and the free cage answers with an acceleration it never had; mostly the safe"
        " side, but one force may ease another. Two impacts of one face within one interval count"
        " as one; a land that does not touch at the sample pushes the cage back to the middle.",
        "Bar roots: notch factors of a flat stepped bar of the mean width of a bar that in truth"
        " widens outwards; the highest local stress can be off by a quarter.",
        "Normal stress times notch factor counts cycles, full notch sensitivity; shear enters the"
        " comparison with yield only; fretting, corrosion and temperature are left out.",
        "The evaluated time is repeated for the whole life; the interval is the spread over its"
        " blocks, not a confidence interval over runs or seeds.",
    ]
    limits.append(
        "Reserve factor: on the forces of rollers and lands, on vibrations and on the centrifugal"
        " field together; the preload stays, cover and bar ends open as far as the scaled loads"
        " open them, and the motion of the run is not computed again."
    )
    if case.fatigue.load_share < 1.0:
        limits.append("The rest of the service time is taken as free of damage.")
    if case.cage.closure.kind == "steel_rivet":
        limits.append("Play of the rivets in their holes is left out.")
    return tuple(limits)


def _dynamics(design: CageDesign, frequencies: np.ndarray | None) -> str:
    """Which vibrations of the cage the stresses have."""
    if frequencies is None:
        return (
            "Quasi-static: an impact of any length counts as a full static load. A bar of this cage"
            f" swings within {1e6 * bar_period(design):.0f} us: impacts of about that length can"
            " bend it up to 1.8 times as much (half-sine pulse, value from memory), much shorter"
            " ones less."
        )
    return (
        f"Vibrations: the free cage follows in its first {len(frequencies)} shapes, up to"
        f" {max(frequencies):.0f} Hz; what is faster answers as at rest. A bar by itself swings"
        f" within {1e6 * bar_period(design):.0f} us. How long the cage rings is an assumption"
        " (cage.mode_damping)."
    )


def assumptions_made(case: Any, design: CageDesign, root_reserve: float) -> tuple[str, ...]:
    """Values that this evaluation used without being given them.

    Parameters
    ----------
    case : Case
        The case.
    design : CageDesign
        Numbers of its cage.
    root_reserve : float
        Least reserve factor of the bar roots.

    Returns
    -------
    tuple of str
    """
    kind = case.cage.closure.kind
    made = [
        f"mean stress rule {case.fatigue.mean_stress}; damage beyond the knee of the S-N line:"
        f" {case.fatigue.damage_rule}; damage sum after Miner, failure at 1, whatever the order of"
        " the cycles",
    ]
    if FILLET_KEY in {item.key for item in case.assumptions}:
        made.append(_fillet_line(case, design, root_reserve))
    if kind != "one_piece":
        made.append(
            f"flexible length of each closure end {END_FLEXIBILITY:g} of its thickness (frames"
            " agree with solid models for 0.25-0.5)"
        )
    if kind == "steel_rivet":
        made.append(f"rivet head {HEAD_RATIO:g} shank diameters (common practice, no source)")
        made.append(_surface_line(case))
    return tuple(made)


def fillet_gain(design: CageDesign, fillet: float) -> float:
    """Factor on the reserve of the bar roots that another pocket fillet gives.

    Their load stress has no constant part, so the reserve goes with one over the notch factor; of
    tension and bending the smaller gain is taken.

    Parameters
    ----------
    design : CageDesign
        Numbers of the cage.
    fillet : float, m
        The other fillet radius.

    Returns
    -------
    float
    """
    now = bar_root_factors(design, design.pocket_fillet)
    other = bar_root_factors(design, fillet)
    return min(a.value / b.value for a, b in zip(now, other, strict=True))


def _fillet_line(case: Any, design: CageDesign, reserve: float) -> str:
    """The assumed pocket fillet and what another one would do."""
    line = (
        f"fillet in the pocket corners {design.pocket_fillet / MM:g} mm ({FILLET_KEY};"
        " common practice, no source)"
    )
    if case.fatigue.notch_factor is not None or not math.isfinite(reserve):
        return line
    gain = fillet_gain(design, OTHER_FILLET)
    return (
        f"{line}: {OTHER_FILLET / MM:g} mm in its place would change the least reserve of the bar"
        f" roots from {reserve:.2f} to {gain * reserve:.2f}"
    )


def touching_assumptions(case: Any, values: tuple[AssumedValue, ...]) -> tuple[str, ...]:
    """Assumed values of the case that touch the verdict, in short; a material in one line.

    Parameters
    ----------
    case : Case
        The case.
    values : tuple of AssumedValue
        All values that the user did not give.

    Returns
    -------
    tuple of str
    """
    lines = [value.line for value in values if _touches(value.key)]
    for name in dict.fromkeys((case.cage.material, case.cage.closure.material)):
        start = f"material.{name}."
        own = [value for value in values if value.key.startswith(start)]
        if own:
            numbers = (f"{value.key.removeprefix(start)} {_bare(value)}" for value in own)
            lines.append(f"material.{name}: {', '.join(numbers)}")
    return tuple(lines)


def _touches(key: str) -> bool:
    """Tell whether a value of the case that is no number of a material touches the verdict."""
    table, _, name = key.partition(".")
    return table in TOUCHING_TABLES or (
        table == "lubricant" and any(word in name for word in TOUCHING_OF_LUBRICANT)
    )


def _bare(value: AssumedValue) -> str:
    """A number without the unit that its key names already."""
    return value.value.split(" ")[0]


def _surface_line(case: Any) -> str:
    """Surface factor of the case beside the one of a textbook for the rivet's steel."""
    ultimate = case.materials[case.cage.closure.material].ultimate_MPa
    expected = surface_factor(ultimate, "machined")
    return (
        f"surface factor {case.fatigue.surface_factor:g} as in the case (Shigley gives"
        f" {expected:.2f} for machined steel of {ultimate:g} MPa)"
    )
