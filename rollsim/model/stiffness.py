"""Stiffness of line contacts and of the cage bars.

Convention of the reduced modulus: 1/E' = (1 - nu1^2)/E1 + (1 - nu2^2)/E2, without the factor 2
that film thickness formulas carry. Two equal steels of 206 GPa have E' = 113.19 GPa.
"""

import math

from rollsim.units import MM, UM

LINE_EXPONENT = 10.0 / 9.0
"""Exponent n of the line contact law Q = K delta^n (ISO/TS 16281)."""

ISO_LINE_CONSTANT = 35948.0
"""N/mm^2: c_L = 35 948 L^(8/9) N/mm^(10/9), two steel contacts in series (ISO/TS 16281)."""

PALMGREN_COEFFICIENT = 3.84e-5
"""delta = 3.84e-5 Q^0.9 / l^0.8 in mm, N, mm for one steel contact (Palmgren; from memory)."""

STEEL_MODULUS = 206.0e9
"""Pa: Young's modulus behind the ISO/TS 16281 constant (value from memory)."""

STEEL_POISSON = 0.3
"""Poisson's ratio behind the ISO/TS 16281 constant (value from memory)."""

SHEAR_FACTOR_RECTANGLE = 5.0 / 6.0
"""Shear area over area of a rectangular section (textbook value)."""


def reduced_modulus(modulus_1, poisson_1, modulus_2, poisson_2):
    """Reduced modulus of two bodies, 1/E' = (1 - nu1^2)/E1 + (1 - nu2^2)/E2.

    Source: K. L. Johnson, Contact Mechanics, 1985, chapter 4 (there E*).

    Parameters
    ----------
    modulus_1, poisson_1 : float, Pa and 1
        Young's modulus and Poisson's ratio of the one body.
    modulus_2, poisson_2 : float, Pa and 1
        The same of the other body.

    Returns
    -------
    float, Pa
        E', half of the modulus that film thickness formulas use.

    Examples
    --------
    >>> round(reduced_modulus(206e9, 0.3, 206e9, 0.3) / 1e9, 3)
    113.187
    """
    return 1.0 / ((1.0 - poisson_1**2) / modulus_1 + (1.0 - poisson_2**2) / modulus_2)


def steel_reduced_modulus():
    """Return E' in Pa of the steel pair behind the ISO/TS 16281 constant."""
    return reduced_modulus(STEEL_MODULUS, STEEL_POISSON, STEEL_MODULUS, STEEL_POISSON)


def iso_line_constant(length):
    """Spring constant of a steel roller between both raceways, c_L = 35 948 L^(8/9).

    Q = c_L delta^(10/9), delta being the sum of the approaches at the two contacts in series.
    The printed constant takes L in mm and gives N/mm^(10/9); here both are SI.
    Source: ISO/TS 16281 (DIN 26281). It lies 3.8 % under two contacts after Palmgren.

    Parameters
    ----------
    length : float, m
        Effective length of the roller.

    Returns
    -------
    float, N/m^(10/9)
        Constant of both contacts together.

    Examples
    --------
    >>> round(iso_line_constant(1e-3) / 1000.0 ** (10.0 / 9.0), 6)
    35948.0
    """
    return ISO_LINE_CONSTANT * (1e3 * length) ** (8.0 / 9.0) * 1e3**LINE_EXPONENT


def single_contact_constant(pair_constant):
    """Constant of one contact of two equal ones in series, K_1 = 2^(10/9) K_pair.

    Each contact takes half of the approach: Q = K_pair delta^n = K_1 (delta/2)^n.

    Parameters
    ----------
    pair_constant : float, N/m^(10/9)
        Constant of both contacts together.

    Returns
    -------
    float, N/m^(10/9)
        Constant of one contact.
    """
    return 2.0**LINE_EXPONENT * pair_constant


def series_constant(constant_1, constant_2):
    """Constant of two different line contacts in series, K^(-1/n) = K1^(-1/n) + K2^(-1/n).

    Follows from adding the approaches (Q/K)^(1/n), n = 10/9.

    Parameters
    ----------
    constant_1, constant_2 : float, N/m^(10/9)
        Constants of the single contacts.

    Returns
    -------
    float, N/m^(10/9)
        Constant of the pair.

    Examples
    --------
    >>> round(single_contact_constant(series_constant(7.0, 7.0)), 9)
    7.0
    """
    exponent = 1.0 / LINE_EXPONENT
    return (constant_1**-exponent + constant_2**-exponent) ** -LINE_EXPONENT


def scaled_constant(steel_constant, modulus):
    """Constant of another pair of materials, K = K_steel E'/E'_steel.

    delta = C (Q/E')^0.9 / l^0.8 is the only form of the power law that keeps its dimensions when
    the modulus changes, so the constant is proportional to E'.

    Parameters
    ----------
    steel_constant : float, N/m^(10/9)
        Constant of the same contact between two steel bodies.
    modulus : float, Pa
        Reduced modulus E' of the pair (see `reduced_modulus`).

    Returns
    -------
    float, N/m^(10/9)
        Constant of the pair.
    """
    return steel_constant * modulus / steel_reduced_modulus()


def line_contact_constant(length, modulus):
    """Constant of one line contact between any two materials, from the ISO/TS 16281 constant.

    Parameters
    ----------
    length : float, m
        Effective length of the contact.
    modulus : float, Pa
        Reduced modulus E' of the pair.

    Returns
    -------
    float, N/m^(10/9)
        K of Q = K delta^(10/9) for this one contact.
    """
    return scaled_constant(single_contact_constant(iso_line_constant(length)), modulus)


def palmgren_line_constant(length):
    """Constant of one steel line contact after Palmgren, for comparison only.

    delta = 3.84e-5 Q^0.9 / l^0.8 (mm, N), so K = 8.06e4 l^(8/9) N/mm^(10/9).
    Source: Palmgren; Harris, Rolling Bearing Analysis (from memory).

    Parameters
    ----------
    length : float, m
        Effective length of the contact.

    Returns
    -------
    float, N/m^(10/9)
        Constant of one contact.

    Examples
    --------
    >>> round(palmgren_line_constant(1e-3) / 1000.0 ** (10.0 / 9.0), 1)
    80593.2
    """
    constant_mm = PALMGREN_COEFFICIENT**-LINE_EXPONENT * (1e3 * length) ** (8.0 / 9.0)
    return constant_mm * 1e3**LINE_EXPONENT


def lundberg_line_approach(force, length, modulus_pair):
    """Approach of one line contact after Lundberg, logarithmic, for comparison only.

    delta = Q/(pi E' l) ln(2 pi E' l^2 / Q), which for two equal materials is
    2 Q (1-nu^2)/(pi E l) ln(pi E l^2 / (Q (1-nu^2))). Curvature ratio neglected.
    Source: Lundberg and Sjovall; Harris, Rolling Bearing Analysis (from memory).

    Parameters
    ----------
    force : float, N
        Contact force.
    length : float, m
        Contact length.
    modulus_pair : float, Pa
        Reduced modulus E' of the pair.

    Returns
    -------
    float, m
        Approach of the bodies.
    """
    argument = 2.0 * math.pi * modulus_pair * length**2 / force
    return force / (math.pi * modulus_pair * length) * math.log(argument)


def bar_width(pitch_radius, count, pocket_width):
    """Thinnest tangential width of a cage bar, 2 R sin(pi/Z) - pocket width.

    Distance of two neighbouring pocket centres on the pitch circle less the pocket cut there.

    Parameters
    ----------
    pitch_radius : float, m
        Pitch circle radius.
    count : int
        Number of rollers (and bars).
    pocket_width : float, m
        Roller diameter plus pocket clearance.

    Returns
    -------
    float, m
        Width of the bar.

    Raises
    ------
    ValueError
        If the pockets leave no bar.

    Examples
    --------
    >>> round(1e3 * bar_width(0.091, 18, 0.026), 2)
    5.6
    """
    width = 2.0 * pitch_radius * math.sin(math.pi / count) - pocket_width
    if width <= 0.0:
        raise ValueError(f"the pockets leave no cage bar: width {1e3 * width:.3g} mm")
    return width


def bar_bending_stiffness(modulus, poisson, width, height, length):
    """Stiffness of a built-in cage bar under a uniform load across it, with shear.

    Deflection averaged over the length (the one that does work with a uniform load F/L):
    F L^3/(720 E I) + F L/(12 k G A), I = h b^3/12, A = h b, G = E/(2 (1 + nu)), k = 5/6.
    Closed form of the built-in beam; the ends (rings, closure) are taken as rigid.

    Parameters
    ----------
    modulus : float, Pa
        Young's modulus of the cage.
    poisson : float
        Poisson's ratio of the cage.
    width : float, m
        Tangential width b, in the direction of the force.
    height : float, m
        Radial height h.
    length : float, m
        Length of the bar between the rings.

    Returns
    -------
    float, N/m
        Total force over mean deflection.
    """
    inertia = height * width**3 / 12.0
    shear_area = SHEAR_FACTOR_RECTANGLE * width * height
    shear_modulus = modulus / (2.0 * (1.0 + poisson))
    bending = length**3 / (720.0 * modulus * inertia)
    return 1.0 / (bending + length / (12.0 * shear_modulus * shear_area))


def cage_bar_stiffness(case):
    """Stiffness of one cage bar of a case as a built-in beam (see `bar_bending_stiffness`).

    Section: radial height of the cage ring times the width between two pockets at the pitch
    circle; length: roller length plus axial pocket clearance.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    float, N/m
        Stiffness of the bar against a tangential force spread over its length.
    """
    pocket_width = MM * case.roller.diameter_mm + UM * case.clearance.pocket_um
    width = bar_width(0.5 * MM * case.bearing.pitch_diameter_mm, case.roller.count, pocket_width)
    height = 0.5 * MM * (case.cage.outer_diameter_mm - case.cage.inner_diameter_mm)
    length = MM * case.roller.length_mm + UM * case.clearance.pocket_axial_um
    metal = case.materials[case.cage.material]
    return bar_bending_stiffness(metal.youngs_modulus, metal.poisson, width, height, length)
