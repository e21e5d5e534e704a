"""A modest word for the behaviour of the cage, with its rule in the open."""

from __future__ import annotations

import math
from dataclasses import dataclass

from rollsim.analysis.imposed_lines import FORCED_WITHIN

ORIGIN = "our own choice, not published"

# Thresholds, our own choice, not published.
SEATED_OFFSET = 0.9
ORBITING_OFFSET = 0.5
ROUND_VARIATION = 0.25
ONE_SENSE = 0.7
NO_SENSE = 0.5
STEADY_SCATTER = 0.25
FEWEST_TURNS = 5.0

RULE = (
    f"seated: the mean position is {SEATED_OFFSET:g} or more of the rms eccentricity;"
    f" orbiting: mean position at most {ORBITING_OFFSET:g} of the rms eccentricity, eccentricity"
    f" varies by at most {ROUND_VARIATION:g} of its mean, circulation at least {ONE_SENSE:g}"
    f" either way, whirl ratio scatters by at most {STEADY_SCATTER:g} of its mean between tenths"
    f" of the time, {FEWEST_TURNS:g} or more whirl turns; forced: the same, at a whirl frequency"
    f" within {100.0 * FORCED_WITHIN:g} % of an imposed line (exciter or sine); disordered:"
    f" neither seated nor round, circulation below {NO_SENSE:g} either way; seated and disordered"
    f" cages have no whirl turns to count and need {FEWEST_TURNS:g} cage turns instead; everything"
    " else: undecided"
)


@dataclass(frozen=True)
class WhirlClass:
    """Word for the behaviour of the cage.

    Attributes
    ----------
    name : str
        seated, orbiting, forced, disordered or undecided.
    reason : str
        The values that decided.
    rule : str
        The rule with its thresholds.
    origin : str
        Where rule and thresholds come from.
    """

    name: str
    reason: str
    rule: str = RULE
    origin: str = ORIGIN


@dataclass(frozen=True)
class Evidence:
    """What the class is decided from.

    Attributes
    ----------
    offset, radius_variation, circulation : float
        See `Roundness`.
    ratio_scatter : float
        Standard deviation of the whirl ratio of the blocks over the size of its mean.
    whirl_turns, cage_turns : float
        Turns of the orbit and of the cage within the evaluated time, without sign.
    forced_by : str
        The imposed line that the whirl frequency keeps to, with its frequency; empty for none.
    """

    offset: float
    radius_variation: float
    circulation: float
    ratio_scatter: float
    whirl_turns: float
    cage_turns: float
    forced_by: str = ""


def classify(evidence: Evidence) -> WhirlClass:
    """Return the class of the motion of the cage.

    Parameters
    ----------
    evidence : Evidence
        Measures of the orbit.

    Returns
    -------
    WhirlClass

    Examples
    --------
    >>> classify(Evidence(0.02, 0.05, 0.98, 0.01, 40.0, 80.0)).name
    'orbiting'
    """
    if not math.isfinite(evidence.offset):
        return WhirlClass("undecided", "the cage never leaves the centre of its guide")
    seen = (
        f"mean position {evidence.offset:.2f} of the rms eccentricity, eccentricity varies by"
        f" {evidence.radius_variation:.2f} of its mean, circulation {evidence.circulation:+.2f},"
        f" whirl ratio scatters by {evidence.ratio_scatter:.2f}, {evidence.whirl_turns:.1f} whirl"
        f" turns, {evidence.cage_turns:.1f} cage turns"
    )
    if _orbits(evidence):
        if evidence.whirl_turns < FEWEST_TURNS:
            return _too_short(evidence.whirl_turns, "whirl", seen)
        if evidence.forced_by:
            return WhirlClass("forced", f"whirls with the {evidence.forced_by}; {seen}")
        return WhirlClass("orbiting", seen)
    found = _without_orbit(evidence)
    if found != "undecided" and evidence.cage_turns < FEWEST_TURNS:
        return _too_short(evidence.cage_turns, "cage", seen)
    return WhirlClass(found, seen)


def _too_short(turns: float, kind: str, seen: str) -> WhirlClass:
    """Class of a motion that was seen for too few turns."""
    return WhirlClass("undecided", f"only {turns:.1f} {kind} turns were evaluated; {seen}")


def _without_orbit(evidence: Evidence) -> str:
    """Class of a cage that does not go round."""
    if evidence.offset >= SEATED_OFFSET:
        return "seated"
    if evidence.radius_variation > ROUND_VARIATION and abs(evidence.circulation) < NO_SENSE:
        return "disordered"
    return "undecided"


def _orbits(evidence: Evidence) -> bool:
    """All conditions of an orbiting cage but the number of turns."""
    return (
        evidence.offset <= ORBITING_OFFSET
        and evidence.radius_variation <= ROUND_VARIATION
        and abs(evidence.circulation) >= ONE_SENSE
        and evidence.ratio_scatter <= STEADY_SCATTER
    )
