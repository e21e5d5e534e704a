"""The latest blocks of a running run, thinned out, in a small file that others may open any time.

The file is replaced as a whole after every block, so that a reader needs no lock and never sees
half of it; one that is open stays as it was.
"""

import io
from collections import deque
from pathlib import Path

import numpy as np

from rollsim.errors import HistoryError
from rollsim.history.attributes import read_attributes, write_attributes
from rollsim.history.files import read_whole, remove_quietly, write_whole
from rollsim.history.layout import FACES, LANDS
from rollsim.history.reader import open_history
from rollsim.history.segments import last_whole_segment, opened_segment, parts_folder

LIVE_FORMAT = "rollsim live view"
FORMAT_VERSION = 1
#: Blocks that are kept, and rows of each at most.
BLOCKS, ROWS = 5, 400
#: Name -> unit, meaning.
CHANNELS = {
    "time": ("s", "end of the interval that a row stands for"),
    "cage_position": ("m", "cage centre in the housing frame at that time (x, y, z)"),
    "cage_eccentricity": ("m", "largest distance of the cage centre from the axis in the interval"),
    "cage_speed": ("rad/s", "turning speed of the cage at that time"),
    "pocket_force": ("N", f"largest in the interval, of all rollers, by face: {', '.join(FACES)}"),
    "land_force": ("N", f"largest in the interval, by land: {', '.join(LANDS)}"),
}
_TOLD = ("case_name", "seed", "duration_s", "settle_s", "guidance_clearance_m", "created")


def live_path(path):
    """Name of the live view of a run.

    Parameters
    ----------
    path : str or Path
        Output file of the run.

    Returns
    -------
    Path

    >>> live_path("runs/screen.h5").as_posix()
    'runs/screen_live.h5'
    """
    path = Path(path)
    return path.with_name(f"{path.stem}_live.h5")


def thinned(history, peak):
    """Motion and forces of a block in few rows: largest values survive.

    Parameters
    ----------
    history, peak : dict of ndarray
        Channels of the groups of that name, the same rows in both.

    Returns
    -------
    dict of ndarray
        Names as in CHANNELS, at most ROWS rows; channels that the block lacks are left out.
    """
    time = np.asarray(history["time"])
    step = max(1, -(-len(time) // ROWS))
    starts = np.arange(0, len(time), step)
    ends = np.minimum(starts + step, len(time)) - 1
    found = {"time": time[ends]}
    if "cage_position" in history:
        place = np.asarray(history["cage_position"])
        found["cage_position"] = place[ends]
        found["cage_eccentricity"] = _largest(np.hypot(place[:, 0], place[:, 1]), starts)
    if "cage_speed" in history:
        found["cage_speed"] = np.asarray(history["cage_speed"])[ends]
    if "pocket_force" in peak:
        found["pocket_force"] = _largest(np.asarray(peak["pocket_force"]).max(axis=1), starts)
    if "land_force" in peak:
        found["land_force"] = _largest(np.asarray(peak["land_force"]), starts)
    return found


def _largest(values, starts):
    """Largest value of every interval."""
    return np.maximum.reduceat(values, starts, axis=0) if len(starts) else values


class LiveView:
    """Keeps the live view of one run.

    Parameters
    ----------
    path : str or Path
        Output file of the run.
    attributes : dict
        Root attributes of the run.
    """

    def __init__(self, path, attributes):
        self.path = live_path(path)
        self._attributes = {name: attributes.get(name) for name in _TOLD}
        self._blocks = deque(maxlen=BLOCKS)

    def add(self, block):
        """Take up a block and replace the file; a disk that refuses does not disturb the run.

        Parameters
        ----------
        block : Block
            What a run computed.
        """
        if not len(block.history["time"]):
            return
        self._blocks.append(thinned(block.history, block.peak))
        try:
            write_whole(self.path, self._image(), lasting=False)
        except OSError:
            remove_quietly(self.path)

    def _image(self):
        """The file as bytes."""
        import h5py

        own = {"format": LIVE_FORMAT, "format_version": FORMAT_VERSION, **self._attributes}
        with h5py.File("live", "w", driver="core", backing_store=False) as file:
            write_attributes(file, own)
            for name in self._blocks[-1]:
                rows = np.concatenate([block[name] for block in self._blocks])
                data = file.create_dataset(name, data=rows)
                data.attrs["units"], data.attrs["long_name"] = CHANNELS[name]
            file.flush()
            return file.id.get_file_image()

    def remove(self):
        """Take the file away: the history holds everything."""
        remove_quietly(self.path)


def read_live(path):
    """Channels of a live view.

    Parameters
    ----------
    path : str or Path
        Output file of the run.

    Returns
    -------
    attributes : dict
        case_name, seed, duration_s, settle_s, guidance_clearance_m, created, as far as known.
    channels : dict of ndarray
        Names as in CHANNELS.

    Raises
    ------
    HistoryError
        When there is none, or it is something else.
    """
    import h5py

    own = live_path(path)
    content = read_whole(own)
    if content is None:
        raise HistoryError(f"{own} is no whole live view: start the run with --live.")
    try:
        with h5py.File(io.BytesIO(content), "r") as file:
            attributes = read_attributes(file)
            if attributes.get("format") != LIVE_FORMAT:
                raise HistoryError(f"{own} is no live view written by rollsim.")
            return attributes, {name: file[name][()] for name in CHANNELS if name in file}
    except (OSError, KeyError, ValueError) as problem:
        raise HistoryError(f"{own} is damaged and cannot be read ({problem}).") from problem


_MOTION, _FORCES = ("time", "cage_position", "cage_speed"), ("pocket_force", "land_force")


def latest(path):
    """The same of the last block of a run, from its blocks or its finished file.

    Parameters
    ----------
    path : str or Path
        Output file of the run.

    Returns
    -------
    attributes : dict
        Root attributes of the run.
    channels : dict of ndarray
        Names as in CHANNELS.

    Raises
    ------
    HistoryError
        When there is no block, or it cannot be read.
    """
    segment = None if Path(path).exists() else last_whole_segment(parts_folder(path))
    if segment is not None:
        # That one file alone: a look every two seconds must not read a whole night.
        try:
            with opened_segment(segment) as file:
                groups = [_present(file[name], names) for name, names in _TAKEN]
                return read_attributes(file), thinned(*groups)
        except OSError:
            pass  # merged and removed since the look above
    with open_history(path) as history:
        return history.attributes, _last_block(history)


_TAKEN = (("history", _MOTION), ("peak", _FORCES))


def _present(group, names):
    """Datasets of a group, as far as they are there."""
    return {name: group[name][()] for name in names if name in group}


def _last_block(history):
    """Rows of the last block of an open history."""
    ends = history.quality()["end_time"]
    rows = history.samples(float(ends[-2]) if len(ends) > 1 else 0.0, np.inf)
    if len(ends) > 1:  # the sample at its start belongs to the block before
        rows = slice(rows.start + 1, rows.stop)
    groups = []
    for group, names in _TAKEN:
        known = [name for name in names if name in history.names(group)]
        groups.append({k: history.rows(k, rows.start, rows.stop, group) for k in known})
    return thinned(*groups)
