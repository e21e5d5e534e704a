"""A modest word for the behaviour of the cage, with its rule in the open."""

from __future__ import annotations

import math
from dataclasses import dataclass

from rollsim.analysis.imposed_lines import FORCED_WITHIN

ORIGIN = "own thresholds, calibrated on synthetic orbits"
REGULAR = "regular circular"

# Thresholds, our own, calibrated on the synthetic orbits of the tests; none is published.
SEATED_OFFSET = 0.9
ORBITING_OFFSET = 0.5
ROUND_VARIATION = 0.25
ONE_SENSE = 0.7
NO_SENSE = 0.5
STEADY_SCATTER = 0.25
FEWEST_TURNS = 5.0
FORCED_SHARE = 0.6

RULE = (
    "a record over which the orbit changes is undecided as a whole and named by parts;"
    f" seated: the mean position is {SEATED_OFFSET:g} or more of the rms eccentricity;"
    f" regular circular: mean position at most {ORBITING_OFFSET:g} of the rms eccentricity,"
    f" eccentricity varies by at most {ROUND_VARIATION:g} of its mean, circulation at least"
    f" {ONE_SENSE:g} either way, whirl ratio scatters by at most {STEADY_SCATTER:g} of its mean"
    f" between tenths of the time, {FEWEST_TURNS:g} or more whirl turns; forced: the same, at a"
    f" whirl frequency within {100.0 * FORCED_WITHIN:g} % of an imposed line (exciter or sine), or"
    f" not seated and {FORCED_SHARE:g} or more of the power of the motion on the imposed lines or"
    " coherent with the vibration of the housing; disordered: none of these and not round,"
    f" circulation below {NO_SENSE:g} either way; seated, disordered and cages forced by power have"
    f" no whirl turns to count and need {FEWEST_TURNS:g} cage turns instead; everything else:"
    " undecided"
)


@dataclass(frozen=True)
class WhirlClass:
    """Word for the behaviour of the cage.

    Attributes
    ----------
    name : str
        seated, forced, regular circular, disordered or undecided.
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
    imposed_share : float
        Share of the power of the motion about its mean that lies on imposed lines; NaN for none.
    coherent_share : float
        Share of that power that follows the vibration of the housing linearly; NaN if not known.
    changes : tuple of str
        What does not stay over the record, in words.
    """

    offset: float
    radius_variation: float
    circulation: float
    ratio_scatter: float
    whirl_turns: float
    cage_turns: float
    forced_by: str = ""
    imposed_share: float = math.nan
    coherent_share: float = math.nan
    changes: tuple[str, ...] = ()


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
    'regular circular'
    """
    if not math.isfinite(evidence.offset):
        return WhirlClass("undecided", "the cage never leaves the centre of its guide")
    seen = (
        f"mean position {evidence.offset:.2f} of the rms eccentricity, eccentricity varies by"
        f" {evidence.radius_variation:.2f} of its mean, circulation {evidence.circulation:+.2f},"
        f" whirl ratio scatters by {evidence.ratio_scatter:.2f}, {evidence.whirl_turns:.1f} whirl"
        f" turns, {evidence.cage_turns:.1f} cage turns"
    )
    if evidence.changes:
        return WhirlClass(
            "undecided", f"the orbit changes over the record: {'; '.join(evidence.changes)}; {seen}"
        )
    if _orbits(evidence):
        if evidence.whirl_turns < FEWEST_TURNS:
            return _too_short(evidence.whirl_turns, "whirl", seen)
        if evidence.forced_by:
            return WhirlClass("forced", f"whirls with the {evidence.forced_by}; {seen}")
        return WhirlClass(REGULAR, seen)
    found, why = _without_orbit(evidence)
    if found != "undecided" and evidence.cage_turns < FEWEST_TURNS:
        return _too_short(evidence.cage_turns, "cage", seen)
    return WhirlClass(found, f"{why}; {seen}" if why else seen)


def _too_short(turns: float, kind: str, seen: str) -> WhirlClass:
    """Class of a motion that was seen for too few turns."""
    return WhirlClass("undecided", f"only {turns:.1f} {kind} turns were evaluated; {seen}")


def _without_orbit(evidence: Evidence) -> tuple[str, str]:
    """Class of a cage that does not go round, and a reason beyond the measures."""
    if evidence.offset >= SEATED_OFFSET:
        return "seated", ""
    if evidence.imposed_share >= FORCED_SHARE:
        return "forced", f"{evidence.imposed_share:.2f} of the power lies on imposed lines"
    if evidence.coherent_share >= FORCED_SHARE:
        share = evidence.coherent_share
        return "forced", f"{share:.2f} of the power is coherent with the imposed vibration"
    if evidence.radius_variation > ROUND_VARIATION and abs(evidence.circulation) < NO_SENSE:
        return "disordered", ""
    return "undecided", ""


def _orbits(evidence: Evidence) -> bool:
    """All conditions of an orbiting cage but the number of turns."""
    return (
        evidence.offset <= ORBITING_OFFSET
        and evidence.radius_variation <= ROUND_VARIATION
        and abs(evidence.circulation) >= ONE_SENSE
        and evidence.ratio_scatter <= STEADY_SCATTER
    )
