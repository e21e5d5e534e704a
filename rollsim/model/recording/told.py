"""What a run and its reports say about the recordings of a case."""

from dataclasses import asdict

import numpy as np

from rollsim.case.schema import Assumption
from rollsim.model.kinematics import characteristic_frequencies
from rollsim.units import MM, RPM_TO_RAD_S

SHOWN_BY_RATE = 2.0
"""Samples of the history that a period needs to show (sampling theorem)."""

_LARGE = 500.0
_TEXT_KEYS = ("delimiter", "decimal", "header_lines")


def summary_data(summary):
    """A summary as plain values, for attributes and JSON.

    Parameters
    ----------
    summary : RecordingSummary
        The recording.

    Returns
    -------
    dict
        Names with units -> numbers, texts, lists.
    """
    return {
        "file": summary.file,
        "sha256": summary.sha256,
        "size_bytes": summary.size_bytes,
        "rate_Hz": summary.rate,
        "samples": summary.samples,
        "length_s": summary.length,
        "jitter_steps": summary.jitter,
        "band_edge_Hz": summary.band_edge,
        "table_rate_Hz": summary.table_rate,
        "table_MB": summary.table_megabytes,
        "played_s": summary.played,
        "repeat": "loop" if summary.loop else "once",
        "axis_rms_m_per_s2": [float(value) for value in summary.axis_rms],
        "channels": [_channel_data(item) for item in summary.channels],
        "read_as": summary.found,
        "warnings": list(summary.warnings),
    }


def _channel_data(facts):
    """Measures of one channel with units in their names."""
    bare = ("name", "crest", "kurtosis", "clipped")
    data = {}
    for key, value in asdict(facts).items():
        unit = "" if key in bare else "_Hz" if key == "bandwidth" else "_m_per_s2"
        data[key + unit] = value if isinstance(value, str | int) else float(value)
    return data


def recording_assumptions(case, summaries):
    """Keys of recordings that the file answered: with the value found.

    Parameters
    ----------
    case : Case
        The case.
    summaries : sequence of RecordingSummary
        Of its recordings, in order.

    Returns
    -------
    list of Assumption
        Those of text files, and of band edge and end.
    """
    left, added = list(summaries), []
    for number, source in enumerate(case.vibration, 1):
        if source.kind != "recording" or not left:
            continue
        summary, key = left.pop(0), f"vibration[{number}]."
        found = [
            Assumption(key + name, value, "", "found in the first lines of the file")
            for name, value in summary.found.items()
            if name in _TEXT_KEYS and getattr(source, name) is None
        ]
        if source.end_s is None:
            end = round(source.start_s + summary.length, 6)
            found.append(Assumption(key + "end_s", end, "s", "computed: end of the recording"))
        if source.band_edge_Hz is None:
            found.append(
                Assumption(
                    key + "band_edge_Hz", round(summary.band_edge, 6), "Hz",
                    "computed: 0.4 times the rate of the recording",
                    f"takes {summary.table_megabytes:.3g} MB; a lower edge takes less",
                )
            )  # fmt: skip
        if source.format is None:
            kind = "computed: the ending of the file name"
            found.append(Assumption(key + "format", summary.format, "", kind))
        added += found
    return added


def needed_frequency(case):
    """Highest of the bearing's own frequencies, which a recording should reach.

    Rollers passing the more often passed raceway, without slip, at the fastest speed of the case:
    what the bearing itself does to the cage goes up to there. Our own choice.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    float
        Hz.
    """
    table = case.duty.speed_table or ()
    fastest = max((abs(row[1]) for row in table), default=abs(case.duty.speed_rpm))
    found = characteristic_frequencies(
        (RPM_TO_RAD_S * max(fastest, abs(case.duty.speed_rpm)),
         RPM_TO_RAD_S * case.duty.outer_speed_rpm),
        case.roller.count,
        MM * case.roller.diameter_mm,
        MM * case.bearing.pitch_diameter_mm,
    )  # fmt: skip
    return max(found.outer_pass, found.inner_pass)


def recording_warnings(summary, output_rate, needed=0.0):
    """Sentences on one recording, those of its reading first.

    Parameters
    ----------
    summary : RecordingSummary
        The recording.
    output_rate : float
        Samples of the history, Hz.
    needed : float
        Frequency that the recording should reach, Hz.

    Returns
    -------
    list of str
        Plain sentences.
    """
    found = list(summary.warnings)
    top = max(item.bandwidth for item in summary.channels)
    if output_rate < SHOWN_BY_RATE * top:
        found.append(
            f"{summary.file}: 99 % of its power reaches up to {top:.4g} Hz, which "
            f"{output_rate:g} samples a second of the history cannot show: give output.rate_Hz of "
            f"at least {SHOWN_BY_RATE * top:.4g} Hz (the motion itself follows all of it)"
        )
    if summary.band_edge < needed:
        found.append(
            f"{summary.file}: nothing above {summary.band_edge:.4g} Hz is replayed, though the "
            f"bearing's own frequencies reach {needed:.4g} Hz (rollers passing a raceway): what "
            "the machine did there is missing; record faster, or raise band_edge_Hz"
        )
    if summary.table_megabytes > _LARGE:
        found.append(
            f"{summary.file}: its table of samples takes {summary.table_megabytes:.0f} MB in the "
            f"temporary folder; 99 % of the power lies below {top:.4g} Hz, so that a lower "
            "band_edge_Hz may do"
        )
    return found


def recording_lines(summaries, case):
    """What a run says about its recordings when it starts.

    Parameters
    ----------
    summaries : sequence of RecordingSummary
        The recordings.
    case : Case
        The case.

    Returns
    -------
    list of str
        One line a recording, then its warnings.
    """
    lines, rate = [], case.output.rate_Hz
    needed = needed_frequency(case) if summaries else 0.0
    for item in summaries:
        repeat = "in a loop" if item.loop else "once"
        lines.append(
            f"Replaying {item.file}: {item.samples} samples at {item.rate:.6g} Hz, "
            f"{item.played:.6g} s {repeat}, up to {item.band_edge:.6g} Hz."
        )
        lines += [f"Warning: {text}." for text in recording_warnings(item, rate, needed)]
    return lines


def summed_rms(summaries):
    """Rms of all recordings together, taken as independent.

    Parameters
    ----------
    summaries : sequence of RecordingSummary
        The recordings.

    Returns
    -------
    array (3,), m/s^2
        x, y and z.
    """
    squares = [summary.axis_rms**2 for summary in summaries]
    return np.sqrt(np.sum(squares, axis=0)) if squares else np.zeros(3)
