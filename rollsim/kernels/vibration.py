"""Imposed base acceleration at one instant."""

import math

from rollsim.kernels.jit import inline_kernel, kernel


@inline_kernel
def fade_in(time, ramp):
    """Fade-in factor, (1 - cos(pi t / T)) / 2 up to t = T, then 1.

    Parameters
    ----------
    time : float, s
        Time t.
    ramp : float, s
        Length T of the fade-in.

    Returns
    -------
    float
        Factor from 0 to 1.
    """
    if time >= ramp:
        return 1.0
    if time <= 0.0:
        return 0.0
    return 0.5 - 0.5 * math.cos(math.pi * time / ramp)


@kernel
def base_acceleration(time, shaking):
    """Imposed acceleration of the housing: periodic table (cubic Hermite) plus harmonics.

    Parameters
    ----------
    time : float, s
        Time.
    shaking : Shaking
        Table rows [ax ay az dax day daz], its interval, rows [omega Cx Cy Cz Sx Sy Sz], fade-in.

    Returns
    -------
    ax : float
        Acceleration in m/s^2.
    ay : float
        Likewise.
    az : float
        Likewise.
    """
    table = shaking.table
    rows = table.shape[0]
    ax = ay = az = 0.0
    if rows > 1:
        position = time / shaking.interval
        cell = math.floor(position)
        s = position - cell
        i = int(cell) % rows
        k = i + 1
        if k == rows:
            k = 0
        r = 1.0 - s
        p0 = (1.0 + 2.0 * s) * r * r
        p1 = s * s * (3.0 - 2.0 * s)
        m0 = s * r * r * shaking.interval
        m1 = -s * s * r * shaking.interval
        ax = p0 * table[i, 0] + p1 * table[k, 0] + m0 * table[i, 3] + m1 * table[k, 3]
        ay = p0 * table[i, 1] + p1 * table[k, 1] + m0 * table[i, 4] + m1 * table[k, 4]
        az = p0 * table[i, 2] + p1 * table[k, 2] + m0 * table[i, 5] + m1 * table[k, 5]
    harmonic = shaking.harmonic
    for n in range(harmonic.shape[0]):
        c = math.cos(harmonic[n, 0] * time)
        s = math.sin(harmonic[n, 0] * time)
        ax += harmonic[n, 1] * c + harmonic[n, 4] * s
        ay += harmonic[n, 2] * c + harmonic[n, 5] * s
        az += harmonic[n, 3] * c + harmonic[n, 6] * s
    factor = fade_in(time, shaking.ramp)
    return factor * ax, factor * ay, factor * az
