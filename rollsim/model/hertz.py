"""Hertz line contact: width, pressure and the stresses under it."""

import math

import numpy as np


def hertz_half_width(line_load, radius, modulus):
    """Half width of a Hertz line contact, b = sqrt(4 w R / (pi E')).

    Source: Johnson 1985, eq. 4.43.

    Parameters
    ----------
    line_load : float, N/m
        Force per length, w.
    radius : float, m
        Relative radius, 1/R = 1/R1 + 1/R2 (a hollow surface counts negative).
    modulus : float, Pa
        Reduced modulus E'.

    Returns
    -------
    float, m
        Half width b.
    """
    return math.sqrt(4.0 * line_load * radius / (math.pi * modulus))


def hertz_line_pressure(line_load, radius, modulus):
    """Largest pressure of a Hertz line contact, p0 = sqrt(w E' / (pi R)).

    Source: Johnson 1985, eq. 4.45. Same symbols as `hertz_half_width`.

    Parameters
    ----------
    line_load : float, N/m
        Force per length, w.
    radius : float, m
        Relative radius R.
    modulus : float, Pa
        Reduced modulus E'.

    Returns
    -------
    float, Pa
        p0 in the middle of the contact.
    """
    return math.sqrt(line_load * modulus / (math.pi * radius))


def hertz_line_stress(across, depth):
    """Stresses under a frictionless Hertz line contact, as shares of p0.

    With m^2, n^2 = (sqrt((1-x^2+z^2)^2 + 4 x^2 z^2) +- (1-x^2+z^2))/2 and n of the sign of x:
    s_x = -(m (1 + q) - 2 z), s_z = -m (1 - q), t_xz = n (m^2 - z^2)/(m^2 + n^2) (sign as printed
    for z into the body: negative), q = (z^2 + n^2)/(m^2 + n^2). Source: Johnson 1985, eq. 4.49.

    Parameters
    ----------
    across, depth : float or array
        x/b across the contact and z/b into the body (z > 0).

    Returns
    -------
    tuple of arrays
        s_x, s_z, t_xz over p0.
    """
    inner = 1.0 - across**2 + depth**2
    root = np.sqrt(inner**2 + 4.0 * across**2 * depth**2)
    m = np.sqrt(0.5 * (root + inner))
    n = np.sign(across) * np.sqrt(np.maximum(0.5 * (root - inner), 0.0))
    share = (depth**2 + n**2) / (m**2 + n**2)
    shear = -n * (m**2 - depth**2) / (m**2 + n**2)
    return -(m * (1.0 + share) - 2.0 * depth), -m * (1.0 - share), shear


def plane_strain_mises(stress_x, stress_z, shear, poisson):
    """Von Mises stress in plane strain, with s_y = nu (s_x + s_z).

    Parameters
    ----------
    stress_x, stress_z, shear : float or array, any one unit
        Stresses in the plane.
    poisson : float
        Poisson's ratio.

    Returns
    -------
    float or array
        Equivalent stress in the unit of the input.
    """
    stress_y = poisson * (stress_x + stress_z)
    differences = (stress_x - stress_y) ** 2 + (stress_y - stress_z) ** 2
    return np.sqrt(0.5 * (differences + (stress_z - stress_x) ** 2) + 3.0 * shear**2)
