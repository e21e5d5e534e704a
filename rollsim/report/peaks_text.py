"""Peak forces in words and as a dictionary for JSON."""

from __future__ import annotations

import math
from dataclasses import asdict

import numpy as np

from rollsim.analysis.contacts import ContactStatistics
from rollsim.analysis.declustering import SECONDS_PER_HOUR
from rollsim.analysis.extremes import ReturnLevel
from rollsim.analysis.peaks import BlockStatistics, PeaksResult
from rollsim.analysis.settled import FACES, LANDS
from rollsim.analysis.tail_posterior import PRIOR_WORDS
from rollsim.report.plain_data import CAUTION, json_ready, number, numbering, table, wrapped
from rollsim.report.threshold_text import threshold_dict, threshold_lines

_UNITS = {
    "episodes": "episodes",
    "rate": "rate_per_s",
    "maximum": "maximum_N",
    "percentile_50": "percentile_50_N",
    "percentile_90": "percentile_90_N",
    "percentile_99": "percentile_99_N",
    "rms": "rms_N",
    "impulse_rate": "impulse_N_s_per_s",
    "approach_speed": "approach_speed_m_per_s",
    "longest_duration": "longest_duration_s",
}
_OVERVIEW_HEAD = (
    "contact",
    "episodes",
    "1/s",
    "max N",
    "50 % N",
    "90 % N",
    "99 % N",
    "rms N",
    "impulse N s/s",
    "approach m/s",
    "longest ms",
)


def peaks_text(result: PeaksResult) -> str:
    """Return the peak forces in plain words.

    Parameters
    ----------
    result : PeaksResult
        Result of `rollsim.analysis.peaks.peaks`.

    Returns
    -------
    str
        Several paragraphs and tables, no trailing newline.
    """
    lines = [
        f"Peak forces of {result.case_name}",
        f"Evaluated: {result.start:.6g} s to {result.end:.6g} s ({number(result.duration, 4)} s).",
        *_largest_lines(result),
        "",
        *_overview_lines(result),
        *_roller_lines(result),
        *_block_lines(result.blocks),
        *_tail_lines(result),
        *threshold_lines(result.thresholds),
    ]
    if result.notes:
        lines += ["", "Notes:", *(part for note in result.notes for part in wrapped(f"  {note}"))]
    return "\n".join([*lines, "", *wrapped(CAUTION)])


def _largest_lines(result: PeaksResult) -> list[str]:
    """The greatest pocket force, or that there was none."""
    if result.largest is None:
        return ["No roller touched the cage: there is no pocket force in the evaluated time."]
    event = result.largest
    return wrapped(
        f"Greatest pocket force: {number(event.force, 4)} N at {event.time:.6g} s,"
        f" roller {event.roller + 1}, {event.face} face, roller at"
        f" {math.degrees(event.azimuth):.1f} degrees (counter-clockwise from the x axis)."
    )


def _overview_lines(result: PeaksResult) -> list[str]:
    """One line for each face and land."""
    pockets, lands = result.pockets, result.lands
    rows = [_overview_row(face, pockets, (slice(None), i)) for i, face in enumerate(FACES)]
    rows += [
        _overview_row(f"land {land}", lands, (slice(i, i + 1),)) for i, land in enumerate(LANDS)
    ]
    lines = [
        "By face: episodes and rate of all rollers; the force columns, approach speed and longest",
        "contact are those of the roller with the greatest value.",
        *table(_OVERVIEW_HEAD, rows),
    ]
    if result.planar:
        lines.append("  Planar motion: base and cover faces carry no force by definition.")
    return [*lines, ""]


def _overview_row(name: str, statistics: ContactStatistics, part: tuple) -> list[str]:
    """Cells of one face."""
    greatest = (
        statistics.maximum,
        statistics.percentile_50,
        statistics.percentile_90,
        statistics.percentile_99,
        statistics.rms,
        statistics.impulse_rate,
        statistics.approach_speed,
        1e3 * statistics.longest_duration,
    )
    return [
        name,
        str(int(statistics.episodes[part].sum())),
        number(statistics.rate[part].sum()),
        *(number(_greatest(values[part])) for values in greatest),
    ]


def _greatest(values: np.ndarray) -> float:
    """Greatest of the values that are numbers; NaN where there is none."""
    values = values[np.isfinite(values)]
    return float(values.max()) if values.size else float("nan")


def _roller_lines(result: PeaksResult) -> list[str]:
    """One line for each roller."""
    pockets = result.pockets
    faces = FACES[:2] if result.planar else FACES
    head = ["roller"]
    for face in faces:
        head += [f"{face} 1/s", "99 % N", "max N"]
    columns = (pockets.rate, pockets.percentile_99, pockets.maximum)
    rows = [
        [str(roller + 1), *(number(c[roller, i]) for i in range(len(faces)) for c in columns)]
        for roller in range(len(pockets.rate))
    ]
    return [f"By roller ({numbering(len(rows))}):", *table(head, rows), ""]


def _block_lines(blocks: BlockStatistics) -> list[str]:
    """How much the numbers scatter between parts of the run."""
    rows = []
    for name, values in (
        ("greatest force", blocks.maximum),
        ("99 % of episode peaks", blocks.percentile_99),
        ("rms force", blocks.rms),
    ):
        known = values[np.isfinite(values)]
        if known.size < 2:
            rows.append([name, "-", "-", "-", "-"])
            continue
        mean, spread = known.mean(), known.std(ddof=1)
        share = f"{100.0 * spread / mean:.0f} %" if mean > 0.0 else "-"
        rows.append([name, number(mean), number(known.min()), number(known.max()), share])
    head = ["pocket force", "mean N", "lowest N", "highest N", "scatter"]
    title = f"Scatter between {len(blocks.rms)} equal parts of the evaluated time:"
    return [title, *table(head, rows), ""]


def _tail_lines(result: PeaksResult) -> list[str]:
    """Return level or why there is none, and its reservations."""
    found = result.extrapolation
    if found.level is not None:
        sentences = [f"Return level: {level_words(found.level)}.", *_fit_words(result, found.level)]
        return [line for sentence in sentences for line in wrapped(sentence)]
    sentences = [
        f"Return level for {duration_words(found.horizon_h)}: cannot be told from this run.",
        *(f"  Because {reason}." for reason in found.reasons),
        f"  Rule ({found.origin}): {found.rule}.",
    ]
    if found.supported is not None:
        times = found.supported.horizon_h * SECONDS_PER_HOUR / result.duration
        sentences += [
            f"Farthest level that this run supports, {times:.3g} evaluated times:"
            f" {level_words(found.supported)}.",
            *_fit_words(result, found.supported),
        ]
    elif result.largest is not None:
        sentences.append(
            f"What the run supports is its greatest observed force, {number(result.largest.force)}"
            f" N in {result.duration:.4g} s."
        )
    return [line for sentence in sentences for line in wrapped(sentence)]


def level_words(level: ReturnLevel) -> str:
    """Return a level and its interval in words.

    Parameters
    ----------
    level : ReturnLevel
        The level.

    Returns
    -------
    str
        Without a full stop.
    """
    return (
        f"somewhere in the cage a pocket force above {number(level.level)} N is expected once in"
        f" {duration_words(level.horizon_h)} ({100 * level.confidence:.0f} % interval"
        f" {number(level.low)} to {number(level.high)} N)"
    )


def duration_words(hours: float) -> str:
    """Return a time in hours, in seconds below one hour.

    Parameters
    ----------
    hours : float, h
        The time.

    Returns
    -------
    str

    Examples
    --------
    >>> duration_words(20000.0), duration_words(1.0 / 600.0)
    ('20000 h', '6 s')
    """
    return f"{hours:.6g} h" if hours >= 1.0 else f"{hours * SECONDS_PER_HOUR:.4g} s"


def _fit_words(result: PeaksResult, level: ReturnLevel) -> list[str]:
    """What a level rests on."""
    tail, window = result.tail, 1e3 * result.exceedance.separation_s
    return [
        f"  From {tail.exceedances} of {len(result.independent)} independent peaks (greatest within"
        f" +-{window:g} ms) above {number(tail.threshold)} N; generalised Pareto tail, shape"
        f" {tail.shape:+.2f}, scale {number(tail.scale)} N. Interval: {PRIOR_WORDS}.",
        *(f"  {warning}" for warning in level.warnings),
    ]


def peaks_dict(result: PeaksResult) -> dict:
    """Return the peak forces as a dictionary that the json module can write.

    Parameters
    ----------
    result : PeaksResult
        Result of `rollsim.analysis.peaks.peaks`.

    Returns
    -------
    dict
        Keys carry the unit; missing numbers are None. Rollers count from 1.
    """
    curve, blocks = result.exceedance, result.blocks
    return json_ready(
        {
            "case_name": result.case_name,
            "evaluated_s": [result.start, result.end],
            "motion": "planar" if result.planar else "spatial",
            "numbering": numbering(len(result.pockets.rate)),
            "faces": FACES,
            "lands": LANDS,
            "largest_pocket_force": _largest_dict(result),
            "pockets_by_roller_and_face": _statistics_dict(result.pockets),
            "lands_by_land": _statistics_dict(result.lands),
            "blocks": {
                "start_s": blocks.start,
                "end_s": blocks.end,
                "maximum_N": blocks.maximum,
                "percentile_99_N": blocks.percentile_99,
                "rms_N": blocks.rms,
            },
            "exceedance": {
                "level_N": curve.level,
                "all_per_h": curve.rate_all,
                "independent_per_h": curve.rate_independent,
                "separation_s": curve.separation_s,
            },
            "tail": _tail_dict(result),
            "return_level": _extrapolation_dict(result),
            "assumptions": result.assumptions,
            "notes": result.notes,
            "caution": CAUTION,
        }
    )


def _largest_dict(result: PeaksResult) -> dict | None:
    """The greatest pocket force."""
    if result.largest is None:
        return None
    event = result.largest
    return {
        "force_N": event.force,
        "time_s": event.time,
        "roller": event.roller + 1,
        "face": event.face,
        "azimuth_deg": math.degrees(event.azimuth),
    }


def _statistics_dict(statistics: ContactStatistics) -> dict:
    """Statistics with units in the keys."""
    return {_UNITS[name]: values for name, values in asdict(statistics).items()}


def _tail_dict(result: PeaksResult) -> dict | None:
    """The fitted tail."""
    tail = result.tail
    if tail is None:
        return None
    return {
        "threshold_N": tail.threshold,
        "shape": tail.shape,
        "scale_N": tail.scale,
        "rate_per_h": tail.rate,
        "exceedances": tail.exceedances,
        "shape_90_percent": tail.posterior.shape_limits(0.9),
        "interval": PRIOR_WORDS,
        "threshold": threshold_dict(result.thresholds),
    }


def _extrapolation_dict(result: PeaksResult) -> dict:
    """The return level; null and reasons where it cannot be told."""
    found = result.extrapolation
    told = _level_dict(found.level)
    nothing = dict.fromkeys(("level_N", "low_N", "high_N"))
    return {
        "horizon_h": found.horizon_h,
        **(nothing if told is None else told),
        "reasons": found.reasons,
        "rule": found.rule,
        "origin_of_rule": found.origin,
        "supported": _level_dict(found.supported),
    }


def _level_dict(level: ReturnLevel | None) -> dict | None:
    """A level that the run supports."""
    if level is None:
        return None
    return {
        "horizon_h": level.horizon_h,
        "level_N": level.level,
        "low_N": level.low,
        "high_N": level.high,
        "confidence": level.confidence,
        "warnings": level.warnings,
    }
