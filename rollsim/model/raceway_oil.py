"""The oil between rollers and raceways, from the case to the constants of the kernels."""

from rollsim.kernels.types import OilFilm
from rollsim.model.film_formulas import FILM_LAWS, LubricatedContact, kernel_film
from rollsim.model.viscosity import running_pressure_viscosity, running_viscosity
from rollsim.units import MPA, UM

#: Film over that with plenty of oil; grease: common practice, no source.
STARVATION = {"oil": 1.0, "grease": 0.7}


def starvation_factor(case):
    """Film on the raceways over the film with plenty of oil.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    float
        As given, or by the kind of lubricant.
    """
    given = case.lubricant.starvation_factor
    return STARVATION[case.lubricant.kind] if given is None else given


def film_factor(case):
    """Film on the raceways over that of the formula: starvation times heating of the inlet.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    float
        Between 0 and 1.
    """
    return starvation_factor(case) * case.lubricant.thermal_factor


def reduced_radius(pair):
    """Reduced radius of a roller on its raceway, 1/R = 1/r + s/r_raceway.

    Parameters
    ----------
    pair : RoundPair
        Raceway: arm is the roller radius outwards, gap + |arm| the radius of the raceway.

    Returns
    -------
    float, m
        r R_o/(R_o - r) outside, r R_i/(R_i + r) inside.

    Examples
    --------
    >>> from rollsim.kernels.types import RoundPair
    >>> round(1e3 * reduced_radius(RoundPair(-1.0, -0.040, -0.008, 0.0, 0.0, None)), 6)
    6.4
    """
    roller = abs(pair.arm)
    return roller * (pair.side * pair.gap + pair.arm) / (pair.side * pair.gap)


def lubricated_contact(case, pair, length, modulus):
    """A raceway contact with the oil of the case.

    Parameters
    ----------
    case : Case
        The case.
    pair : RoundPair
        Raceway.
    length : float, m
        Effective length of the roller.
    modulus : float, Pa
        Reduced modulus of the contact stiffness (without the factor 2 of film formulas).

    Returns
    -------
    LubricatedContact
        The contact.
    """
    return LubricatedContact(
        reduced_radius(pair),
        length,
        2.0 * modulus,
        running_viscosity(case),
        running_pressure_viscosity(case),
    )


def raceway_oil(case, contact):
    """Oil film of a raceway as the kernels take it.

    Parameters
    ----------
    case : Case
        The case.
    contact : LubricatedContact
        The raceway contact.

    Returns
    -------
    OilFilm
        Constants.
    """
    oil = case.lubricant
    given = OilFilm(
        by_roughness=1.0 / (UM * oil.raceway_roughness_um),
        limit=MPA * oil.limiting_shear_stress_MPa,
        limit_slope=oil.limiting_shear_coefficient,
        least_scale=oil.ehl_least_slip_scale_m_per_s,
        rolling=float(oil.rolling_resistance),
    )
    return kernel_film(contact, FILM_LAWS[oil.film_formula], film_factor(case), given)
