"""Roller profiles and the cutting of a roller into slices."""

import numpy as np

LONG_ROLLER = 2.5
"""Length over diameter up to which the logarithmic profile has its short form (ISO/TS 16281)."""


def slice_centres(length, count):
    """Positions of the centres of equal slices along the roller axis.

    Parameters
    ----------
    length : float, m
        Effective length of the roller.
    count : int
        Number of slices.

    Returns
    -------
    array (count,), m
        Centres, symmetric about zero and rising.

    Examples
    --------
    >>> slice_centres(6.0, 3)
    array([-2.,  0.,  2.])
    """
    return length * ((np.arange(count) + 0.5) / count - 0.5)


def slice_weights(count):
    """Share of the contact constant that each slice carries; equal, sum one.

    Source: ISO/TS 16281 shares its line constant evenly over the laminae.

    Parameters
    ----------
    count : int
        Number of slices.

    Returns
    -------
    array (count,)
        1/count each.
    """
    return np.full(count, 1.0 / count)


def logarithmic_drop(positions, length, diameter):
    """Drop of the logarithmic profile, P(x) = 0.00035 D ln(1/(1 - (2 x/L)^2)).

    Valid for L <= 2.5 D. Longer rollers have a cylindrical middle and, over the outer 1.25 D at
    each end, 0.0005 D ln(1/(1 - ((2|x| - (L - 2.5 D))/(2.5 D))^2)) (this second form from
    memory). Source: ISO/TS 16281.

    Parameters
    ----------
    positions : array, m
        Distances x from mid length, |x| < L/2.
    length : float, m
        Effective length L.
    diameter : float, m
        Roller diameter D.

    Returns
    -------
    array, m
        Radial drop at each position.

    Examples
    --------
    >>> drop = logarithmic_drop(np.array([0.0, 0.4]), 1.0, 1.0)
    >>> [round(float(1e6 * value), 1) for value in drop]
    [0.0, 357.6]
    """
    x = np.abs(np.asarray(positions, dtype=float))
    if length <= LONG_ROLLER * diameter:
        return -0.00035 * diameter * np.log1p(-((2.0 * x / length) ** 2))
    span = LONG_ROLLER * diameter
    reach = np.maximum(2.0 * x - (length - span), 0.0) / span
    return -0.0005 * diameter * np.log1p(-(reach**2))


def profile_drop(profile, positions, length, diameter):
    """Drop of a named profile at the slice centres.

    Parameters
    ----------
    profile : str
        "straight" or "logarithmic".
    positions : array, m
        Slice centres.
    length : float, m
        Effective length.
    diameter : float, m
        Roller diameter.

    Returns
    -------
    array, m
        Radial drop.

    Raises
    ------
    ValueError
        If the name is unknown.
    """
    if profile == "straight":
        return np.zeros(np.shape(positions))
    if profile == "logarithmic":
        return logarithmic_drop(positions, length, diameter)
    raise ValueError(f"unknown roller profile {profile!r}: straight or logarithmic")
