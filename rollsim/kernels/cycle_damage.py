"""Damage of a counted cycle: mean stress laws, and an S-N line with a knee."""

import math

import numpy as np

from rollsim.kernels.elementary import LARGEST_EXPONENT, exponential, natural_log
from rollsim.kernels.jit import index, inline_kernel, kernel

#: Codes of the mean stress laws.
NO_MEAN, GOODMAN, GERBER, SMITH_WATSON_TOPPER, FKM, WALKER = range(6)

#: Shares of the fatigue strength that have a logarithm; all slopes take what lies beyond to no
#: damage and to no end of it.
_LEAST, _LARGEST = 1e-305, 1e305


@inline_kernel
def walker_amplitude(amplitude, mean, exponent):
    """Amplitude at zero mean stress after Walker, S_max^(1 - g) S_a^g.

    Zero where the cycle never goes into tension (S_max = S_a + S_m <= 0). An exponent g of 0.5 is
    the rule of Smith, Watson and Topper. Sources: Walker, ASTM STP 462 (1970); Smith, Watson and
    Topper, J. Materials 5 (1970).

    Parameters
    ----------
    amplitude : float, Pa
        Stress amplitude S_a.
    mean : float, Pa
        Mean stress S_m.
    exponent : float
        g, 0 to 1.

    Returns
    -------
    float
        Pa.
    """
    largest = amplitude + mean
    if largest <= 0.0 or amplitude <= 0.0:
        return 0.0
    if exponent == 0.5:
        return math.sqrt(largest * amplitude)
    return largest ** (1.0 - exponent) * amplitude**exponent


@inline_kernel
def fkm_amplitude(amplitude, mean, sensitivity):
    """Amplitude at zero mean stress by the mean stress sensitivity M, in four ranges.

    Compression throughout (R > 1): S_a (1 - M). R <= 0: S_a + M S_m. 0 < R < 0.5:
    (1 + M)/(1 + M/3) (S_a + M/3 S_m). R >= 0.5: S_a (1 + M)^2/(1 + M/3). Constant stress ratio.
    Source: FKM guideline, analytical strength assessment (value from memory).

    Parameters
    ----------
    amplitude : float, Pa
        Stress amplitude S_a.
    mean : float, Pa
        Mean stress S_m.
    sensitivity : float
        M, 0 <= M < 1.

    Returns
    -------
    float
        Pa.
    """
    third = sensitivity / 3.0
    if mean < -amplitude:
        return amplitude * (1.0 - sensitivity)
    if mean <= amplitude:
        return amplitude + sensitivity * mean
    if mean < 3.0 * amplitude:
        return (1.0 + sensitivity) / (1.0 + third) * (amplitude + third * mean)
    return amplitude * (1.0 + sensitivity) ** 2 / (1.0 + third)


@inline_kernel
def equivalent_amplitude(amplitude, mean, ultimate, law, parameter):
    """Amplitude at zero mean stress that does the same damage.

    Goodman: S_a / (1 - S_m/S_u); Gerber: S_a / (1 - (S_m/S_u)^2). With these two, compression
    earns no credit (S_m <= 0 gives S_a), and the amplitude is infinite from S_m = S_u on. Source:
    Shigley, Mechanical Engineering Design, fluctuating stresses. The others are functions of
    their own.

    Parameters
    ----------
    amplitude : float, Pa
        Stress amplitude S_a.
    mean : float, Pa
        Mean stress S_m.
    ultimate : float, Pa
        Ultimate tensile strength S_u.
    law : int
        NO_MEAN, GOODMAN, GERBER, SMITH_WATSON_TOPPER, FKM or WALKER.
    parameter : float
        Mean stress sensitivity M of FKM, exponent g of WALKER; the others have none.

    Returns
    -------
    float
        Pa.
    """
    if law == FKM:
        return fkm_amplitude(amplitude, mean, parameter)
    if law == WALKER:
        return walker_amplitude(amplitude, mean, parameter)
    if law == SMITH_WATSON_TOPPER:
        return walker_amplitude(amplitude, mean, 0.5)
    if law == NO_MEAN or mean <= 0.0:
        return amplitude
    share = mean / ultimate
    if law == GERBER:
        share = share * share
    if share >= 1.0:
        return np.inf
    return amplitude / (1.0 - share)


@inline_kernel
def cycle_damage(stress_range, mean, line):
    """Share of life that one cycle uses up, 1/N on an S-N line with a knee.

    N = N_k (S_k/S)^k for S >= S_k, N_k (S_k/S)^k' below.

    Parameters
    ----------
    stress_range : float, Pa
        Range, twice the amplitude.
    mean : float, Pa
        Mean stress.
    line : tuple of seven
        S_k in Pa, N_k, slope k, slope k' beyond the knee, ultimate strength in Pa, code of the
        mean stress law and its parameter.

    Returns
    -------
    float
        1/N.
    """
    strength, knee, slope, beyond, ultimate, law, parameter = line
    amplitude = equivalent_amplitude(0.5 * stress_range, mean, ultimate, law, parameter)
    share = amplitude / strength
    if share <= 0.0:
        return 0.0
    return share ** (slope if share >= 1.0 else beyond) / knee


@kernel
def sum_damage(cycles, filled, static, line, room):
    """Miner sum of counted cycles: count times `cycle_damage`.

    Powers are taken by logarithm and exponential in loops that vectorise; calls of the library,
    one a cycle, took ten times as long.

    Parameters
    ----------
    cycles : array (n, 3), Pa, Pa, -
        Range, mean, count.
    filled : int
        Cycles in use.
    static : float, Pa
        Constant stress (preload) added to every mean.
    line : tuple of seven
        See `cycle_damage`.
    room : array (n,)
        Work.

    Returns
    -------
    float
        Sum of count/N.
    """
    strength, knee, slope, beyond, ultimate, law, parameter = line
    turn = 1.0 / strength
    for k in range(index(filled)):
        mean = cycles[k, 1] + static
        room[k] = turn * equivalent_amplitude(0.5 * cycles[k, 0], mean, ultimate, law, parameter)
    for k in range(index(filled)):
        share = min(max(room[k], _LEAST), _LARGEST)
        room[k] = (slope if share >= 1.0 else beyond) * natural_log(share)
    total = 0.0
    for k in range(index(filled)):
        power = room[k]
        damage = exponential(power)
        damage = damage if power > -LARGEST_EXPONENT else 0.0
        damage = damage if power < LARGEST_EXPONENT else np.inf
        total += cycles[k, 2] * damage
    return total / knee
