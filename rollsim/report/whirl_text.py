"""Whirl of the cage in words and as a dictionary for JSON."""

from __future__ import annotations

import math
from dataclasses import asdict

from rollsim.analysis.slip import Slip
from rollsim.analysis.spectra import (
    FEWEST_LINES_PER_TURN,
    KinematicLine,
    SpectrumPeak,
)
from rollsim.analysis.whirl import WhirlResult
from rollsim.report.plain_data import CAUTION, json_ready, number, percent, table, wrapped
from rollsim.report.whirl_words import (
    extra_dict,
    forcing_lines,
    indicator_lines,
    polarity,
    steadiness_lines,
)

# Lines whose distances from a peak differ by less than this share of a frequency step are both
# named: the spectrum cannot tell them apart.
_SAME_DISTANCE = 0.1
_NEAR_ZERO = "none: slower than one step"
_FORCED = (
    "The orbit follows an imposed vibration: its whirl ratio alone is no sign of an unstable cage."
)


def whirl_text(result: WhirlResult) -> str:
    """Return the whirl measures in plain words.

    Parameters
    ----------
    result : WhirlResult
        Result of `rollsim.analysis.whirl.whirl`.

    Returns
    -------
    str
        Several paragraphs and tables, no trailing newline.
    """
    verdict = result.verdict
    lines = [
        f"Whirl of the cage of {result.case_name}",
        f"Evaluated: {result.start:.6g} s to {result.end:.6g} s ({number(result.duration, 4)} s);"
        f" guide: {result.guide}; radial clearance {number(1e6 * result.clearance)} um.",
        *wrapped(f"Class: {verdict.name} ({verdict.reason})."),
        *(wrapped(f"  {_FORCED}") if verdict.name == "forced" else []),
        *wrapped(f"  Rule ({verdict.origin}): {verdict.rule}."),
        *steadiness_lines(result),
        "",
        *_measure_lines(result),
        "",
        *_slip_lines(result),
        "",
        *_spectrum_lines(result),
        *forcing_lines(result),
        "",
        *indicator_lines(),
    ]
    if result.notes:
        lines += ["", "Notes:", *(part for note in result.notes for part in wrapped(f"  {note}"))]
    return "\n".join([*lines, "", *wrapped(CAUTION)])


def _measure_lines(result: WhirlResult) -> list[str]:
    """Whirl ratio, eccentricity and roundness."""
    ecc, shape, ratio = result.eccentricity, result.roundness, result.blocks.ratio
    limit = "is held by the rollers" if result.guide.startswith("roller") else "touches the land"
    rows = [
        ["whirl speed / cage speed", signed(result.whirl_ratio), _sense(result)],
        ["  by tenths of the time", f"{signed(ratio.min())} to {signed(ratio.max())}", ""],
        ["whirl speed", _turning(result.whirl_speed), "counter-clockwise positive"],
        ["cage speed", _turning(result.cage_speed), ""],
        ["eccentricity, mean", plain_share(ecc.mean), f"clearances; 1 {limit}"],
        ["  5 / 50 / 95 / 99 %", _percentiles(result), "clearances"],
        ["  greatest", plain_share(ecc.maximum), "clearances"],
        ["mean orbit radius", f"{number(1e6 * result.mean_radius)} um", ""],
        ["time beyond 0.95", percent(ecc.close_share), ""],
        [
            "time with a loaded land",
            percent(result.land_contact_share),
            f"a land carries more than {result.land_threshold:g} N",
        ],
        ["mean position / rms", plain_share(shape.offset), "0 centred, 1 stays at one spot"],
        ["variation of radius", plain_share(shape.radius_variation), "0 circle about the centre"],
        ["short / long axis", plain_share(shape.axis_ratio), "1 round, 0 a line"],
        ["circulation", signed(shape.circulation), "+1 counter-clockwise, -1 clockwise only"],
        ["speed deviation ratio", plain_share(shape.speed_deviation), "the smaller, the steadier"],
        [
            "scatter of whirl ratio",
            plain_share(result.ratio_scatter),
            "of its mean, tenths of time",
        ],
    ]
    width = max(len(row[0]) for row in rows)
    middle = max(len(row[1]) for row in rows)
    return [f"  {a:<{width}}  {b:<{middle}}  {c}".rstrip() for a, b, c in rows]


def plain_share(value: float) -> str:
    """Return a number of the order of 1 with three decimals, "-" for NaN.

    Parameters
    ----------
    value : float
        Any number.

    Returns
    -------
    str

    Examples
    --------
    >>> plain_share(0.51234)
    '0.512'
    """
    return "-" if math.isnan(value) else f"{value:.3f}"


def signed(value: float) -> str:
    """Return a number with its sign and three decimals, "-" for NaN.

    Parameters
    ----------
    value : float
        Any number.

    Returns
    -------
    str

    Examples
    --------
    >>> signed(0.5)
    '+0.500'
    """
    return "-" if math.isnan(value) else f"{value:+.3f}"


def _sense(result: WhirlResult) -> str:
    """Say which way the cage whirls."""
    words = {"forward": "forward, with the cage", "backward": "backward, against the cage"}
    return words.get(polarity(result), "unknown")


def _turning(speed: float) -> str:
    """A speed in two units."""
    if math.isnan(speed):
        return "-"
    return f"{number(speed, 4)} rad/s ({number(speed * 30.0 / math.pi, 4)} rpm)"


def _percentiles(result: WhirlResult) -> str:
    """Percentiles of the eccentricity."""
    ecc = result.eccentricity
    values = (ecc.percentile_5, ecc.percentile_50, ecc.percentile_95, ecc.percentile_99)
    return " / ".join(plain_share(value) for value in values)


def _slip_lines(result: WhirlResult) -> list[str]:
    """Slip of cage and rollers."""
    rows = [
        [name, f"{number(slip.mean_speed, 4)}", f"{number(slip.rolling_speed, 4)}", *_shares(slip)]
        for name, slip in (
            ("cage", result.cage_slip),
            ("roller orbit", result.roller_orbit_slip),
            ("roller spin", result.roller_spin_slip),
        )
    ]
    head = ["slip of", "mean rad/s", "rolling rad/s", "mean", "5 %", "95 %", "rollers from", "to"]
    return ["Slip, 1 - speed/(speed of pure rolling):", *table(head, rows)]


def _shares(slip: Slip) -> list[str]:
    """Slip values in per cent."""
    cells = [percent(slip.mean, 2), percent(slip.low, 2), percent(slip.high, 2)]
    if slip.by_roller.size == 0:
        return [*cells, "", ""]
    return [*cells, percent(slip.by_roller.min(), 2), percent(slip.by_roller.max(), 2)]


def _spectrum_lines(result: WhirlResult) -> list[str]:
    """Strongest lines of the full spectrum."""
    spectrum = result.spectrum
    found = result.strongest
    title = (
        f"Full spectrum, {spectrum.averages} averages, step {number(spectrum.step)} Hz"
        " (positive counter-clockwise):"
    )
    if not found:
        return [title, "  The cage centre does not move: no lines."]
    # No more digits than the step can tell.
    digits = 2 if spectrum.step < 0.5 else 1
    rows = [
        [
            f"{peak.frequency:+.{digits}f}",
            percent(peak.share),
            line_name(peak, result.lines, spectrum.step),
        ]
        for peak in found
    ]
    lines = table(["line Hz", "share of power"], [row[:2] for row in rows])
    nearest = ["nearest known line within one step", *(row[2] for row in rows)]
    rows = [f"{a}  {b}".rstrip() for a, b in zip(lines, nearest, strict=True)]
    return [title, *rows, *wrapped(f"  {coarse_note(result)}")]


def coarse_note(result: WhirlResult) -> str:
    """Return what a spectrum of few turns cannot tell.

    Parameters
    ----------
    result : WhirlResult
        Result of `rollsim.analysis.whirl.whirl`.

    Returns
    -------
    str
        A sentence; empty where the step is fine enough for the cage speed.
    """
    step, cage = result.spectrum.step, abs(result.cage_speed) / (2.0 * math.pi)
    # A section is a whole number of samples: its step is a little off the wanted one.
    if not cage > 0.0 or step <= 1.05 * cage / FEWEST_LINES_PER_TURN:
        return ""
    turns = cage * result.duration
    return (
        f"Only {turns:.1f} cage turns: frequencies nearer than {number(2.0 * step)} Hz"
        " cannot be told apart."
    )


def line_name(peak: SpectrumPeak, lines: tuple[KinematicLine, ...], step: float) -> str:
    """Return the line nearest to a spectrum peak, within one frequency step.

    Parameters
    ----------
    peak : SpectrumPeak
        Peak of the spectrum.
    lines : tuple of KinematicLine
        Lines to compare with; the mirror image of each counts too.
    step : float, Hz
        Distance of the frequencies of the spectrum.

    Returns
    -------
    str
        Several names where lines lie together; empty where no line is near. A peak at 0 Hz is slow
        drift and gets no line, however slow the cage turns.
    """
    if abs(peak.frequency) < 0.5 * step:
        return _NEAR_ZERO
    found = [(line.distance(peak.frequency), line.name) for line in lines]
    found += [
        (line.distance(-peak.frequency), f"{line.name}, reversed")
        for line in lines
        if not line.both_senses
    ]
    found = sorted(pair for pair in found if pair[0] <= step)
    return "; ".join(name for far, name in found if far <= found[0][0] + _SAME_DISTANCE * step)


def whirl_dict(result: WhirlResult) -> dict:
    """Return the whirl measures as a dictionary that the json module can write.

    Parameters
    ----------
    result : WhirlResult
        Result of `rollsim.analysis.whirl.whirl`.

    Returns
    -------
    dict
        Keys carry the unit; missing numbers are None; the spectrum as its strongest lines.
    """
    blocks, spectrum = result.blocks, result.spectrum
    return json_ready(
        {
            "case_name": result.case_name,
            "evaluated_s": [result.start, result.end],
            "guide": result.guide,
            "radial_clearance_m": result.clearance,
            "class": asdict(result.verdict),
            "whirl_ratio": result.whirl_ratio,
            "whirl_speed_rad_per_s": result.whirl_speed,
            "cage_speed_rad_per_s": result.cage_speed,
            "eccentricity_in_clearances": asdict(result.eccentricity),
            "mean_orbit_radius_m": result.mean_radius,
            "roundness": asdict(result.roundness),
            "land_contact_share": result.land_contact_share,
            "land_threshold_N": result.land_threshold,
            "blocks": {
                "start_s": blocks.start,
                "end_s": blocks.end,
                "whirl_speed_rad_per_s": blocks.speed,
                "whirl_ratio": blocks.ratio,
                "mean_eccentricity_in_clearances": blocks.eccentricity,
            },
            "whirl_ratio_scatter": result.ratio_scatter,
            "spectrum": {
                "step_Hz": spectrum.step,
                "averages": spectrum.averages,
                "strongest": [
                    {"frequency_Hz": peak.frequency, "share_of_power": peak.share}
                    for peak in result.strongest
                ],
                "kinematic_lines_Hz": _lines_dict(result, imposed=False),
                "imposed_lines_Hz": _lines_dict(result, imposed=True),
            },
            "cage_slip": _slip_dict(result.cage_slip),
            "roller_orbit_slip": _slip_dict(result.roller_orbit_slip),
            "roller_spin_slip": _slip_dict(result.roller_spin_slip),
            **extra_dict(result),
            "assumptions": result.assumptions,
            "notes": result.notes,
            "caution": CAUTION,
        }
    )


def _lines_dict(result: WhirlResult, imposed: bool) -> dict:
    """Frequencies by name."""
    return {line.name: line.frequency for line in result.lines if line.imposed == imposed}


def _slip_dict(slip: Slip) -> dict:
    """Slip with units in the keys."""
    return {
        "rolling_speed_rad_per_s": slip.rolling_speed,
        "mean_speed_rad_per_s": slip.mean_speed,
        "mean": slip.mean,
        "percentile_5": slip.low,
        "percentile_95": slip.high,
        "by_roller": slip.by_roller,
    }
