"""Whether a run can carry a return level, and the greatest level that it can carry."""

from __future__ import annotations

from dataclasses import dataclass

from rollsim.analysis.declustering import SECONDS_PER_HOUR
from rollsim.analysis.extremes import ReturnLevel, TailFit, return_level
from rollsim.analysis.thresholds import FEWEST_EXCEEDANCES, WANTED_EXCEEDANCES

ORIGIN = "our own choice, not published"

# Limits beyond which a level is not told; our own choice, not published.
WIDEST_INTERVAL = 10.0
FARTHEST_LEVEL = 3.0
FARTHEST_HORIZON = 1e6
# Horizons of the level that is told instead, in evaluated times, the farthest first.
SHORT_HORIZONS = (10.0, 3.0, 1.0)

RULE = (
    f"a level is told where {WANTED_EXCEEDANCES} or more independent peaks lie above the threshold,"
    f" the upper limit of the interval is at most {WIDEST_INTERVAL:g} times the lower, the level"
    f" at most {FARTHEST_LEVEL:g} times the greatest observed peak, and the horizon at most"
    f" {FARTHEST_HORIZON:.0e} times the evaluated time"
)


@dataclass(frozen=True)
class Extrapolation:
    """What a run tells about forces that are rarer than those it has seen.

    Attributes
    ----------
    horizon_h : float, h
        The horizon that was asked for.
    level : ReturnLevel or None
        Its level; None where it cannot be told from this run.
    reasons : tuple of str
        Why it cannot be told, in plain words; empty where it is told.
    supported : ReturnLevel or None
        Level of a shorter horizon that the run supports; None where the asked one is told, and
        where the run supports none.
    rule : str
        The rule with its limits.
    origin : str
        Where the rule comes from.
    """

    horizon_h: float
    level: ReturnLevel | None
    reasons: tuple[str, ...]
    supported: ReturnLevel | None
    rule: str = RULE
    origin: str = ORIGIN


def extrapolate(
    tail: TailFit | None, peaks: int, greatest: float, horizon_h: float
) -> Extrapolation:
    """Return the level of a horizon, or why it cannot be told and what can be told instead.

    The level told instead is that of 10, 3 or 1 evaluated times, the farthest whose interval and
    level keep the rule; the number of peaks above the threshold is told with it.

    Parameters
    ----------
    tail : TailFit or None
        Fitted tail; None where there are too few peaks for a fit.
    peaks : int
        Number of independent peaks.
    greatest : float, N
        The greatest of them.
    horizon_h : float, h
        Wanted horizon.

    Returns
    -------
    Extrapolation
    """
    if tail is None:
        why = (
            f"the run holds {peaks} independent peaks, and a fit needs {FEWEST_EXCEEDANCES}"
            " different ones above the threshold at least"
        )
        return Extrapolation(horizon_h, None, (why,), None)
    level = return_level(tail, horizon_h)
    reasons = (*_sample_reasons(tail, horizon_h), *spread_reasons(level, greatest))
    if not reasons:
        return Extrapolation(horizon_h, level, (), None)
    return Extrapolation(horizon_h, None, reasons, _supported(tail, greatest, horizon_h))


def _sample_reasons(tail: TailFit, horizon_h: float) -> list[str]:
    """Reasons that lie in the number of peaks and in the length of the run."""
    reasons = []
    if tail.exceedances < WANTED_EXCEEDANCES:
        reasons.append(
            f"the tail rests on {tail.exceedances} independent peaks, {WANTED_EXCEEDANCES} are"
            " needed"
        )
    times = horizon_h / tail.observed_h
    if times > FARTHEST_HORIZON:
        reasons.append(
            f"{horizon_h:g} h is {times:.1e} times the evaluated"
            f" {tail.observed_h * SECONDS_PER_HOUR:.4g} s; {FARTHEST_HORIZON:.0e} is the limit"
        )
    return reasons


def spread_reasons(level: ReturnLevel, greatest: float) -> list[str]:
    """Return the reasons against a level that lie in its interval and in its size.

    Parameters
    ----------
    level : ReturnLevel
        The level.
    greatest : float, N
        Greatest observed peak.

    Returns
    -------
    list of str
        Empty where there is none. The level itself is not named: it would be read as a result.
    """
    reasons = []
    if not level.high <= WIDEST_INTERVAL * level.low:
        reasons.append(
            f"the {100 * level.confidence:.0f} % interval spans more than a factor of"
            f" {WIDEST_INTERVAL:g}"
        )
    if not level.level <= FARTHEST_LEVEL * greatest:
        reasons.append(
            f"the fit leads to more than {FARTHEST_LEVEL:g} times the greatest observed peak"
        )
    return reasons


def _supported(tail: TailFit, greatest: float, horizon_h: float) -> ReturnLevel | None:
    """Level of the farthest short horizon that keeps the rule."""
    for times in SHORT_HORIZONS:
        horizon = times * tail.observed_h
        if horizon > horizon_h:
            continue
        level = return_level(tail, horizon)
        if not spread_reasons(level, greatest):
            return level
    return None
