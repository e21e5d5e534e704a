"""The threshold of the tail fit in words and as a dictionary for JSON."""

from __future__ import annotations

from rollsim.analysis.declustering import SECONDS_PER_HOUR
from rollsim.analysis.thresholds import Threshold, ThresholdStudy
from rollsim.report.plain_data import number, table, wrapped

_HEAD = ("", "threshold N", "peaks", "mean excess N", "shape", "90 %", "fit %", "level N", "90 % N")
_UNITS = {
    "level": "threshold_N",
    "exceedances": "exceedances",
    "mean_excess": "mean_excess_N",
    "mean_low": "mean_excess_low_N",
    "mean_high": "mean_excess_high_N",
    "shape": "shape",
    "shape_low": "shape_low",
    "shape_high": "shape_high",
    "modified_scale": "modified_scale_N",
    "fit_odds": "anderson_darling_odds",
    "median": "level_N",
    "low": "level_low_N",
    "high": "level_high_N",
}


def threshold_lines(study: ThresholdStudy | None) -> list[str]:
    """Return how the threshold was chosen, its diagnostics and its alternatives.

    Parameters
    ----------
    study : ThresholdStudy or None
        None where there is no tail.

    Returns
    -------
    list of str
        Empty without a study.
    """
    if study is None:
        return []
    seconds = study.horizon_h * SECONDS_PER_HOUR
    span = f"{study.horizon_h:.6g} h" if study.horizon_h >= 1.0 else f"{seconds:.4g} s"
    return [
        "",
        *wrapped(f"Threshold: {study.rule}."),
        *(line for words in study.words for line in wrapped(f"  {words}")),
        *wrapped(
            f"Other thresholds (level: once in {span}; fit: share of true samples that fit as badly"
            " or worse, 90 means 90 or more; * is the one used):"
        ),
        *table(_HEAD, [_row(one, one is study.chosen) for one in study.candidates]),
    ]


def _row(one: Threshold, chosen: bool) -> list[str]:
    """Cells of one threshold."""
    return [
        "*" if chosen else "",
        number(one.level),
        str(one.exceedances),
        number(one.mean_excess),
        f"{one.shape:+.2f}",
        f"{one.shape_low:+.2f}..{one.shape_high:+.2f}",
        f"{100.0 * one.fit_odds:.2g}",
        number(one.median),
        f"{number(one.low)}..{number(one.high)}",
    ]


def threshold_dict(study: ThresholdStudy | None) -> dict | None:
    """Return the choice of the threshold as plain data.

    Parameters
    ----------
    study : ThresholdStudy or None
        None where there is no tail.

    Returns
    -------
    dict or None
        Keys carry the unit.
    """
    if study is None:
        return None
    return {
        "rule": study.rule,
        "raised_by_test": study.raised,
        "words": study.words,
        "horizon_h": study.horizon_h,
        "chosen": _plain(study.chosen),
        "candidates": [_plain(one) for one in study.candidates],
    }


def _plain(one: Threshold) -> dict:
    """One threshold with units in the keys."""
    return {key: getattr(one, name) for name, key in _UNITS.items()}
