"""The spectral side line of a fatigue verdict: lines and plain data."""

from __future__ import annotations

import textwrap
from typing import Any

from rollsim.fatigue.result import FatigueResult, PartVerdict
from rollsim.units import MPA

_WIDTH = 96
_WHAT = (
    "Damage per hour by the straight S-N line of slope {slope:g}, without knee and mean stress"
    " rule, of the sampled stress, without the peaks between samples. The ratios to rainflow"
    " counting mean something for a Gaussian stress only."
)


def side_lines(result: FatigueResult) -> list[str]:
    """Lines on the governing place: rainflow damage beside that of the spectral methods.

    Parameters
    ----------
    result : FatigueResult
        From `rollsim.fatigue.verdict.fatigue`.

    Returns
    -------
    list of str
        Empty where there is no side line.
    """
    part = result.governing
    side = part.side_line
    if side is None:
        return []
    lines = ["", f"Side line, spectral methods: {part.spot.name}, bar {side.bar + 1}"]
    lines += _wrapped(_WHAT.format(slope=side.slope))
    lines += _wrapped(side.reason)
    lines.append(f"  - {'rainflow counting':<22} {side.rainflow_per_h:9.2e}")
    for name, damage in side.spectral_per_h.items():
        lines.append(f"  - {name:<22} {damage:9.2e}   {side.ratios[name]:.3g} of rainflow")
    return lines


def side_dict(part: PartVerdict) -> dict[str, Any] | None:
    """The side line of a part as plain data.

    Parameters
    ----------
    part : PartVerdict
        Closures or bars.

    Returns
    -------
    dict or None
    """
    side = part.side_line
    if side is None:
        return None
    return {
        "place": part.spot.name,
        "bar": side.bar + 1,
        "slope": side.slope,
        "rainflow_damage_per_h": side.rainflow_per_h,
        "spectral_damage_per_h": side.spectral_per_h,
        "ratio_to_rainflow": side.ratios,
        "kurtosis": side.kurtosis,
        "crest_factor": side.crest,
        "crest_factor_if_gaussian": side.gaussian_crest,
        "irregularity": side.irregularity,
        "rms_MPa": side.rms / MPA,
        "looks_gaussian": side.looks_gaussian,
        "reason": side.reason,
    }


def _wrapped(text: str) -> list[str]:
    """Lines of a sentence in a list."""
    return textwrap.wrap(text, _WIDTH, initial_indent="  - ", subsequent_indent="    ")
