"""Load along a roller with a profile, pressed and tilted against a raceway: the slice model."""

import numpy as np
from scipy.optimize import brentq

from rollsim.model.stiffness import LINE_EXPONENT

#: Slices that stand for a continuous load in checks.
FINE = 401


def slice_forces(constant, approach, tilt, positions, drop):
    """Forces of equal slices, Q_k = (K/n) max(delta + theta x_k - P(x_k), 0)^(10/9).

    Slices act on their own; what one does to its neighbours and the peak at a sharp roller end are
    left out. Source: ISO/TS 16281 (laminae).

    Parameters
    ----------
    constant : float, N/m^(10/9)
        K of the whole contact.
    approach : float, m
        Approach delta of roller and raceway at mid length.
    tilt : float, rad
        Angle theta between roller and raceway in the plane of the load.
    positions, drop : arrays (n,), m
        Slice centres x and profile drop P there.

    Returns
    -------
    array (n,), N
        Force of each slice.

    Examples
    --------
    >>> slice_forces(2.0, 1.0, 0.0, np.zeros(2), np.array([0.0, 2.0]))
    array([1., 0.])
    """
    depth = np.maximum(approach + tilt * positions - drop, 0.0)
    return constant / len(positions) * depth**LINE_EXPONENT


def approach_under(force, constant, tilt, positions, drop):
    """Approach at mid length at which the slices together carry a force.

    Parameters
    ----------
    force : float, N
        Force on the roller, greater than 0.
    constant, tilt, positions, drop : float or array
        As for `slice_forces`.

    Returns
    -------
    float, m
        Approach delta.
    """
    n = len(positions)
    slope = tilt * positions - drop
    # One slice alone would carry it at the far end; nothing touches at the near end.
    far = (n * force / constant) ** (1.0 / LINE_EXPONENT) - slope.max()
    near = -slope.max()

    def missing(approach):
        """Force beyond what is asked for."""
        return slice_forces(constant, approach, tilt, positions, drop).sum() - force

    return brentq(missing, near, far, xtol=1e-15, rtol=1e-14)
