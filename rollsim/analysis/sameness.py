"""Two histories held against each other, bit by bit."""

from dataclasses import dataclass

import numpy as np

from rollsim.history.layout import CHANNELS, TABLE_GROUPS

#: Column of every group that says when a row is, s.
_TIME_OF = {"history": "time", "peak": "time", "impacts": "start", "quality": "end_time"}
#: Datasets that tell how fast the computer was, not what it computed.
TIMINGS = (("quality", "wall_time"),)
#: Attributes that say when, by what and how fast, and words that follow from the rest.
_ABOUT_THE_RUN = {
    "assumptions",
    "case_folder",
    "case_name",
    "created",
    "format_version",
    "machine_changes",
    "provenance",
    "rollsim_version",
    "steps_refused",
    "steps_taken",
    "wall_time_s",
}
_ROWS = 20000


@dataclass(frozen=True)
class Difference:
    """A dataset whose numbers are not the same to the bit in both files.

    group, name; count: numbers that differ, None where the shapes do; time: of the first row that
    differs, s (NaN where a dataset has no times); row: its number from 0; place: its index beyond
    the row; first, second: the numbers there, or the shapes.
    """

    group: str
    name: str
    count: int | None
    time: float
    row: int
    place: tuple
    first: object
    second: object


@dataclass(frozen=True)
class Sameness:
    """Whether two histories hold the same numbers.

    compared: datasets held against each other; differences: tuple of Difference, earliest first;
    only_first, only_second: datasets ("group/name") that one of them lacks; attributes: tuple of
    (name, first, second) of root attributes that differ, without those that say when, by what
    version and how fast.
    """

    compared: int
    differences: tuple
    only_first: tuple
    only_second: tuple
    attributes: tuple

    @property
    def same(self):
        """True where every number is the same to the bit."""
        parts = (self.differences, self.only_first, self.only_second, self.attributes)
        return not any(parts)


def sameness(first, second):
    """Hold two histories against each other, dataset by dataset.

    Parameters
    ----------
    first : History
        Open for reading.
    second : History
        Open for reading.

    Returns
    -------
    Sameness
        Times of computing are left out.
    """
    ours, theirs = _datasets(first), _datasets(second)
    both = [key for key in ours if key in theirs]
    found = [_table_difference(first, second, *key) for key in both]
    extra = [_arrays_of(history) for history in (first, second)]
    shared = [key for key in extra[0] if key in extra[1]]
    found += [_array_difference(*key, extra[0][key], extra[1][key]) for key in shared]
    return Sameness(
        len(both) + len(shared),
        tuple(sorted((item for item in found if item), key=_by_time)),
        _lacking((ours, extra[0]), (theirs, extra[1])),
        _lacking((theirs, extra[1]), (ours, extra[0])),
        _attributes(first.attributes, second.attributes),
    )


def _datasets(history):
    """Group and name of every dataset with rows, without times of computing."""
    keys = ((group, name) for group in TABLE_GROUPS for name in history.names(group))
    return [key for key in keys if key not in TIMINGS]


def _arrays_of(history):
    """Arrays that belong to a run as a whole: state at its end, modes of the cage."""
    groups = {"checkpoint": history.checkpoint(), "modes": history.modes()}
    return {(group, name): value for group, own in groups.items() for name, value in own.items()}


def _lacking(own, other):
    """Datasets of one file that the other one lacks."""
    return tuple(
        f"{group}/{name}"
        for mine, yours in zip(own, other, strict=True)
        for group, name in mine
        if (group, name) not in yours
    )


def _by_time(item):
    """Order of differences: by time, those without one last, then in the order of the layout."""
    groups, names = [*CHANNELS], [*CHANNELS.get(item.group, {})]
    group = groups.index(item.group) if item.group in groups else len(groups)
    name = names.index(item.name) if item.name in names else len(names)
    return (np.isnan(item.time), item.time, group, name)


def _table_difference(first, second, group, name):
    """Difference of a dataset with rows, read piece by piece; None where there is none."""
    count, at, row = 0, None, 0
    while True:
        ours = first.raw(group, name, row, row + _ROWS)
        theirs = second.raw(group, name, row, row + _ROWS)
        if ours.shape != theirs.shape or ours.dtype != theirs.dtype:
            time = _time_of(first, second, group, row + min(len(ours), len(theirs)))
            shapes = [
                f"{values.dtype} {values.shape}, from row {row} on" for values in (ours, theirs)
            ]
            return Difference(group, name, None, time, row, (), *shapes)
        wrong = _differing(ours, theirs)
        if at is None and wrong.any():
            place = tuple(int(part) for part in np.argwhere(wrong)[0])
            at = (row + place[0], place[1:], ours[place].item(), theirs[place].item())
        count += int(np.count_nonzero(wrong))
        row += _ROWS
        if len(ours) < _ROWS:
            break
    if at is None:
        return None
    return Difference(group, name, count, _time_of(first, second, group, at[0]), *at)


def _array_difference(group, name, ours, theirs):
    """Difference of an array without rows; None where there is none."""
    if ours.shape != theirs.shape or ours.dtype != theirs.dtype:
        shapes = [f"{values.dtype} {values.shape}" for values in (ours, theirs)]
        return Difference(group, name, None, np.nan, 0, (), *shapes)
    wrong = _differing(np.atleast_1d(ours), np.atleast_1d(theirs))
    if not wrong.any():
        return None
    place = tuple(int(part) for part in np.argwhere(wrong)[0])
    values = [np.atleast_1d(own)[place].item() for own in (ours, theirs)]
    return Difference(group, name, int(np.count_nonzero(wrong)), np.nan, 0, place, *values)


def _differing(ours, theirs):
    """Which numbers differ in any bit: -0 is not 0, and one NaN is the other."""
    if ours.dtype.kind not in "biuf":
        return np.atleast_1d(np.array(ours.tobytes() != theirs.tobytes()))
    bits = f"u{ours.dtype.itemsize}"
    return np.ascontiguousarray(ours).view(bits) != np.ascontiguousarray(theirs).view(bits)


def _time_of(first, second, group, row):
    """Time of a row, s, by whichever file has it."""
    for history in (first, second):
        if _TIME_OF[group] in history.names(group):
            values = history.raw(group, _TIME_OF[group], row, row + 1)
            if len(values):
                return float(values[0])
    return np.nan


def _attributes(first, second):
    """Root attributes that differ."""
    names = [name for name in {**first, **second} if name not in _ABOUT_THE_RUN]
    found = ((name, first.get(name), second.get(name)) for name in names)
    # By their text, so that arrays compare as a whole and one NaN is like the other.
    return tuple(item for item in found if _text(item[1]) != _text(item[2]))


def _text(value):
    """All digits of a value."""
    return repr(value.tolist() if isinstance(value, np.ndarray) else value)
