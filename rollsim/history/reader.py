"""Reading a history: a finished file, or the whole blocks of a run that is not finished."""

import json
from dataclasses import replace
from functools import cached_property
from pathlib import Path

import numpy as np

from rollsim.errors import HistoryError
from rollsim.history.layout import CHANNELS
from rollsim.history.remembered import RememberedChannels
from rollsim.history.segments import parts_folder
from rollsim.history.store import FileStore, SegmentStore
from rollsim.history.worked_out import WorkedOut

# A sample belongs to a time that differs from it by less than this; samples lie 1e-6 s or more
# apart, and their times carry rounding errors.
_TIME_SLACK_S = 1e-9


def open_history(path):
    """Open a history for reading.

    Parameters
    ----------
    path : str or Path
        Output file of a run. While the run is not finished, its whole blocks are read.

    Returns
    -------
    History
        Reads a channel when it is asked for.

    Raises
    ------
    HistoryError
        When the file is missing, foreign, cut short or damaged.
    """
    path = Path(path)
    if path.is_dir() and path.suffix == ".parts":
        path = path.with_suffix("")
    if path.is_file():
        return History(path, FileStore(path))
    if path.is_dir():
        raise HistoryError(f"{path} is a folder, not a history file.")
    if parts_folder(path).is_dir():
        try:
            return History(path, SegmentStore(path))
        except HistoryError:
            if path.is_file():  # the run was finished just now
                return History(path, FileStore(path))
            raise
    raise HistoryError(f"{path} does not exist.")


class History:
    """A history open for reading; a context manager. Made by open_history.

    Arrays of `channel`, `peak` and `window` are float64 whatever the precision of the file.

    Parameters
    ----------
    path : Path
        Output file of the run.
    store : FileStore or SegmentStore
        Where the rows come from.
    """

    def __init__(self, path, store):
        self.path = path
        self._store = store
        self._remembered = RememberedChannels(0)
        #: Results that evaluations find and add (WorkedOut); None keeps none.
        self.results = None

    def __enter__(self):
        """Return the history itself."""
        return self

    def __exit__(self, *_):
        """Close the file."""
        self.close()

    def __repr__(self):
        """File, status and time covered."""
        return f"<History {self.path}: {self.status}>"

    @property
    def attributes(self):
        """Root attributes as plain values (dict)."""
        return self._store.attributes

    @property
    def status(self):
        """One of "running", "finished" and "stopped: <reason>"."""
        return self.attributes["status"]

    @property
    def roller_count(self):
        """Number of rollers."""
        return int(self.attributes["roller_count"])

    @property
    def assumptions(self):
        """Assumptions of the run: list of dicts with key, value, unit, why, effect."""
        return json.loads(self.attributes.get("assumptions", "[]"))

    @cached_property
    def time(self):
        """Times of the samples, s (read-only array)."""
        values = self._store.read("history", "time")
        values.flags.writeable = False
        return values

    @cached_property
    def case(self):
        """Case of the run, read from the text kept in the file, with the seed of the run."""
        from rollsim.case.environment_file import environments_of_records
        from rollsim.case.read import parse_case

        known = environments_of_records(self.environments)
        case = parse_case(self.attributes["case_text"], self.attributes["case_name"], known)
        seed = int(self.attributes.get("seed", case.case.seed))
        # What is drawn again from the case (pockets, times of shocks) must be what the run had.
        return replace(case, case=case.case.model_copy(update={"seed": seed}))

    @property
    def environments(self):
        """Named vibration environments of the run: list of dicts, with source and basis."""
        return json.loads(self.attributes.get("environments", "[]"))

    @property
    def settled(self):
        """Slice of the samples from `settle_s` on."""
        start = self.samples(float(self.attributes.get("settle_s", 0.0)), np.inf).start
        return slice(start, len(self.time))

    def samples(self, start, end):
        """Slice of the samples in a stretch of time.

        Parameters
        ----------
        start : float, s
            First time that belongs to it.
        end : float, s
            First time that no longer belongs to it.

        Returns
        -------
        slice
            Samples with start <= time < end.
        """
        first, last = np.searchsorted(self.time, [start - _TIME_SLACK_S, end - _TIME_SLACK_S])
        return slice(int(first), max(int(first), int(last)))

    def names(self, group="history"):
        """Names of the channels that the file holds.

        Parameters
        ----------
        group : str
            "history", "peak", "impacts" or "quality".

        Returns
        -------
        tuple of str
            In the order of the layout.
        """
        held = set(self._store.names(group))
        return tuple(name for name in CHANNELS[group] if name in held)

    def channel(self, name):
        """All samples of a channel.

        Parameters
        ----------
        name : str
            Channel of the group `history`.

        Returns
        -------
        ndarray
            Samples first, in the unit of the layout.
        """
        return self._read("history", name, 0, None)

    def peak(self, name):
        """Largest force within the interval that ends at each sample.

        Parameters
        ----------
        name : str
            Channel of the group `peak`.

        Returns
        -------
        ndarray
            Samples first, N.
        """
        return self._read("peak", name, 0, None)

    def window(self, name, start, end, group="history"):
        """Part of a channel; only that part is read.

        Parameters
        ----------
        name : str
            Channel of the group.
        start : float, s
            First time that belongs to it.
        end : float, s
            First time that no longer belongs to it.
        group : str
            "history" or "peak".

        Returns
        -------
        ndarray
            Samples with start <= time < end.
        """
        rows = self.samples(start, end)
        return self._read(group, name, rows.start, rows.stop)

    def raw(self, group, name, start=0, stop=None):
        """Rows of a dataset as they stand in the file, for comparing to the bit.

        Parameters
        ----------
        group : str
            "history", "peak", "impacts" or "quality".
        name : str
            Dataset of the group.
        start : int
            First row.
        stop : int or None
            Row after the last; None for all.

        Returns
        -------
        ndarray
            In the number type of the file.
        """
        self._require(group, name)
        rows, shared = self._rows_of(group, name, start, stop)
        return rows.copy() if shared else rows

    def stored(self, name, group="history"):
        """All rows of a channel as they stand in the file, for reading only.

        Half the memory of `channel` where the file holds 32 bits; what is remembered is not copied.

        Parameters
        ----------
        name : str
            Channel of the group.
        group : str
            "history" or "peak".

        Returns
        -------
        ndarray
            In the number type of the file; nobody may change it.
        """
        self._require(group, name)
        rows, _ = self._rows_of(group, name, 0, None)
        view = rows.view()
        view.flags.writeable = False
        return view

    def rows(self, name, first, last, group="history"):
        """Part of a channel by the numbers of its samples; only that part is read.

        Parameters
        ----------
        name : str
            Channel of the group.
        first : int
            First sample that belongs to it.
        last : int
            First sample that no longer belongs to it.
        group : str
            "history" or "peak".

        Returns
        -------
        ndarray
            Samples first.
        """
        return self._read(group, name, first, last)

    def impacts(self):
        """Table of contact episodes.

        Returns
        -------
        dict of ndarray
            Column name to values, one an episode; a column that the file lacks is a HistoryError
            when it is asked for.
        """
        return self._table("impacts")

    def quality(self):
        """Table of computed blocks.

        Returns
        -------
        dict of ndarray
            Column name to values, one a block; a column that the file lacks is a HistoryError when
            it is asked for.
        """
        return self._table("quality")

    def checkpoint(self):
        """State arrays at the end of the last block.

        Returns
        -------
        dict of ndarray
            Name to array.
        """
        return self._store.checkpoint()

    def modes(self):
        """What the elastic modes of the cage are, as the run used them.

        Returns
        -------
        dict of ndarray
            frequencies Hz, damping (share of critical), participation 1/sqrt(kg) for the loads of
            `rollsim.kernels.cage_loads`, shapes 1/sqrt(kg); empty where the run has none.
        """
        return self._store.modes()

    def remember(self, room, lasting=()):
        """Keep channels that are read as a whole in memory: evaluations ask for some many times.

        Parameters
        ----------
        room : int, bytes
            Memory for them; those that were asked for longest ago go first.
        lasting : tuple of tuple of str
            Group and name of channels that go last of all.
        """
        self._remembered = RememberedChannels(room, lasting)

    def keep_results(self, known=None):
        """Keep what evaluations work out, so that the next one that needs it has it.

        Parameters
        ----------
        known : dict or None
            Results that are known already.
        """
        self.results = WorkedOut(known)

    def close(self):
        """Close the file; may be called twice."""
        self._remembered.forget()
        self._store.close()

    def _read(self, group, name, start, stop):
        """Rows of a channel as float64."""
        self._require(group, name)
        rows, shared = self._rows_of(group, name, start, stop)
        return rows.astype(np.float64, copy=shared)

    def _rows_of(self, group, name, start, stop):
        """Rows, and whether they are those in memory, which nobody may change."""
        known = self._remembered.find((group, name))
        if known is not None:
            return known[start:stop], True
        rows = self._store.read(group, name, start, stop)
        whole = start == 0 and stop is None
        return rows, whole and self._remembered.keep((group, name), rows)

    def _table(self, group):
        """All columns of a table."""
        found = _Table({name: self._store.read(group, name) for name in self.names(group)})
        found.lacks = lambda name: self._require(group, name)
        return found

    def _require(self, group, name):
        """Say which channels there are where the wanted one is not among them."""
        if name not in self.names(group):
            held = ", ".join(self.names(group))
            raise HistoryError(f"{self.path} has no channel '{name}' in '{group}'; it has: {held}.")


class _Table(dict):
    """Columns by name; one that is not there is told by the file and what it has."""

    lacks = None

    def __missing__(self, name):
        """Say so."""
        self.lacks(name)
