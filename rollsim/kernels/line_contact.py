"""Normal force of a line contact and its energy."""

from rollsim.kernels.jit import float_bits, float_from_bits, inline_kernel

#: Exponent of load over deflection of a line contact, ISO/TS 16281.
LINE_EXPONENT = 10.0 / 9.0
# 2^52 as a bit pattern: or-ed with a small integer it makes the double 2^52 + integer.
_TWO_52 = 0x4330000000000000
_LOW_32 = 0xFFFFFFFF
# 2^52 plus near 10/9 of the upper half of the bit pattern of 1.0, searched for the least error over
# one period of the exponent.
_GUESS = 4503599627370496.0 + 1191821386.6666667
# The same for the powers -1/9 and 1/10 of the guesses for a contact in series with a spring,: least
# error over delta 1e-14 to 1e-2 m and all ratios.
_ONE = 1072693248.0
_LOOSE = 4503599627370496.0 + _ONE * (1.0 + 1.0 / 9.0) - 40000.0
_CLOSE = 4503599627370496.0 + _ONE * (1.0 - 1.0 / 10.0) - 50000.0
# (1 - r)^(-1/9) for |r| < 0.272, interpolated in Chebyshev points: error 3.3e-6.
_P0, _P1, _P2, _P3, _P4 = (
    0.9999999999999998, 0.11106012091095155, 0.06168482555829831, 0.046157195690435894,
    0.036107161874987456,
)  # fmt: skip


@inline_kernel
def ninth_root(x):
    """Ninth root of a positive number without a division, x y^8 with y = x^(-1/9).

    y is guessed from the bit pattern; r = 1 - x y^9 is then below 0.272, y <- y (1 - r)^(-1/9) by a
    polynomial leaves an error of 3.3e-6 and y <- y (1 + r/9 + 5 r^2/81) nothing. Relative error of
    the result below 1e-13 for 1e-280 < x < 1e275. The library's power function is the hot spot of
    the model otherwise, and divisions are the next. The division of the exponent by nine is done
    in floating point, on the upper half of the bits, because a 64-bit integer division would keep
    a loop over contacts from vectorising.

    Parameters
    ----------
    x : float, any unit
        Positive number.

    Returns
    -------
    float
        x^(1/9).
    """
    upper = float_from_bits((float_bits(x) >> 32) | _TWO_52) - 4503599627370496.0
    guess = (float_bits(_GUESS - upper * (1.0 / 9.0)) & _LOW_32) << 32
    y = float_from_bits(guess)
    y3 = y * y * y
    r = 1.0 - x * (y3 * y3 * y3)
    y = y * (_P0 + r * (_P1 + r * (_P2 + r * (_P3 + r * _P4))))
    y3 = y * y * y
    r = 1.0 - x * (y3 * y3 * y3)
    y = y * (1.0 + r * (1.0 / 9.0 + r * (5.0 / 81.0)))
    y2 = y * y
    y4 = y2 * y2
    return x * (y4 * y4)


@inline_kernel
def line_force(penetration, constant):
    """Elastic force of a line contact, Q = K delta^(10/9) for delta > 0, else 0.

    Source: ISO/TS 16281 (exponent 10/9). Free of branches.

    Parameters
    ----------
    penetration : float, m
        Approach of the bodies delta.
    constant : float, N/m^(10/9)
        Spring constant K of this contact.

    Returns
    -------
    float
        Force Q in N.
    """
    depth = max(penetration, 0.0)
    return constant * depth * ninth_root(max(penetration, 1e-100))


@inline_kernel
def line_energy(penetration, constant):
    """Elastic energy of a line contact, U = (9/19) K delta^(19/9).

    Parameters
    ----------
    penetration : float, m
        Approach of the bodies delta.
    constant : float, N/m^(10/9)
        Spring constant K of this contact.

    Returns
    -------
    float
        Energy U in J, the integral of `line_force`.
    """
    return 9.0 / 19.0 * penetration * line_force(penetration, constant)


@inline_kernel
def _power_guess(x, exponent, origin):
    """x^exponent within some per cent, from the upper half of the bit pattern."""
    upper = float_from_bits((float_bits(x) >> 32) | _TWO_52) - 4503599627370496.0
    return float_from_bits((float_bits(origin + upper * exponent) & _LOW_32) << 32)


@inline_kernel
def _closer(y, penetration, ratio):
    """One round of `series_share`."""
    y2 = y * y
    y4 = y2 * y2
    inverse = 1.0 / (y + ratio)
    q = 1.0 - penetration * (y4 * y4 * y2) * inverse
    m = 1.0 / (10.0 - y * inverse)
    power = 1.0 + (m + 4.0) * (1.0 / 5.0) * q * (1.0 + (m + 5.0) * (1.0 / 6.0) * q)
    power = 1.0 + (m + 2.0) * (1.0 / 3.0) * q * (1.0 + (m + 3.0) * (1.0 / 4.0) * q * power)
    return y + y * m * q * (1.0 + (m + 1.0) * (1.0 / 2.0) * q * power)


@inline_kernel
def series_share(penetration, ratio):
    """Share a of a line contact in a penetration that it has in series with a linear spring.

    a + r a^(10/9) = delta. With y = a^(-1/9) it reads F = delta y^10/(y + r) = 1 and needs no
    root: F goes with the power n = 10 - y/(y + r) of y, nearly a constant, so that
    y <- y F^(-1/n), the power as a series of 1 - F, is good for three digits from the
    guess, which is within 4 %, and two rounds leave 1e-10. Free of branches, so
    that a loop over slices vectorises.

    Parameters
    ----------
    penetration : float, m
        Approach of the bodies delta > 0, contact and spring together; above 1e-100.
    ratio : float, m^(-1/9)
        Constant of the line contact over the stiffness of the spring, r; 0 for a rigid one.

    Returns
    -------
    share : float
        a, m.
    power : float
        a^(10/9), m^(10/9): the force over the constant of the line contact.
    """
    y = _power_guess(penetration, -1.0 / 9.0, _LOOSE)
    y = _power_guess((y + ratio) / penetration, 0.1, _CLOSE)
    y = _closer(_closer(y, penetration, ratio), penetration, ratio)
    a = 1.0 / y
    a2 = a * a
    a4 = a2 * a2
    share = a4 * a4 * a
    return share, share * a


@inline_kernel
def series_line_force(penetration, constant, backing):
    """Force of a line contact in series with a linear spring (the bar behind the pocket face).

    Solves (Q/K)^(9/10) + Q/k = delta, see `series_share`.

    Parameters
    ----------
    penetration : float, m
        Approach of the bodies delta, contact and backing together.
    constant : float, N/m^(10/9)
        Spring constant K of the line contact.
    backing : float, N/m
        Stiffness k behind the contact.

    Returns
    -------
    force : float
        Force Q in N, 0 when delta <= 0.
    deflection : float
        Share a of the line contact in delta, m.
    """
    if penetration <= 0.0:
        return 0.0, 0.0
    share, power = series_share(max(penetration, 1e-100), constant / backing)
    return constant * power, share


@inline_kernel
def series_line_energy(force, deflection, backing):
    """Energy of a line contact in series with a linear spring.

    U = (9/19) Q a + Q^2 / (2 k), the integral of `series_line_force`.

    Parameters
    ----------
    force : float, N
        Force Q.
    deflection : float, m
        Share a of the line contact.
    backing : float, N/m
        Stiffness k behind the contact.

    Returns
    -------
    float
        Energy U in J.
    """
    return 9.0 / 19.0 * force * deflection + 0.5 * force * force / backing
