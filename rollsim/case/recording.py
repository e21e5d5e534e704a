"""[[vibration]] kind = "recording": acceleration measured on site, replayed as base motion."""

from __future__ import annotations

from typing import Literal

from rollsim.case.fields import Section, assumed, computed, conditional, list_of, needed

SignedAxis = Literal["x", "y", "z", "-x", "-y", "-z"]
Unit = Literal["g", "mg", "m/s2", "mm/s2", "ft/s2", "in/s2"]
FORMATS = {
    ".csv": "text",
    ".txt": "text",
    ".tsv": "text",
    ".asc": "text",
    ".dat": "text",
    ".h5": "hdf5",
    ".hdf5": "hdf5",
    ".hdf": "hdf5",
    ".wav": "wav",
    ".uff": "uff58",
    ".unv": "uff58",
    ".uf": "uff58",
}
"""Format of a recording by the ending of its file name."""

_TEXT = "for text files; found in their first lines where it is not given"


class RecordingSource(Section):
    """kind = "recording": channels of a file, turned onto the axes of the bearing.

    `axis[i]` is the direction that `channels[i]` measures; a minus sign turns the channel round.
    """

    kind: Literal["recording"] = needed("kind of source", example="recording")
    file: str = needed(
        "file with the recording: text (CSV), HDF5, WAV or UFF 58; a path relative to the folder "
        "of this case file",
        example="site.csv",
        max_length=1000,
    )
    channels: list_of(str) = needed(
        "channels to replay. Text: names of columns, or their numbers; HDF5: paths of datasets, "
        "'/acc[2]' for the second column of a table; WAV: numbers; UFF 58: numbers of the sets, or "
        "node and direction as '12+X'. Numbers count from 1",
        example=("acc_x", "acc_y"),
        form="a list of texts",
    )
    axis: list_of(SignedAxis) = needed(
        "axis of each channel, in the order of channels; '-x' turns its sign",
        example=("x", "y"),
        form="a list of any of 'x', 'y', 'z', '-x', '-y', '-z'",
    )
    unit: Unit = needed("unit of the samples", example="g")
    format: Literal["text", "hdf5", "wav", "uff58"] | None = computed(
        "format of the file", how="the ending of the file name", example="text"
    )
    rate_Hz: float | None = conditional(
        "sampling rate",
        "Hz",
        when="text and HDF5: this or time_channel; with a rate in the file the two must agree",
        example=2000.0,
        gt=0,
        le=1e7,
    )
    time_channel: str | None = conditional(
        "column or dataset with the times", when="text and HDF5: this or rate_Hz", example="time"
    )
    time_unit: Literal["s", "ms", "us"] = assumed(
        "s", "unit of the times", only={"time_channel": ...}
    )
    full_scale: float | None = conditional(
        "acceleration at full scale, in the unit of the samples",
        when="needed with WAV files",
        example=50.0,
        gt=0,
        le=1e7,
    )
    delimiter: Literal[";", ",", "tab", "space", "|"] | None = conditional(
        "what separates columns", when=_TEXT, example=";"
    )
    decimal: Literal[".", ","] | None = conditional("decimal sign", when=_TEXT, example=",")
    header_lines: int | None = conditional(
        "lines before the numbers", when=_TEXT, example=1, ge=0, le=1000
    )
    start_s: float = assumed(
        0.0, "start of the part to replay, from the first sample", "s", why="from the start", ge=0
    )
    end_s: float | None = computed(
        "end of the part to replay, from the first sample",
        "s",
        how="end of the recording",
        example=60.0,
        gt=0,
    )
    gain: float = assumed(1.0, "factor on the acceleration", why="level as recorded", gt=0, le=1000)
    mounting_angle_deg: float = assumed(
        0.0,
        "angle from the bearing's x axis to the x axis of the sensor",
        "degrees",
        why="sensor in line with the axes of the bearing",
        ge=-360,
        le=360,
    )
    remove_mean: bool = assumed(
        True,
        "take the mean of each channel away",
        why="the offset of a sensor is no motion, and the weight is in the model already",
    )
    high_pass_Hz: float | None = conditional(
        "corner of the high-pass filter (zero phase)",
        "Hz",
        when="to take drift away; no filter where it is not given",
        example=1.0,
        gt=0,
        le=1e5,
    )
    band_edge_Hz: float | None = computed(
        "highest frequency that is kept; the table holds ten samples of its period",
        "Hz",
        how="0.4 times the rate of the recording",
        example=1000.0,
        gt=0,
        le=1e6,
    )
    repeat: Literal["once", "loop"] = assumed(
        "once", "whether the recording starts again at its end", why="as recorded"
    )
    cross_fade_s: float = assumed(
        0.1,
        "time over which the end of a loop goes over into its start; the loop is shorter by it",
        "s",
        only={"repeat": ("loop",)},
        gt=0,
        le=1000,
    )
    after_end: Literal["refuse", "silence"] = assumed(
        "refuse",
        "what a run gets that is longer than the recording",
        why="nothing is made up",
        only={"repeat": ("once",)},
    )
    fade_out_s: float = assumed(
        0.05,
        "time over which the recording fades out before silence",
        "s",
        only={"after_end": ("silence",)},
        ge=0,
        le=1000,
    )


def format_of(file: str, given: str | None) -> str | None:
    """Format of a recording.

    Parameters
    ----------
    file : str
        Name of the file.
    given : str or None
        Format as given in the case.

    Returns
    -------
    str or None
        "text", "hdf5", "wav" or "uff58"; None where the ending of the name is unknown.

    Examples
    --------
    >>> format_of("data/Site.CSV", None), format_of("site.bin", None), format_of("a.dat", "hdf5")
    ('text', None, 'hdf5')
    """
    ending = "." + file.rsplit(".", 1)[-1].lower() if "." in file else ""
    return given or FORMATS.get(ending)
