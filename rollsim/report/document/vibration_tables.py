"""Tables of the imposed vibration: levels, sines and bands asked and applied, recordings."""

from __future__ import annotations

import json
from collections.abc import Iterator

import numpy as np

from rollsim.report.document.gather import Execution
from rollsim.report.document.tables import Table
from rollsim.report.look import Look
from rollsim.report.look_text import gaussian_crest
from rollsim.report.plain_data import number
from rollsim.signals.bands import nominal_centre

_AXES = "xyz"


def level_tables(own: Execution) -> list[Table]:
    """Level, peak and shape along each axis; steady sines; recordings as they were read.

    Parameters
    ----------
    own : Execution
        Any.

    Returns
    -------
    list of Table
        Empty without a look.
    """
    if own.look is None:
        return []
    return [_levels(own.letter, own.look), *_sines(own.letter, own.look), *_recordings(own)]


def _levels(letter: str, look: Look) -> Table:
    """One row an axis."""
    rows = []
    for i, (name, axis) in enumerate(zip(_AXES, look.measures.axes, strict=True)):
        s, asked = axis.whole, look.asked_rms[i]
        rows.append([
            name, number(s.rms), number(s.peak), number(s.crest),
            number(gaussian_crest(look, name)), number(s.kurtosis), number(asked),
            number(axis.rest_rms), _ratio(axis.rest_rms / asked if asked > 0.0 else np.nan),
            number(1e3 * axis.velocity[0]), number(1e6 * axis.displacement[0]),
        ])  # fmt: skip
    head = (
        "axis", "rms m/s2", "peak m/s2", "crest", "crest if Gaussian", "kurtosis",
        "random asked m/s2", "applied m/s2", "ratio", "velocity rms mm/s", "displacement rms um",
    )  # fmt: skip
    start, end = look.measures.start, look.measures.end
    return _table(f"{letter}: imposed vibration from {start:.4g} s to {end:.4g} s", head, rows)


def _sines(letter: str, look: Look) -> Iterator[Table]:
    """Steady sines, asked and applied."""
    m = look.measures
    rows = [
        [f"{m.lines[k]:.5g}", name, number(look.asked_amplitude[k, i], 4),
         number(m.amplitude[k, i], 4), number(look.line_scatter[k, i], 2)]
        for k in range(len(m.lines))
        for i, name in enumerate(_AXES)
        if look.asked_amplitude[k, i] != 0.0
    ]  # fmt: skip
    if rows:
        head = ("Hz", "axis", "asked m/s2", "applied m/s2", "usual error +-")
        yield _table(f"{letter}: amplitude of steady sines", head, rows)


def _recordings(own: Execution) -> Iterator[Table]:
    """Recordings as they were read at the run."""
    for item in json.loads(own.history.attributes.get("recordings", "[]")):
        rows = [
            [one["name"], *(number(one[f"{key}_m_per_s2"], 3) for key in ("mean", "rms", "peak")),
             number(one["crest"], 3), number(one["kurtosis"], 3), number(one["bandwidth_Hz"], 3),
             one["clipped"]]
            for one in item["channels"]
        ]  # fmt: skip
        head = (
            "channel", "mean m/s2", "rms m/s2", "peak m/s2", "crest", "kurtosis",
            "99 % power below Hz", "flat tops",
        )  # fmt: skip
        caption = (
            f"{own.letter}: recording {item['file']}, {item['samples']} samples at"
            f" {item['rate_Hz']:.6g} Hz, played up to {item['band_edge_Hz']:.6g} Hz"
            f" ({item['repeat']})"
        )
        yield _table(caption, head, rows)


def band_tables(own: Execution) -> list[Table]:
    """Rms in third-octave bands, asked and applied.

    Parameters
    ----------
    own : Execution
        Any.

    Returns
    -------
    list of Table
        Empty where nothing random is asked or applied.
    """
    look = own.look
    if look is None:
        return []
    applied = [axis.rest_rms > 1e-6 * axis.whole.rms for axis in look.measures.axes]
    axes = [i for i in range(3) if look.asked_rms[i] > 0.0 or applied[i]]
    if not axes:
        return []
    rows = []
    for k, band in enumerate(look.measures.bands):
        row = [f"{nominal_centre(band):g}"]
        for i in axes:
            values = look.asked_band[i, k], look.measures.axes[i].band_rms[k]
            row += [*(number(value) for value in values), _ratio(look.ratio[i, k])]
        rows.append([*row, f"{look.scatter[k]:.3f}"])
    head = ["band Hz"]
    for i in axes:
        head += [f"{_AXES[i]} asked", f"{_AXES[i]} applied", "ratio"]
    caption = (
        f"{own.letter}: rms in m/s2 in third-octave bands without the steady sines; usual scatter"
        " of the ratio for Gaussian vibration of this length in the last column"
    )
    return [_table(caption, [*head, "scatter"], rows)]


def _table(caption: str, head, rows) -> Table:
    """Words of a table."""
    return Table(caption, tuple(head), tuple(tuple(map(str, row)) for row in rows))


def _ratio(value: float) -> str:
    """Applied over asked."""
    return "-" if np.isnan(value) else f"{value:.3f}"
