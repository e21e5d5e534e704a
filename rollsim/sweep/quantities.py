"""Numbers that a replicate is asked for, computed in its own process as soon as it is finished."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np

from rollsim.analysis.contacts import select_episodes
from rollsim.analysis.settled import settled_window
from rollsim.errors import RollsimError
from rollsim.fatigue.evidence import evidence
from rollsim.fatigue.verdict import fatigue
from rollsim.history.reader import open_history


@dataclass(frozen=True)
class Quantity:
    """One positive number of a run.

    Fields: name; words (what it is); unit (empty for a plain number); of (function of a module,
    so that other processes find it; takes an open History).
    """

    name: str
    words: str
    unit: str
    of: Callable


def peak_force(history):
    """99th percentile of the peaks of all pocket episodes after the settling time, N.

    Parameters
    ----------
    history : History
        Opened history.

    Returns
    -------
    float
        NaN where no pocket was touched.
    """
    window = settled_window(history)
    pockets, _, _ = select_episodes(
        history.impacts(), window.start, window.end, history.roller_count
    )
    return float(np.percentile(pockets.peak, 99.0)) if len(pockets.peak) else float("nan")


def reserve(history):
    """Reserve factor on the load of the governing place at the target life.

    Parameters
    ----------
    history : History
        Opened history.

    Returns
    -------
    float
        Infinite where nothing is damaged.
    """
    return float(fatigue(history).reserve)


def utilisation(history):
    """Utilisation of the governing mechanism of failure.

    Parameters
    ----------
    history : History
        Opened history.

    Returns
    -------
    float
        Demand over capacity.
    """
    return float(evidence(history).governing_utilisation)


def closure_damage(history):
    """Damage of the worst closure an hour of service.

    Parameters
    ----------
    history : History
        Opened history.

    Returns
    -------
    float
        1/h; NaN for a cage in one piece.
    """
    return float(evidence(history).closure_damage_per_h)


_ALL = (
    Quantity("peak_force", "99th percentile of the pocket force peaks", "N", peak_force),
    Quantity("reserve", "reserve factor of the governing place", "", reserve),
    Quantity("utilisation", "utilisation of the governing mechanism", "", utilisation),
    Quantity("closure_damage", "damage of the worst closure", "1/h", closure_damage),
)
#: By name; more may be handed to `rollsim.replicates` as objects.
QUANTITIES = {quantity.name: quantity for quantity in _ALL}


def quantity_named(wanted):
    """A quantity from its name.

    Parameters
    ----------
    wanted : str or Quantity
        A quantity is handed back as it is.

    Returns
    -------
    Quantity

    Raises
    ------
    RollsimError
        For an unknown name.
    """
    if isinstance(wanted, Quantity):
        return wanted
    if wanted not in QUANTITIES:
        raise RollsimError(f"Unknown quantity '{wanted}'; known: {', '.join(QUANTITIES)}.")
    return QUANTITIES[wanted]


def measure(*quantities):
    """Function that measures a finished history, to be handed to another process.

    Parameters
    ----------
    *quantities : Quantity
        What to measure.

    Returns
    -------
    callable
        Takes a path; gives numbers by name.
    """
    return partial(_measured, quantities)


def _measured(quantities, path):
    """Numbers of a history by name."""
    with open_history(path) as history:
        return {quantity.name: quantity.of(history) for quantity in quantities}
