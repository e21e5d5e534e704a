"""Words of `rollsim check` about recordings: what was read, and what a run makes of it."""

from __future__ import annotations

from rollsim.report.plain_data import number, table, wrapped


def recording_lines(items, needed: float | None = None) -> list[str]:
    """Every recording with its channels.

    Parameters
    ----------
    items : list of dict
        As `rollsim.model.recording.told.summary_data` gives them.
    needed : float or None
        Highest of the bearing's own frequencies, Hz.

    Returns
    -------
    list of str
        Lines; empty where nothing is replayed.
    """
    lines = []
    for item in items:
        lines += ["", f"Recording {item['file']}", *wrapped(f"  {_read(item)}")]
        lines += wrapped(f"  {_made(item)}")
        if needed is not None:
            lines += wrapped(
                f"  the bearing's own frequencies reach {needed:.4g} Hz (rollers passing a raceway)"
            )
        lines += _channels(item["channels"])
    return lines


def _read(item: dict) -> str:
    """What was read."""
    jitter = item["jitter_steps"]
    times = f"; time steps even within {max(100 * jitter, 1e-3):.2g} %" if jitter else ""
    return (
        f"read: {item['samples']} samples at {item['rate_Hz']:.6g} Hz, {item['length_s']:.6g} s"
        f"{times}; {item['size_bytes']} bytes, SHA-256 {item['sha256']}"
    )


def _made(item: dict) -> str:
    """What a run makes of it."""
    end = "in a loop of" if item["repeat"] == "loop" else "once,"
    return (
        f"replayed {end} {item['played_s']:.6g} s, up to the band edge of "
        f"{item['band_edge_Hz']:.6g} Hz, from a table of {item['table_rate_Hz']:.6g} samples a "
        f"second ({item['table_MB']:.3g} MB)"
    )


def _channels(channels) -> list[str]:
    """Measures of the channels; units in the second line of the heading."""
    rows = [["", "m/s2", "m/s2", "m/s2", "", "(random 3)", "Hz", ""]]
    for item in channels:
        rows.append(
            [
                item["name"],
                number(item["mean_m_per_s2"], 3),
                number(item["rms_m_per_s2"], 3),
                number(item["peak_m_per_s2"], 3),
                number(item["crest"], 3),
                number(item["kurtosis"], 3),
                number(item["bandwidth_Hz"], 3),
                str(item["clipped"]),
            ]
        )
    heads = ["channel", "mean", "rms", "peak", "crest", "kurtosis", "99 % power below", "flat tops"]
    return table(heads, rows)
