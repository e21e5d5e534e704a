"""Logarithm, exponential and inverse square root that a loop over contacts can vectorise.

Those of the library are calls, one number at a time. These are polynomials and bit patterns.
"""

from rollsim.kernels.jit import float_bits, float_from_bits, inline_kernel

_BY_LN2 = 1.4426950408889634
# ln 2 in two parts: the first has so few digits that its product with an exponent is exact.
_LN2_HIGH = 0.693147180369123816490
_LN2_LOW = 1.90821492927058770002e-10
# Added to a number, 1.5 * 2^52 leaves 2^51 plus the nearest integer in the lower bits.
_ROUND = 6755399441055744.0
_HALF = 0x0008000000000000
_FRACTION = 0x000FFFFFFFFFFFFF
_ONE = 0x3FF0000000000000
_HALVED = 0x7FFFFFFFFFFFFFFF
#: Largest size of an exponent that `exponential` takes.
LARGEST_EXPONENT = 700.0


@inline_kernel
def natural_log(x):
    """Natural logarithm of a positive number.

    x = 2^k m with m from sqrt(1/2) to sqrt(2); ln m = 2 artanh(t), t = (m - 1)/(m + 1), by its
    series. Error below 4e-16 of the larger of 1 and the result.

    Parameters
    ----------
    x : float
        Positive, normal number.

    Returns
    -------
    float
        ln x.

    Examples
    --------
    >>> abs(natural_log.py_func(10.0) - 2.302585092994046) < 1e-15
    True
    """
    bits = float_bits(x)
    # Through an integer: fast-math may multiply out a difference of floats, and nothing is left.
    k = float((bits >> 52) - 1023)
    m = float_from_bits((bits & _FRACTION) | _ONE)
    large = m > 1.4142135623730951
    m = 0.5 * m if large else m
    k = k + 1.0 if large else k
    t = (m - 1.0) / (m + 1.0)
    q = t * t
    series = 1.0 / 15.0 + q * (1.0 / 17.0 + q * (1.0 / 19.0 + q * (1.0 / 21.0)))
    series = 1.0 / 9.0 + q * (1.0 / 11.0 + q * (1.0 / 13.0 + q * series))
    series = 1.0 + q * (1.0 / 3.0 + q * (1.0 / 5.0 + q * (1.0 / 7.0 + q * series)))
    return k * _LN2_HIGH + (2.0 * t * series + k * _LN2_LOW)


@inline_kernel
def exponential(x):
    """Exponential of a number, of at most e^700 and at least e^-700.

    x = n ln 2 + r with |r| < 0.35, e^r by its series. Relative error below 1e-15.

    Parameters
    ----------
    x : float
        Any number.

    Returns
    -------
    float
        e^x.

    Examples
    --------
    >>> abs(exponential.py_func(1.0) - 2.718281828459045) < 1e-15
    True
    """
    x = min(max(x, -LARGEST_EXPONENT), LARGEST_EXPONENT)
    # By bits, because fast-math would undo a sum that rounds; see also `natural_log`.
    whole = (float_bits(x * _BY_LN2 + _ROUND) & _FRACTION) - _HALF
    n = float(whole)
    r = (x - n * _LN2_HIGH) - n * _LN2_LOW
    series = 1.0 / 3628800.0 + r * (1.0 / 39916800.0 + r * (1.0 / 479001600.0))
    series = 1.0 / 40320.0 + r * (1.0 / 362880.0 + r * series)
    series = 1.0 / 120.0 + r * (1.0 / 720.0 + r * (1.0 / 5040.0 + r * series))
    series = 1.0 + r * (0.5 + r * (1.0 / 6.0 + r * (1.0 / 24.0 + r * series)))
    power = float_from_bits((whole + 1023) << 52)
    return power + power * (r * series)


@inline_kernel
def inverse_root(x):
    """One over the square root of a positive number, without root and division.

    y is guessed from the bit pattern; e = 1 - x y^2 is then below 0.07 in size, and
    y (1 - e)^(-1/2) by its series to e^5, then once more to e^2, leaves rounding alone. Relative
    error below 1e-15 for 1e-290 < x < 1e290. Root and division of the processor take longer than
    all the rest of a slice of a contact.

    Parameters
    ----------
    x : float, any unit
        Positive number.

    Returns
    -------
    float
        x^(-1/2).

    Examples
    --------
    >>> abs(inverse_root.py_func(4.0) - 0.5) < 1e-15
    True
    """
    y = float_from_bits(0x5FE6EB50C7B537A9 - ((float_bits(x) >> 1) & _HALVED))
    e = 1.0 - x * y * y
    y *= 1.0 + e * (0.5 + e * (0.375 + e * (0.3125 + e * (0.2734375 + e * 0.24609375))))
    e = 1.0 - x * y * y
    return y * (1.0 + e * (0.5 + e * 0.375))
