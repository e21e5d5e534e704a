"""The black box of a failed run: its last milliseconds at every internal step, in a file beside."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from rollsim.errors import HistoryError
from rollsim.history.attributes import read_attributes, write_attributes
from rollsim.history.files import plain_reason, read_whole, write_whole
from rollsim.history.layout import CHANNELS

BLACK_BOX_FORMAT = "rollsim black box"
_VERSION = 1
#: Datasets of the group `steps`: unit and meaning.
STEPS = {
    "time": ("s", "simulated time at the end of the step"),
    "length": ("s", "length of the step"),
    "error": ("1", "error norm of the step; 1 is allowed"),
}


@dataclass(frozen=True)
class BlackBox:
    """Last internal steps of a failed run.

    `attributes`: root attributes, among them reason, history, case_name, solver; `steps`: time s,
    length s and error of every step; `channels`: channels of the group `history` of the layout at
    the ends of the steps.
    """

    attributes: dict
    steps: dict
    channels: dict


def black_box_path(path):
    """Where the black box of a run lies.

    Parameters
    ----------
    path : str or Path
        Output file of the run.

    Returns
    -------
    Path
        Beside the output.

    >>> black_box_path("runs/a.h5").as_posix()
    'runs/a_blackbox.h5'
    """
    path = Path(path)
    return path.with_name(f"{path.stem}_blackbox.h5")


def write_black_box(path, box):
    """Write a black box, whole or not at all.

    Parameters
    ----------
    path : Path
        File to write; an earlier one is replaced.
    box : BlackBox
        What to write.

    Raises
    ------
    OSError
        When it cannot be written.
    """
    import h5py

    with h5py.File("box", "w", driver="core", backing_store=False) as file:
        own = {"format": BLACK_BOX_FORMAT, "format_version": _VERSION}
        write_attributes(file, {**box.attributes, **own})
        steps, channels = file.create_group("steps"), file.create_group("history")
        for name, values in box.steps.items():
            unit, meaning = STEPS[name]
            _put(steps, name, values, unit, meaning)
        for name, values in box.channels.items():
            channel = CHANNELS["history"][name]
            _put(channels, name, values, channel.unit, channel.meaning)
        for name in box.channels:
            channels["time"].make_scale("time")
            if name != "time":
                channels[name].dims[0].attach_scale(channels["time"])
        file.flush()
        image = file.id.get_file_image()
    write_whole(Path(path), image)


def _put(group, name, values, unit, meaning):
    """One packed dataset with its unit and meaning."""
    values = np.asarray(values)
    packing = {"compression": "gzip", "shuffle": True} if values.size else {}
    dataset = group.create_dataset(name, data=values, **packing)
    dataset.attrs["units"], dataset.attrs["long_name"] = unit, meaning


def read_black_box(path):
    """Read the black box of a run.

    Parameters
    ----------
    path : str or Path
        Output file of the run, or the black box itself.

    Returns
    -------
    BlackBox

    Raises
    ------
    HistoryError
        When there is none, or it cannot be read.
    """
    import io

    import h5py

    own = Path(path) if str(path).endswith("_blackbox.h5") else black_box_path(path)
    if not own.is_file():
        raise HistoryError(
            f"{own} does not exist. A black box is left by a run that failed; "
            f"rollsim status {path} says how the run is."
        )
    content = read_whole(own)
    if content is None:
        raise HistoryError(f"{own} is cut short, damaged, or no black box written by rollsim.")
    try:
        with h5py.File(io.BytesIO(content), "r") as file:
            attributes = read_attributes(file)
            if attributes.get("format") != BLACK_BOX_FORMAT:
                raise HistoryError(f"{own} is no black box written by rollsim.")
            groups = [{name: data[()] for name, data in file[g].items()} for g in _GROUPS]
    except (OSError, KeyError) as problem:
        reason = plain_reason(problem)
        raise HistoryError(f"{own} is damaged and cannot be read ({reason}).") from problem
    return BlackBox(attributes, *groups)


_GROUPS = ("steps", "history")
