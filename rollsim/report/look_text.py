"""The imposed vibration in words and as a dictionary for JSON."""

from __future__ import annotations

from dataclasses import asdict

import numpy as np

from rollsim.model.random_response import peak_factor
from rollsim.report.check_words import environment_lines
from rollsim.report.look import Look
from rollsim.report.look_random import PAIRS, coherence, random_lines
from rollsim.report.look_shape import beyond_lines, response_lines
from rollsim.report.plain_data import CAUTION, json_ready, number, percent, table, wrapped
from rollsim.signals.bands import band_centre, nominal_centre
from rollsim.units import G0

_AXES = "xyz"


def look_text(look: Look) -> str:
    """The imposed vibration in plain words.

    Parameters
    ----------
    look : Look
        Result of `rollsim.report.look`.

    Returns
    -------
    str
        Paragraphs and tables, no trailing newline.
    """
    m = look.measures
    lines = [
        f"Imposed vibration of {look.title}",
        f"Looked at: {m.start:.6g} s to {m.end:.6g} s, {m.rate:.6g} samples a second.",
        *(part for source in look.sources for part in wrapped(f"  {source}")),
        *environment_lines([asdict(item) for item in look.environments]),
        "",
        *level_lines(look),
        *(part for text in look.events for part in wrapped(f"  {text}")),
        "",
        *beyond_lines({name: axis.beyond for name, axis in zip(_AXES, m.axes, strict=True)}),
        "",
        *_motion_lines(look),
        *_sine_lines(look),
        *band_lines(look),
        *random_lines(look),
        *_response_lines(look),
    ]
    if look.notes:
        lines += ["", "Notes:", *(part for note in look.notes for part in wrapped(f"  {note}"))]
    return "\n".join([*lines, "", *wrapped(CAUTION)])


def level_lines(look: Look) -> list[str]:
    """Level and peaks along each axis, with what Gaussian vibration of the same level would do.

    Parameters
    ----------
    look : Look
        Result of `rollsim.report.look`.

    Returns
    -------
    list of str
    """
    head = ["axis", "rms g", "rms m/s2", "peak m/s2", "crest", "Gaussian", "kurtosis",
            "crossings 1/s", "peaks > 3 rms"]  # fmt: skip
    rows = []
    for name, axis in zip(_AXES, look.measures.axes, strict=True):
        s = axis.whole
        rows.append([
            name, number(s.rms / G0), number(s.rms), number(s.peak), number(s.crest),
            number(gaussian_crest(look, name)), number(s.kurtosis), number(s.crossings),
            percent(s.high_peaks, 2),
        ])  # fmt: skip
    text = (
        ("Level" if look.measures.plan.afterwards else "Level without the mean,")
        + " of random part, sines and events together. Crest: peak over rms;"
        " Gaussian: the crest that Gaussian vibration of the same crossings has on average in this"
        " time (Davenport). Kurtosis: 3 for Gaussian, 1.5 for a sine. Peaks beyond three rms:"
        " 1.11 % for a narrow Gaussian band (Rayleigh)."
    )
    return [*wrapped(text), *table(head, rows)]


def gaussian_crest(look: Look, axis: str) -> float:
    """Mean crest of Gaussian vibration with the crossings and the time of a look.

    Both signs count, so the number of crossings is doubled in Davenport's peak factor.

    Parameters
    ----------
    look : Look
        Result of `rollsim.report.look`.
    axis : str
        "x", "y" or "z".

    Returns
    -------
    float
        NaN where nothing moves.
    """
    m = look.measures
    crossings = m.axes[_AXES.index(axis)].whole.crossings * (m.end - m.start)
    return peak_factor(2.0 * crossings) if crossings > 1.0 else float("nan")


def _motion_lines(look: Look) -> list[str]:
    """Velocity and displacement, and what was removed."""
    m = look.measures
    if look.origin == "shock":
        change = ", ".join(f"{name} {number(1e3 * a.end_velocity, 4)} mm/s"
                           for name, a in zip(_AXES, m.axes, strict=True))  # fmt: skip
        return [f"Velocity change from rest, nothing removed: {change}."]
    rows = [
        [name, number(1e3 * a.velocity[0]), number(1e3 * a.velocity[1]),
         number(1e6 * a.displacement[0]), number(1e6 * a.displacement[1]),
         number(1e3 * a.end_velocity)]
        for name, a in zip(_AXES, m.axes, strict=True)
    ]  # fmt: skip
    head = [
        "axis",
        "velocity rms mm/s",
        "peak mm/s",
        "displacement rms um",
        "peak um",
        "change mm/s",
    ]
    text = (
        f"Motion of the housing, free of drift: the mean acceleration and everything below"
        f" {number(m.cut)} Hz were removed (half strength at {number(0.75 * m.cut)} Hz), and"
        f" {number(min(2.0 / m.cut, 0.25 * (m.end - m.start)))} s at either end are left out."
        " Displacement grows as the frequency falls, so it depends on that limit. Change: velocity"
        " gained over the stretch by plain integration, which is what was removed."
    )
    return [*wrapped(text), *table(head, rows)]


def _sine_lines(look: Look) -> list[str]:
    """Steady sines: asked and applied amplitude."""
    if not len(look.measures.lines):
        return []
    head = ["Hz", *(f"{axis} {what}" for axis in _AXES for what in ("asked", "applied", "+-"))]
    rows = []
    for i, frequency in enumerate(look.measures.lines):
        cells = [number(frequency, 5)]
        for axis in range(3):
            cells += [number(look.asked_amplitude[i, axis], 4),
                      number(look.measures.amplitude[i, axis], 4),
                      number(look.line_scatter[i, axis], 2)]  # fmt: skip
        rows.append(cells)
    text = (
        "Steady sines, amplitude in m/s2; +-: usual error beside the random vibration. They are"
        " taken out of the bands below."
        + (" Asked -: found in the recording." if np.isnan(look.asked_amplitude).any() else "")
        + (
            " Asked: what the sources state and what is in the samples of the recording."
            if look.recorded is not None
            else ""
        )
    )
    return ["", *wrapped(text), *table(head, rows)]


def band_lines(look: Look) -> list[str]:
    """Asked against applied, one line a third-octave band.

    Parameters
    ----------
    look : Look
        Result of `rollsim.report.look`.

    Returns
    -------
    list of str
        Empty where nothing random is applied or asked.
    """
    m = look.measures
    # What rounding leaves of sines and events, in histories to single precision, is no vibration.
    axes = [
        i
        for i in range(3)
        if look.asked_rms[i] > 0.0 or m.axes[i].rest_rms > 1e-6 * m.axes[i].whole.rms
    ]
    if not axes:
        return []
    asked = [i for i in axes if look.asked_rms[i] > 0.0]
    head = ["band Hz"]
    for i in axes:
        names = ("asked", "applied", "/") if i in asked else ("applied",)
        head += [f"{_AXES[i]} {name}" for name in names]
    rows = [
        [f"{nominal_centre(band):g}", *_cells(look, axes, _band(look, k)), percent(look.scatter[k])]
        for k, band in enumerate(m.bands)
    ]
    rows.append(["outside", *_cells(look, axes, lambda i: _outside(look, i)), ""])
    rows.append(["all", *_cells(look, axes, lambda i: _all(look, i)), ""])
    text = (
        ("Asked against applied, rms" if asked else "Applied vibration, rms")
        + " in m/s2 in third-octave bands without the steady sines; scatter: usual deviation of a"
        " Gaussian signal of this length, no fault of it."
        + (
            " A recording asks for its own samples of this stretch, before they are resampled: they"
            " show no scatter, and what lies above the band edge is missing in what is applied."
            if look.recorded is not None
            else ""
        )
    )
    return ["", *wrapped(text), *table([*head, "scatter"], rows)]


def _cells(look, axes, triple):
    """Asked, applied and ratio of each axis; applied alone where nothing is asked."""
    found = []
    for i in axes:
        cells = triple(i)
        found += cells if look.asked_rms[i] > 0.0 else cells[1:2]
    return found


def _band(look, k):
    """Function that gives the cells of a band for an axis."""
    m = look.measures
    return lambda i: [
        number(look.asked_band[i, k]),
        number(m.axes[i].band_rms[k]),
        _ratio(look.ratio[i, k]),
    ]


def _ratio(value):
    """Applied over asked."""
    return "-" if np.isnan(value) else f"{value:.3f}"


def _outside(look, axis):
    """Cells of what lies outside the bands."""
    asked = look.asked_rms[axis] ** 2 - np.sum(look.asked_band[axis] ** 2)
    missing = np.sqrt(asked) if asked > 1e-9 * look.asked_rms[axis] ** 2 else 0.0
    return [number(missing), number(look.measures.axes[axis].outside_rms), "-"]


def _all(look, axis):
    """Cells of the whole axis."""
    asked, applied = look.asked_rms[axis], look.measures.axes[axis].rest_rms
    return [number(asked), number(applied), _ratio(applied / asked if asked > 0.0 else np.nan)]


def _response_lines(look: Look) -> list[str]:
    """Shock response by octaves."""
    m = look.measures
    moving = {name: axis for name, axis in zip(_AXES, m.axes, strict=True) if axis.whole.rms > 0.0}
    responses = {name: axis.response for name, axis in moving.items()}
    return response_lines(m.response_frequency, responses, m.plan.quality, m.plan.afterwards)


def look_dict(look: Look) -> dict:
    """The imposed vibration as a dictionary that the json module can write.

    Parameters
    ----------
    look : Look
        Result of `rollsim.report.look`.

    Returns
    -------
    dict
        Keys carry the unit; missing numbers are None.
    """
    m = look.measures
    return json_ready(
        {
            "title": look.title,
            "origin": look.origin,
            "looked_at_s": [m.start, m.end],
            "rate_Hz": m.rate,
            "sources": look.sources,
            "environments": [asdict(item) for item in look.environments],
            "events_asked": look.events,
            "axes": {name: _axis_dict(look, i) for i, name in enumerate(_AXES)},
            "removed_below_Hz": m.cut,
            "lines": {
                "frequency_Hz": m.lines,
                "asked_m_per_s2": look.asked_amplitude,
                "applied_m_per_s2": m.amplitude,
                "usual_error_m_per_s2": look.line_scatter,
            },
            "bands": {
                "nominal_Hz": [nominal_centre(band) for band in m.bands],
                "centre_Hz": band_centre(m.bands),
                "usual_scatter": look.scatter,
            },
            "coherence": {
                f"{_AXES[i]}{_AXES[j]}": {
                    "asked": coherence(look.asked_cross, i, j)[0],
                    "applied": coherence(m.cross, i, j)[0],
                    "phase_asked_deg": coherence(look.asked_cross, i, j)[1],
                    "phase_applied_deg": coherence(m.cross, i, j)[1],
                }
                for i, j in PAIRS
            },
            "shock_response": {"natural_Hz": m.response_frequency, "quality": m.plan.quality},
            "notes": look.notes,
            "recorded": _recorded_dict(look),
            "caution": CAUTION,
        }
    )


def _recorded_dict(look):
    """Density that the recordings ask for; None without."""
    if look.recorded is None:
        return None
    found = {"frequency_Hz": look.recorded.frequency}
    return found | {
        f"{name}_m2_per_s4_per_Hz": look.recorded.density[i] for i, name in enumerate(_AXES)
    }


def _axis_dict(look, i):
    """One axis."""
    axis, s = look.measures.axes[i], look.measures.axes[i].whole
    return {
        "mean_m_per_s2": s.mean,
        "rms_m_per_s2": s.rms,
        "rms_g": s.rms / G0,
        "peak_m_per_s2": s.peak,
        "crest": s.crest,
        "crest_of_gaussian": gaussian_crest(look, _AXES[i]),
        "kurtosis": s.kurtosis,
        "upward_crossings_per_s": s.crossings,
        "peaks": s.peaks,
        "share_of_peaks_beyond_3_rms": s.high_peaks,
        "random_rms_asked_m_per_s2": look.asked_rms[i],
        "random_rms_applied_m_per_s2": axis.rest_rms,
        "random_kurtosis_asked": look.asked_kurtosis[i],
        "random_kurtosis_applied": axis.rest_kurtosis,
        "velocity_rms_m_per_s": axis.velocity[0],
        "velocity_peak_m_per_s": axis.velocity[1],
        "velocity_change_m_per_s": axis.end_velocity,
        "displacement_rms_m": axis.displacement[0],
        "displacement_peak_m": axis.displacement[1],
        "removed_mean_m_per_s2": axis.removed_mean,
        "band_asked_m_per_s2": look.asked_band[i],
        "band_applied_m_per_s2": axis.band_rms,
        "band_ratio": look.ratio[i],
        "outside_bands_applied_m_per_s2": axis.outside_rms,
        "density_frequency_Hz": axis.frequency,
        "density_m2_per_s4_per_Hz": axis.density,
        "histogram_edges_in_rms": axis.edges,
        "histogram_density": axis.share,
        "share_beyond_1_2_3_4_rms": axis.beyond,
        "shock_response_m_per_s2": axis.response,
    }
