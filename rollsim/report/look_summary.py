"""Asked against applied vibration in short, for `rollsim check`."""

from __future__ import annotations

import numpy as np

from rollsim.report.look import Look
from rollsim.report.look_shape import beyond_lines, response_lines
from rollsim.report.plain_data import json_ready, number, table, wrapped
from rollsim.signals.bands import nominal_centre

_AXES = "xyz"


def look_summary(look: Look) -> dict:
    """Levels, sines and bands, asked and applied.

    Parameters
    ----------
    look : Look
        Result of `rollsim.report.look`.

    Returns
    -------
    dict
        Units in the names; ready for JSON.
    """
    m = look.measures
    axes = {
        name: {
            "rms_m_per_s2": axis.whole.rms,
            "peak_m_per_s2": axis.whole.peak,
            "crest": axis.whole.crest,
            "kurtosis": axis.whole.kurtosis,
            "random_rms_asked_m_per_s2": look.asked_rms[i],
            "random_rms_applied_m_per_s2": axis.rest_rms,
            "band_asked_m_per_s2": look.asked_band[i],
            "band_applied_m_per_s2": axis.band_rms,
            "band_ratio": look.ratio[i],
            "histogram_edges_in_rms": axis.edges,
            "histogram_density": axis.share,
            "share_beyond_1_2_3_4_rms": axis.beyond,
            "shock_response_m_per_s2": axis.response,
        }
        for i, (name, axis) in enumerate(zip(_AXES, m.axes, strict=True))
    }
    return json_ready(
        {
            "looked_at_s": [m.start, m.end],
            "band_nominal_Hz": [nominal_centre(band) for band in m.bands],
            "band_usual_scatter": look.scatter,
            "line_frequency_Hz": m.lines,
            "line_asked_m_per_s2": look.asked_amplitude,
            "line_applied_m_per_s2": m.amplitude,
            "shock_response": {
                "natural_Hz": m.response_frequency,
                "quality": m.plan.quality,
                "after_the_end_too": m.plan.afterwards,
            },
            "events_asked": look.events,
            "axes": axes,
        }
    )


def applied_lines(found: dict | None) -> list[str]:
    """The summary in words: one table of levels, one of band ratios.

    Parameters
    ----------
    found : dict or None
        Result of `look_summary`.

    Returns
    -------
    list of str
        Empty without sources.
    """
    if found is None:
        return []
    start, end = found["looked_at_s"]
    text = (
        f"Asked against applied vibration, {start:.4g} s to {end:.4g} s (`rollsim vibration` tells"
        " more and draws it, `-o FOLDER` draws it here); random: without sines and shocks, rms in"
        " m/s2; a recording asks for its own samples"
    )
    head = [
        "axis",
        "rms m/s2",
        "peak m/s2",
        "crest",
        "kurtosis",
        "random asked",
        "applied",
        "ratio",
    ]
    rows = []
    for name, axis in found["axes"].items():
        asked, applied = axis["random_rms_asked_m_per_s2"], axis["random_rms_applied_m_per_s2"]
        rows.append([
            name, number(axis["rms_m_per_s2"]), number(axis["peak_m_per_s2"]),
            _known(axis["crest"]), _known(axis["kurtosis"]), number(asked), number(applied),
            f"{applied / asked:.3f}" if asked > 0.0 else "-",
        ])  # fmt: skip
    axes = found["axes"]
    response = found["shock_response"]
    return [
        "",
        *wrapped(text),
        *table(head, rows),
        *(part for text in found["events_asked"] for part in wrapped(f"  {text}")),
        *_sines(found),
        *_bands(found),
        *beyond_lines({name: axis["share_beyond_1_2_3_4_rms"] for name, axis in axes.items()}),
        *response_lines(
            response["natural_Hz"],
            {
                name: axis["shock_response_m_per_s2"]
                for name, axis in axes.items()
                if axis["rms_m_per_s2"] > 0.0
            },
            response["quality"],
            response["after_the_end_too"],
        ),
    ]


def _known(value) -> str:
    """A number, "-" where there is none."""
    return "-" if value is None else number(value, 4)


def _sines(found: dict) -> list[str]:
    """One line a steady sine."""
    lines = []
    for frequency, asked, applied in zip(
        found["line_frequency_Hz"],
        found["line_asked_m_per_s2"],
        found["line_applied_m_per_s2"],
        strict=True,
    ):
        words = ", ".join(
            f"{name} {_known(want)} asked, {number(got, 4)} applied"
            for name, want, got in zip(_AXES, asked, applied, strict=True)
            if want is None or want > 0.0
        )
        lines += wrapped(f"  sine of {frequency:.5g} Hz, amplitude in m/s2: {words}")
    return lines


def _bands(found: dict) -> list[str]:
    """Applied over asked rms in third-octave bands, three groups of columns side by side."""
    names = [name for name, axis in found["axes"].items() if axis["random_rms_asked_m_per_s2"] > 0]
    if not names:
        return []
    rows = [
        [f"{centre:g}", *(_ratio(found["axes"][name]["band_ratio"][k]) for name in names),
         f"{found['band_usual_scatter'][k]:.3f}"]
        for k, centre in enumerate(found["band_nominal_Hz"])
    ]  # fmt: skip
    head = ["Hz", *names, "usual +-"]
    third = -(-len(rows) // 3)
    blocks = [table(head, rows[start : start + third]) for start in range(0, len(rows), third)]
    width = max(len(line) for block in blocks for line in block)
    lines = [
        "  ".join(block[i].ljust(width) if i < len(block) else "" for block in blocks).rstrip()
        for i in range(third + 1)
    ]
    return ["  applied over asked rms in third-octave bands:", *lines]


def _ratio(value) -> str:
    """Three decimals, "-" where nothing is asked."""
    return "-" if value is None or np.isnan(value) else f"{value:.3f}"
