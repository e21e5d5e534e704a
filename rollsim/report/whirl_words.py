"""Words on whirl beside the plain measures: steadiness of the record, forcing, sources."""

from __future__ import annotations

import math

from rollsim.analysis import coherence as coherence_of
from rollsim.analysis.whirl import WhirlResult
from rollsim.report.plain_data import percent, table, wrapped

#: Published indicators, by name: what it is, and where it comes from. No limit belongs to them.
INDICATORS = {
    "whirl ratio": (
        "whirl speed over cage speed",
        "Gupta 1991, Modeling of instabilities induced by cage clearances in cylindrical roller"
        " bearings, Tribology Transactions 34 (from memory)",
    ),
    "speed deviation ratio": (
        "standard deviation of the speed of the cage centre over its mean",
        "Ghaisas, Wassgren and Sadeghi 2004, Cage instabilities in cylindrical roller bearings,"
        " Journal of Tribology 126 (from memory)",
    ),
    "full spectrum, circulation": (
        "power of the orbit at positive and negative frequencies",
        "Muszynska 2005, Rotordynamics (full spectrum; from memory)",
    ),
    "coherence": ("share of the power that follows the housing linearly", coherence_of.SOURCE),
}


def steadiness_lines(result: WhirlResult) -> list[str]:
    """Return whether the orbit stays what it is, and the classes by parts where it does not.

    Parameters
    ----------
    result : WhirlResult
        Result of `rollsim.analysis.whirl.whirl`.

    Returns
    -------
    list of str
    """
    gate = result.stationarity
    if not gate.tested:
        return wrapped("Steadiness: too few turns to tell whether the orbit stays what it is.")
    if not gate.changes:
        return wrapped("Steadiness: the orbit stays what it is over the record.")
    words = "; ".join(change.words for change in gate.changes)
    lines = wrapped(f"Steadiness: THE ORBIT CHANGES OVER THE RECORD: {words}.")
    lines += wrapped(f"  Rule (own thresholds, calibrated on synthetic orbits): {gate.rule}.")
    rows = [
        [
            f"{part.start:.4g} to {part.end:.4g}",
            f"{part.eccentricity:.3f}",
            "-" if math.isnan(part.whirl_ratio) else f"{part.whirl_ratio:+.3f}",
        ]
        for part in result.parts
    ]
    head = ["part in s", "eccentricity", "whirl ratio"]
    names = ["class", *(part.verdict.name for part in result.parts)]
    return lines + [f"{a}  {b}" for a, b in zip(table(head, rows), names, strict=True)]


def forcing_lines(result: WhirlResult) -> list[str]:
    """Return how much of the motion the imposed vibration explains.

    Parameters
    ----------
    result : WhirlResult
        Result of `rollsim.analysis.whirl.whirl`.

    Returns
    -------
    list of str
    """
    count = len(result.strongest)
    lines = [f"  power in the strongest lines ({count}): {percent(result.lines_share)}"]
    if not math.isnan(result.imposed_share):
        lines.append(f"  power in lines of the imposed vibration: {percent(result.imposed_share)}")
    found = result.coherence
    if found is None:
        return [*lines, "  coherence with the imposed vibration: nothing shakes the housing"]
    share = "record too short" if math.isnan(found.share) else percent(found.share)
    return [
        *lines,
        f"  power coherent with the imposed vibration ({', '.join(found.inputs)}): {share}"
        f" (chance of {percent(found.chance)} taken off, {found.averages} averages)",
    ]


def indicator_lines() -> list[str]:
    """Return the published indicators with their sources.

    Returns
    -------
    list of str
    """
    lines = ["Published indicators (no limit belongs to them; all thresholds are our own):"]
    for name, (what, source) in INDICATORS.items():
        lines += wrapped(f"  {name}: {what}; {source}")
    return lines


def extra_dict(result: WhirlResult) -> dict:
    """Return steadiness, forcing, frames and sources for JSON.

    Parameters
    ----------
    result : WhirlResult
        Result of `rollsim.analysis.whirl.whirl`.

    Returns
    -------
    dict
    """
    gate, found = result.stationarity, result.coherence
    return {
        "polarity": polarity(result),
        "steadiness": {
            "tested": gate.tested,
            "changes": [
                {"name": change.name, "unit": change.unit, "by_parts": change.values}
                for change in gate.changes
            ],
            "rule": gate.rule,
            "parts": [
                {
                    "start_s": part.start,
                    "end_s": part.end,
                    "class": part.verdict.name,
                    "reason": part.verdict.reason,
                    "whirl_ratio": part.whirl_ratio,
                    "mean_eccentricity_in_clearances": part.eccentricity,
                }
                for part in result.parts
            ],
        },
        "power_share_of_strongest_lines": result.lines_share,
        "power_share_of_imposed_lines": result.imposed_share,
        "coherence": None
        if found is None
        else {
            "power_share": found.share,
            "chance": found.chance,
            "averages": found.averages,
            "inputs": found.inputs,
        },
        "mean_position_in_clearances": {
            frame.name: [frame.mean.real, frame.mean.imag] for frame in result.frames
        },
        "indicators": {
            name: {"meaning": what, "source": source} for name, (what, source) in INDICATORS.items()
        },
    }


def polarity(result: WhirlResult) -> str:
    """Return which way the cage whirls against its own turning.

    Parameters
    ----------
    result : WhirlResult
        Result of `rollsim.analysis.whirl.whirl`.

    Returns
    -------
    str
        forward, backward or unknown.
    """
    if math.isnan(result.whirl_ratio):
        return "unknown"
    return "forward" if result.whirl_ratio >= 0.0 else "backward"
