"""Where an unfinished run goes on, and what a finished one may have left."""

import shutil
from dataclasses import dataclass
from pathlib import Path

from rollsim.history.attributes import read_attributes
from rollsim.history.files import read_whole
from rollsim.history.locks import is_held
from rollsim.history.segments import (
    numbered_segments,
    opened_segment,
    parts_folder,
    read_checkpoint,
    read_modes,
    whole_segments,
)


@dataclass(frozen=True)
class ResumePoint:
    """State of an unfinished run at the end of its last whole block.

    `attributes`: root attributes given when the run was started (with the case text);
    `checkpoint`: state arrays exactly as written; `end_time`: simulated time reached, s;
    `segments`: number of whole blocks; `wall_time`: computing time spent so far, s;
    `largest_pocket_force`: largest pocket force so far after settling, N; `modes`: what the modes
    of the cage are, as the run began with them (empty where it has none).
    """

    attributes: dict
    checkpoint: dict
    end_time: float
    segments: int
    wall_time: float
    largest_pocket_force: float
    modes: dict


def resume_point(path):
    """Find where an unfinished run goes on; torn or damaged blocks at the end are left out.

    Parameters
    ----------
    path : str or Path
        Output file of the run.

    Returns
    -------
    ResumePoint or None
        None when the output is complete or no block of a run was finished.
    """
    if Path(path).exists():
        return None
    segments = whole_segments(parts_folder(path))
    return read_resume_point(segments) if segments else None


def read_resume_point(segments):
    """State at the end of the last of some whole segments.

    Parameters
    ----------
    segments : list of Path
        In order of time, at least one.

    Returns
    -------
    ResumePoint
        Read from the last segment.
    """
    with opened_segment(segments[0]) as file:
        modes = read_modes(file)
    with opened_segment(segments[-1]) as file:
        attributes = read_attributes(file)
        return ResumePoint(
            attributes=attributes,
            checkpoint=read_checkpoint(file),
            end_time=float(file["quality/end_time"][-1]),
            segments=len(segments),
            wall_time=float(attributes.get("wall_time_s", 0.0)),
            largest_pocket_force=float(attributes.get("largest_pocket_force_N", 0.0)),
            modes=modes,
        )


_WHOSE = ("created", "case_text", "seed", "solver", "duration_s")


def remove_leftover(path, attributes):
    """Remove the blocks beside a finished output that a process killed in between left there.

    Blocks of any other run stay, and so does everything while a process writes there.

    Parameters
    ----------
    path : str or Path
        Finished output.
    attributes : dict
        Its root attributes.
    """
    folder = parts_folder(path)
    if not folder.is_dir() or is_held(folder):
        return
    for segment in numbered_segments(folder).values():
        if read_whole(segment) is None:
            continue
        with opened_segment(segment) as file:
            found = read_attributes(file)
        if any(found.get(name) != attributes.get(name) for name in _WHOSE):
            return
    shutil.rmtree(folder, ignore_errors=True)
