"""Dynamic load rating of a radial roller bearing and the least load that makes it roll."""

from rollsim.model.pairs import effective_length
from rollsim.units import KN, MM

#: b_m of cylindrical roller bearings with machined rings (ISO 281; value from memory).
MATERIAL_FACTOR = 1.1
#: Reduction for line contact and uneven load along it (ISO/TR 1281-1; value from memory).
REDUCTION = 0.83
#: Least load over the dynamic rating of roller bearings: bearing makers' rule of thumb.
LEAST_LOAD_SHARE = 0.02


def roller_rating_factor(ratio):
    """Factor f_c of the dynamic load rating of radial roller bearings.

    f_c = 0.377 lambda nu 551.13373 g^(2/9) (1-g)^(29/27)/(1+g)^(1/4)
    (1 + (1.04 ((1-g)/(1+g))^(143/108))^(9/2))^(-2/9), g = D_we cos(alpha)/D_pw, lambda nu = 0.83.
    Newtons and millimetres. Valid for g from 0.01 to 0.3 (range of the table of ISO 281).
    Source: ISO/TR 1281-1, table of f_c in ISO 281 (both from memory).

    Parameters
    ----------
    ratio : float
        g.

    Returns
    -------
    float
        f_c.

    Examples
    --------
    Printed: 52.1 for 0.01, 84.2 for 0.10, 88.7 for 0.20 (values from memory).

    >>> [round(roller_rating_factor(g), 1) for g in (0.01, 0.1, 0.2)]
    [52.1, 84.2, 88.7]
    """
    share = 1.04 * ((1.0 - ratio) / (1.0 + ratio)) ** (143.0 / 108.0)
    size = ratio ** (2.0 / 9.0) * (1.0 - ratio) ** (29.0 / 27.0) / (1.0 + ratio) ** 0.25
    return 0.377 * REDUCTION * 551.13373 * size * (1.0 + share**4.5) ** (-2.0 / 9.0)


def dynamic_load_rating(count, diameter, length, pitch_diameter):
    """Dynamic radial load rating of a cylindrical roller bearing with one row.

    C = b_m f_c L_we^(7/9) Z^(3/4) D_we^(29/27), in N with L_we and D_we in mm. Source: ISO 281.

    Parameters
    ----------
    count : int
        Number of rollers Z.
    diameter, length, pitch_diameter : float, m
        Roller diameter, its effective length, diameter of the pitch circle.

    Returns
    -------
    float, N
        C.
    """
    size = (1e3 * length) ** (7.0 / 9.0) * count**0.75 * (1e3 * diameter) ** (29.0 / 27.0)
    return MATERIAL_FACTOR * roller_rating_factor(diameter / pitch_diameter) * size


def minimum_load(rating, share=LEAST_LOAD_SHARE):
    """Least radial load for rolling without harmful slip, 0.02 C.

    Source: bearing makers' rule of thumb; half of it for ball bearings.

    Parameters
    ----------
    rating : float, N
        Dynamic load rating C.
    share : float
        0.02 for roller bearings.

    Returns
    -------
    float, N
        Least load.

    Examples
    --------
    >>> minimum_load(100e3)
    2000.0
    """
    return share * rating


def case_rating(case):
    """Dynamic load rating of a case: the given one, else after ISO 281.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    float, N
        C.
    """
    given = case.bearing.dynamic_load_rating_kN
    if given is not None:
        return KN * given
    return dynamic_load_rating(
        case.roller.count,
        MM * case.roller.diameter_mm,
        effective_length(case),
        MM * case.bearing.pitch_diameter_mm,
    )
