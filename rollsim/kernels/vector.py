"""Vectors of three components as tuples: they live in registers and cost nothing."""

from rollsim.kernels.jit import inline_kernel


@inline_kernel
def dot(a, b):
    """Scalar product.

    Parameters
    ----------
    a : tuple of 3 float
        First vector.
    b : tuple of 3 float
        Second vector.

    Returns
    -------
    float
        a . b
    """
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


@inline_kernel
def cross(a, b):
    """Vector product.

    Parameters
    ----------
    a : tuple of 3 float
        First vector.
    b : tuple of 3 float
        Second vector.

    Returns
    -------
    tuple of 3 float
        a x b
    """
    return (
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    )


@inline_kernel
def plus(a, factor, b):
    """One vector and a multiple of another.

    Parameters
    ----------
    a : tuple of 3 float
        First vector.
    factor : float
        Factor of the second.
    b : tuple of 3 float
        Second vector.

    Returns
    -------
    tuple of 3 float
        a + factor b
    """
    return a[0] + factor * b[0], a[1] + factor * b[1], a[2] + factor * b[2]


@inline_kernel
def scaled(factor, a):
    """Multiple of a vector.

    Parameters
    ----------
    factor : float
        Factor.
    a : tuple of 3 float
        Vector.

    Returns
    -------
    tuple of 3 float
        factor a
    """
    return factor * a[0], factor * a[1], factor * a[2]
