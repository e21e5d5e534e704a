"""Reserve factor of a preloaded joint, with its contact solved again at the scaled load.

One factor goes on everything that loads the cage: forces of rollers and lands, vibrations, and the
centrifugal field (as if the speed grew with the root of the factor, so that a cage without preload
scales exactly). The preload stays, and the motion of the run is not computed again.

Up to the load that first opens the interface (`rollsim.fatigue.opening`) stress is proportional to
the loads. Beyond it closure stress grows faster than they do, and the factor is searched: each pass
scales the loads, solves the interface at every state, counts all points of all bars, and takes the
next factor between one that does too little damage and one that does too much.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from rollsim.fatigue.damage import LARGEST_FACTOR, LEAST_FACTOR

#: A search ends when the factor is known this well (share of it).
TOLERANCE = 0.01
#: Points around a crossing may lie so many times further apart where damage does not jump: straight
#: lines between their logarithms were within 0.0005 of the crossing in all that was measured.
SMOOTH = 4.0
#: No damage grows with a lower power of the load than this near a crossing (lowest S-N exponents).
FLATTEST = 3.0
#: Passes of one search, at most; measured: two to six.
MOST_PASSES = 40
#: First step, on the logarithm, where a factor is wanted that does more (or less) damage.
FIRST_STEP = math.log(1.2)
#: Logarithm that stands for no damage at all.
NOTHING = math.log(1e-300)
#: Below this logarithm of damage over what is allowed, a step goes to the middle.
FAR_BELOW = -25.0


@dataclass
class DamageByLoad:
    """Damage of a place at the factors that were looked at.

    Fields: pass_at, gives the damage (one number a bar) at a factor; known, logarithm of a factor
    to that damage; passes, how often pass_at was called.
    """

    pass_at: Callable[[float], np.ndarray]
    known: dict[float, np.ndarray] = field(default_factory=dict)
    passes: int = 0

    def add(self, log_factor: float) -> None:
        """Make a pass.

        Parameters
        ----------
        log_factor : float
            Logarithm of the factor.
        """
        self.known[log_factor] = self.pass_at(math.exp(log_factor))
        self.passes += 1

    def curve(self, allowed: float, bar: int | None = None) -> np.ndarray:
        """Logarithms of the factors, in order, and of the damage over what is allowed.

        Parameters
        ----------
        allowed : float
            Damage that may be done.
        bar : int or None
            Row of a bar; None for the most damaged one.

        Returns
        -------
        ndarray, (factors, 2)
        """
        rows = []
        for place, damage in sorted(self.known.items()):
            own = damage.max() if bar is None else damage[bar]
            rows.append((place, math.log(max(own, 1e-300)) - math.log(allowed)))
        return np.array(rows)

    def search(self, allowed: float, guess: float) -> float:
        """Least factor at which the place is damaged as much as is allowed.

        Parameters
        ----------
        allowed : float
            Damage that may be done.
        guess : float
            Factor to begin with.

        Returns
        -------
        float
            0 or infinite beyond the factors that are looked at.
        """
        self._look(math.log(guess))
        step = FIRST_STEP
        for _ in range(MOST_PASSES):
            curve = self.curve(allowed)
            pair = first_crossing(curve)
            if pair is None:
                low = curve[0, 1] > 0.0
                aim = curve[0, 0] - step if low else curve[-1, 0] + step
                step *= 2.0
                if not math.log(LEAST_FACTOR) <= aim <= math.log(LARGEST_FACTOR):
                    return 0.0 if low else math.inf
                self._look(aim)
            elif is_found(*pair):
                break
            else:
                self._look(next_factor(*pair))
        return crossing(self.curve(allowed))

    def _look(self, log_factor: float) -> None:
        """Make a pass where none was made."""
        if log_factor not in self.known:
            self.add(log_factor)


def first_crossing(curve: np.ndarray) -> tuple[np.ndarray, np.ndarray] | None:
    """Points of a curve below and above its first change from too little to too much.

    Parameters
    ----------
    curve : ndarray, (factors, 2)
        From `DamageByLoad.curve`.

    Returns
    -------
    tuple of ndarray, (2,), or None
        None where there is no such change, or where the least factor does too much.
    """
    above = np.flatnonzero(curve[:, 1] > 0.0)
    if not len(above) or above[0] == 0:
        return None
    return curve[above[0] - 1], curve[above[0]]


def is_found(below: np.ndarray, above: np.ndarray) -> bool:
    """Whether two points around a crossing pin the factor down to `TOLERANCE`.

    Parameters
    ----------
    below : ndarray, (2,)
        Logarithms of a factor and of its damage over what is allowed, negative.
    above : ndarray, (2,)
        The same, positive.

    Returns
    -------
    bool
    """
    width = above[0] - below[0]
    if below[1] <= FAR_BELOW:
        return bool(width <= TOLERANCE)
    slope = min((above[1] - below[1]) / width, FLATTEST)
    near = min(-below[1], above[1]) <= 0.5 * TOLERANCE * slope
    return bool(near or width <= SMOOTH * TOLERANCE)


def next_factor(below: np.ndarray, above: np.ndarray) -> float:
    """Logarithm of the factor for the next pass: secant, kept away from both ends.

    Parameters
    ----------
    below : ndarray, (2,)
        As for `is_found`.
    above : ndarray, (2,)
        As for `is_found`.

    Returns
    -------
    float
    """
    share = -below[1] / (above[1] - below[1]) if below[1] > FAR_BELOW else 0.5
    edge = min(0.45, 0.2 * TOLERANCE / (above[0] - below[0]))
    return float(below[0] + min(max(share, edge), 1.0 - edge) * (above[0] - below[0]))


def crossing(curve: np.ndarray) -> float:
    """Factor at the first crossing of a curve, straight between its points.

    Parameters
    ----------
    curve : ndarray, (factors, 2)
        From `DamageByLoad.curve`.

    Returns
    -------
    float
        Where damage jumps, the factor below the jump; the largest factor that was looked at where
        that does too little, 0 where the least one does too much.
    """
    pair = first_crossing(curve)
    if pair is None:
        return 0.0 if curve[0, 1] > 0.0 else math.exp(curve[-1, 0])
    below, above = pair
    share = -below[1] / (above[1] - below[1]) if below[1] > FAR_BELOW else 0.0
    return math.exp(below[0] + share * (above[0] - below[0]))
