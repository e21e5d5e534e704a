"""Channels that tell of sliding and wear: impulses, friction works, sliding, smearing measure.

Digits that mean nothing would fill the file, because they do not pack. Sums are kept to a fixed
quantum, so that rounding errors do not add up; sliding and smearing to a thousandth or better.
The march itself goes on with all digits.
"""

import numpy as np

from rollsim.kernels.layout import sliding_offset
from rollsim.kernels.wear import work_offset

#: Impulses (N s) and works (J) in the file are multiples of this, about 1e-9.
QUANTUM = 2.0**-30
#: Binary digits after the leading one of sliding speed and smearing measure in the file.
DIGITS = 12


def shortened(values):
    """Numbers rounded to a few binary digits.

    Parameters
    ----------
    values : ndarray
        Any numbers.

    Returns
    -------
    ndarray
        Within 2^-(DIGITS + 1) of them.

    Examples
    --------
    >>> shortened(np.array([0.1, -3.0, 0.0])).tolist()
    [0.100006103515625, -3.0, 0.0]
    """
    share, power = np.frexp(values)
    scale = 2.0 ** (DIGITS + 1)
    return np.ldexp(np.round(share * scale) / scale, power)


def by_roller(values, count, first, last):
    """Stretches of Z columns as an array (time, roller, kind).

    Parameters
    ----------
    values : ndarray (time, n)
        Columns in stretches of Z.
    count : int
        Rollers Z.
    first : int
        First stretch.
    last : int
        Stretch after the last.

    Returns
    -------
    ndarray (time, Z, last - first)
        The stretches, a view where that is possible.
    """
    stretches = values[:, first * count : last * count]
    return stretches.reshape(len(values), last - first, count).transpose(0, 2, 1)


def wear_channels(samples, count):
    """Sliding speeds at the samples; impulses and friction works since the start of the run.

    Parameters
    ----------
    samples : Samples
        What the march recorded.
    count : int
        Rollers Z.

    Returns
    -------
    dict of str to ndarray
        Channel name to values, first axis time.
    """
    sliding = by_roller(samples.outputs[:, sliding_offset(count) :], count, 0, 2)
    sums = np.round(samples.sums / QUANTUM) * QUANTUM
    works = sums[:, work_offset(count) :]
    return {
        "raceway_sliding_speed": shortened(sliding),
        "pocket_impulse": by_roller(sums, count, 0, 4),
        "land_impulse": sums[:, 4 * count : 4 * count + 2],
        "raceway_friction_work": by_roller(works, count, 0, 2),
        "pocket_friction_work": by_roller(works, count, 2, 6),
        "flange_friction_work": by_roller(works, count, 6, 8),
        "land_friction_work": works[:, 8 * count :],
    }


def smearing_channel(samples, count, pressure_factors):
    """Largest product of pressure and sliding speed within the intervals.

    Parameters
    ----------
    samples : Samples
        What the march recorded.
    count : int
        Rollers Z.
    pressure_factors : tuple of 2 float, Pa/sqrt(N)
        Pressure over the root of the force, outer and inner raceway.

    Returns
    -------
    ndarray (time, Z, 2)
        W/m^2.
    """
    root = np.sqrt(by_roller(samples.smearing, count, 0, 2))
    return shortened(root * np.asarray(pressure_factors))
