"""Roller profiles and the cutting of a roller into slices."""

import numpy as np

from rollsim.case.schema import Assumption
from rollsim.units import MM, UM

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


def crowned_drop(positions, radius, straight=0.0):
    """Drop of a crown, a circle in the plane of the axis: P(x) = R - sqrt(R^2 - s^2).

    s = max(|x| - l/2, 0) counts from the end of the straight middle of length l, which the arc
    leaves without a kink; l = 0 is a full crown. Written as s^2/(R + sqrt(R^2 - s^2)), which keeps
    all digits for a large R. Valid for s < R. Circle geometry; s^2/(2 R) for small s.

    Parameters
    ----------
    positions : array, m
        Distances x from mid length.
    radius : float, m
        Radius R of the crown.
    straight : float, m
        Length l of the straight middle.

    Returns
    -------
    array, m
        Radial drop at each position.

    Examples
    --------
    A triangle of sides 3, 4, 5: the circle of radius 5 has dropped by 1 at 3.

    >>> float(crowned_drop(3.0, 5.0)), float(crowned_drop(-4.0, 5.0, 2.0))
    (1.0, 1.0)
    """
    s = np.maximum(np.abs(np.asarray(positions, dtype=float)) - 0.5 * straight, 0.0)
    return s**2 / (radius + np.sqrt(radius**2 - s**2))


def table_drop(positions, rows, smooth=True):
    """Drop between the rows of a measured or drawn profile.

    Smooth: piecewise cubic that keeps rising where the rows rise and never goes beyond them
    (Fritsch and Carlson 1980, Butland 1980; scipy PCHIP); else straight lines. Rows from
    position 0 outwards hold for both ends.

    Parameters
    ----------
    positions : array, m
        Distances from mid length, within the rows.
    rows : array (n, 2), m
        Position and drop, positions rising.
    smooth : bool
        Monotone cubic in place of straight lines.

    Returns
    -------
    array, m
        Radial drop at each position.

    Examples
    --------
    >>> table_drop([-1.5, 1.0], [[0.0, 0.0], [1.0, 2.0], [2.0, 6.0]], smooth=False)
    array([4., 2.])
    """
    place, drop = np.asarray(rows, dtype=float).T
    if place[0] == 0.0:
        place = np.concatenate([-place[:0:-1], place])
        drop = np.concatenate([drop[:0:-1], drop])
    if smooth:
        # Imported here: `rollsim --help` has to answer fast.
        from scipy.interpolate import PchipInterpolator

        return PchipInterpolator(place, drop)(positions)
    return np.interp(positions, place, drop)


def profile_drop(roller, positions, length):
    """Drop of the profile of a case.

    Parameters
    ----------
    roller : Roller
        Section [roller] of the case.
    positions : array, m
        Distances from mid length.
    length : float, m
        Effective length.

    Returns
    -------
    array, m
        Radial drop at each position, 0 at the highest point.
    """
    if roller.profile == "logarithmic":
        return logarithmic_drop(positions, length, MM * roller.diameter_mm)
    if roller.profile == "crowned":
        straight = MM * (roller.straight_length_mm or 0.0)
        return crowned_drop(positions, roller.crown_radius_m, straight)
    if roller.profile == "table":
        rows = np.asarray(roller.profile_table_um, dtype=float) * (MM, UM)
        return table_drop(positions, rows, roller.profile_interpolation != "straight_lines")
    return np.zeros(np.shape(positions))


def profile_assumptions(roller):
    """What the keys of a crowned or tabulated profile leave open.

    Parameters
    ----------
    roller : Roller
        Section [roller] of the case.

    Returns
    -------
    list of Assumption
        Empty where the profile is told in full.
    """
    found = []
    if roller.profile == "crowned" and roller.straight_length_mm is None:
        found.append(
            Assumption(
                "roller.straight_length_mm", 0.0, "mm", "the crown spans the whole roller",
                "a straight middle carries more before the crown takes part",
            )
        )  # fmt: skip
    if roller.profile == "table" and roller.profile_interpolation is None:
        why = "a ground profile has no kinks"
        found.append(Assumption("roller.profile_interpolation", "monotone", "", why))
    return found
