"""Running totals of a run, kept with every block so that progress is read from the last alone."""

import numpy as np

#: Attributes before the first block; None, later, for what an earlier version did not count.
START = {
    "wall_time_s": 0.0,
    "largest_pocket_force_N": 0.0,
    "last_sample_s": -np.inf,
    "steps_taken": 0,
    "steps_refused": 0,
}


def totals_after(before, tables, settle):
    """Totals after one more block.

    Parameters
    ----------
    before : dict
        As in START.
    tables : dict of dict of ndarray
        Of the block, from `block_tables`.
    settle : float, s
        Earlier pocket forces do not count.

    Returns
    -------
    dict
        Names as in START.
    """
    time, quality = tables["history"]["time"], tables["quality"]
    largest = before["largest_pocket_force_N"]
    if "pocket_force" in tables["peak"]:
        forces = tables["peak"]["pocket_force"][tables["peak"]["time"] >= settle]
        largest = max(largest, float(forces.max(initial=0.0)))
    return {
        "wall_time_s": before["wall_time_s"] + wall_time(tables),
        "largest_pocket_force_N": largest,
        "last_sample_s": float(time[-1]) if len(time) else before["last_sample_s"],
        "steps_taken": _counted(before["steps_taken"], quality.get("steps")),
        "steps_refused": _counted(before["steps_refused"], quality.get("rejected")),
    }


def wall_time(tables):
    """Computing time of a block.

    Parameters
    ----------
    tables : dict of dict of ndarray
        Of the block.

    Returns
    -------
    float, s
        0 where it is not told.
    """
    return float(tables["quality"].get("wall_time", np.zeros(1))[0])


def _counted(before, more):
    """A number counted on; None where it, or what came before, is not known."""
    return None if before is None or more is None else int(before) + int(more[0])


def time_left(reached, duration, spent):
    """Computing time to the end of a run, at its mean speed so far.

    Parameters
    ----------
    reached, duration : float or None, s
        Simulated time that is there and that is asked for.
    spent : float, s
        Computing time so far.

    Returns
    -------
    float or None, s
        None where nothing is known yet.
    """
    if not duration or reached <= 0.0 or spent <= 0.0:
        return None
    return max(float(duration) - reached, 0.0) / reached * spent
