"""Viscosity and density of an oil at its running temperature."""

import math

from scipy.optimize import brentq

from rollsim.case.lines import LineTable
from rollsim.errors import CaseError, Problem
from rollsim.units import MPA_S

#: 0 degrees C in K.
ZERO_CELSIUS = 273.15
#: Fall of the density with temperature over that at 15 degrees C, 1/K; common practice, no source.
DENSITY_FALL = 6.5e-4
#: Range of kinematic viscosity in mm2/s for which the short form of ASTM D341 holds.
D341_RANGE = (2.0, 2e7)
#: Least viscosity in mPas that goes into the pressure-viscosity correlation.
LEAST_FOR_PRESSURE = 1.0
#: Largest viscosity in mPas, as for lubricant.viscosity_mPas.
_MOST_MPAS = 1e5
#: Where the search for the viscosity at 100 degrees C ends, mm2/s.
_LARGEST_100C = 1e4
# Coefficients a, b, c of L and d, e, f of H by the viscosity Y at 100 degrees C, up to `top`:
# ASTM D2270 (ISO 2909), table of equations (values from memory; checked for continuity and against
# remembered rows of the standard's table).
_INDEX_ROWS = (
    (3.8, 1.14673, 1.7576, -0.109, 0.84155, 1.5521, -0.077),
    (4.4, 3.38095, -15.4952, 33.196, 0.78571, 1.7929, -0.183),
    (5.0, 2.5000, -7.2143, 13.812, 0.82143, 1.5679, 0.119),
    (6.4, 0.10100, 16.6350, -45.469, 0.04985, 9.1613, -18.557),
    (7.0, 3.35714, -23.5643, 78.466, 0.22619, 7.7369, -16.656),
    (7.7, 0.01191, 21.4750, -72.870, 0.79762, -0.7321, 14.610),
    (9.0, 0.41858, 16.1558, -56.040, 0.05794, 10.5156, -28.240),
    (12.0, 0.88779, 7.5527, -16.600, 0.26665, 6.7015, -10.810),
    (15.0, 0.76720, 10.7972, -38.180, 0.20073, 8.4658, -22.490),
    (18.0, 0.97305, 5.3135, -2.200, 0.28889, 5.9741, -4.930),
    (22.0, 0.97256, 5.2500, -0.980, 0.24504, 7.4160, -16.730),
    (28.0, 0.91413, 7.4759, -21.820, 0.20323, 9.1267, -34.230),
    (40.0, 0.87031, 9.7157, -50.770, 0.18411, 10.1015, -46.750),
    (55.0, 0.84703, 12.6752, -133.310, 0.17029, 11.4866, -80.620),
    (70.0, 0.85921, 11.1009, -83.190, 0.17130, 11.3680, -76.940),
    (math.inf, 0.83531, 14.6731, -216.246, 0.16841, 11.8493, -96.947),
)


def viscosity_at(temperature, cold, hot):
    """Kinematic viscosity from those at 40 and 100 degrees C.

    log10 log10(nu + 0.7) = A - B log10 T with T in K. Source: ASTM D341 (Walther 1931), short form,
    for nu from 2 to 2e7 mm2/s.

    Parameters
    ----------
    temperature : float, degrees C
        Temperature of the oil.
    cold : float, mm2/s
        Viscosity at 40 degrees C.
    hot : float, mm2/s
        Viscosity at 100 degrees C.

    Returns
    -------
    float, mm2/s
        The viscosity; outside the range of validity it is an extrapolation.

    Examples
    --------
    >>> round(viscosity_at(40.0, 68.0, 8.7), 9), round(viscosity_at(70.0, 68.0, 8.7), 2)
    (68.0, 20.12)
    """
    at_40, at_100, at = (math.log10(t + ZERO_CELSIUS) for t in (40.0, 100.0, temperature))
    high, low = (math.log10(math.log10(nu + 0.7)) for nu in (cold, hot))
    doubled = high + (low - high) * (at - at_40) / (at_100 - at_40)
    try:
        return 10.0 ** (10.0**doubled) - 0.7
    except OverflowError:  # a solid, far outside the range of validity
        return math.inf


def index_limits(hot):
    """Viscosities at 40 degrees C of oils of viscosity index 0 and 100.

    L = a Y^2 + b Y + c and H = d Y^2 + e Y + f with Y the viscosity at 100 degrees C.
    Source: ASTM D2270 / ISO 2909 (values from memory), Y of at least 2 mm2/s.

    Parameters
    ----------
    hot : float, mm2/s
        Viscosity Y at 100 degrees C.

    Returns
    -------
    zero : float, mm2/s
        L, at viscosity index 0.
    hundred : float, mm2/s
        H, at viscosity index 100.

    Examples
    --------
    The row of 10 mm2/s of the standard's table: L = 147.7, H = 82.87 (from memory).

    >>> [round(value, 2) for value in index_limits(10.0)]
    [147.71, 82.87]
    """
    _, a, b, c, d, e, f = next(row for row in _INDEX_ROWS if hot < row[0])
    return (a * hot + b) * hot + c, (d * hot + e) * hot + f


def viscosity_index(cold, hot):
    """Viscosity index of an oil.

    VI = 100 (L - U)/(L - H) up to 100, above VI = 100 + (10^N - 1)/0.00715 with
    N = (log H - log U)/log Y. Source: ASTM D2270 / ISO 2909 (from memory).

    Parameters
    ----------
    cold : float, mm2/s
        Viscosity U at 40 degrees C.
    hot : float, mm2/s
        Viscosity Y at 100 degrees C, at least 2.

    Returns
    -------
    float
        The index.

    Examples
    --------
    Worked values of the standard (from memory): 73.30 and 8.86 mm2/s give 92; 22.83 and 5.05 give
    156.

    >>> round(viscosity_index(73.30, 8.86)), round(viscosity_index(22.83, 5.05))
    (92, 156)
    """
    zero, hundred = index_limits(hot)
    if cold >= hundred:
        return 100.0 * (zero - cold) / (zero - hundred)
    power = (math.log10(hundred) - math.log10(cold)) / math.log10(hot)
    return 100.0 + (10.0**power - 1.0) / 0.00715


def hot_viscosity(cold, index):
    """Viscosity at 100 degrees C of an oil of known viscosity index: `viscosity_index` inverted.

    Parameters
    ----------
    cold : float, mm2/s
        Viscosity at 40 degrees C, at least 8.
    index : float
        Viscosity index.

    Returns
    -------
    float, mm2/s
        Viscosity at 100 degrees C.

    Examples
    --------
    A grade of 68 mm2/s with index 95, as mineral oils have.

    >>> round(hot_viscosity(68.0, 95.0), 2)
    8.53
    """

    def excess(hot):
        zero, hundred = index_limits(hot)
        if index <= 100.0:
            return zero - 0.01 * index * (zero - hundred) - cold
        return hundred * (1.0 + 0.00715 * (index - 100.0)) ** -math.log10(hot) - cold

    return brentq(excess, D341_RANGE[0], _LARGEST_100C, xtol=1e-12)


def density_at(temperature, density):
    """Density of an oil, rho = rho_15 (1 - 6.5e-4 (T - 15)).

    Common practice for mineral oil, no source.

    Parameters
    ----------
    temperature : float, degrees C
        Temperature T.
    density : float, kg/m3
        Density at 15 degrees C.

    Returns
    -------
    float, kg/m3
        The density.

    Examples
    --------
    >>> density_at(15.0, 880.0), round(density_at(70.0, 880.0), 2)
    (880.0, 848.54)
    """
    return density * (1.0 - DENSITY_FALL * (temperature - 15.0))


def pressure_viscosity(viscosity):
    """Pressure-viscosity coefficient of a mineral oil, alpha = (0.6 + 0.965 log10 eta) 1e-8.

    eta in mPas, alpha in 1/Pa. Source: Wooster (value from memory); below 1 mPas, where the
    correlation runs out, the value at 1 mPas.

    Parameters
    ----------
    viscosity : float, Pa s
        Dynamic viscosity at no pressure.

    Returns
    -------
    float, 1/Pa
        alpha.

    Examples
    --------
    >>> round(pressure_viscosity(0.1) * 1e9, 2), round(pressure_viscosity(1e-5) * 1e9, 2)
    (25.3, 6.0)
    """
    return (0.6 + 0.965 * math.log10(max(viscosity / MPA_S, LEAST_FOR_PRESSURE))) * 1e-8


def kinematic_viscosity(case):
    """Kinematic viscosity of the lubricant of a case, where it is known.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    float or None, mm2/s
        None where the case gives the dynamic viscosity.
    """
    oil = case.lubricant
    if oil.grade_iso_vg is not None:
        hot = hot_viscosity(oil.grade_iso_vg, oil.viscosity_index)
        return viscosity_at(oil.temperature_C, oil.grade_iso_vg, hot)
    if oil.viscosity_40C_mm2_per_s is not None:
        return viscosity_at(
            oil.temperature_C, oil.viscosity_40C_mm2_per_s, oil.viscosity_100C_mm2_per_s
        )
    return None


def running_viscosity(case):
    """Dynamic viscosity of the oil, or of the base oil of a grease, at running temperature.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    float, Pa s
        As given, or kinematic viscosity times density.

    Raises
    ------
    CaseError
        The oil is more viscous than `viscosity_mPas` may be: no oil runs there.
    """
    oil = case.lubricant
    kinematic = kinematic_viscosity(case)
    if kinematic is None:
        return MPA_S * oil.viscosity_mPas
    viscosity = 1e-6 * kinematic * density_at(oil.temperature_C, oil.density_15C_kg_per_m3)
    if viscosity > MPA_S * _MOST_MPAS:
        raise CaseError([_solid(case, viscosity)])
    return viscosity


def _solid(case, viscosity):
    """What is wrong with an oil that does not flow."""
    at = case.lubricant.temperature_C
    solid = math.isinf(viscosity)
    has = "is a solid there" if solid else f"has {viscosity / MPA_S:.2g} mPas there"
    text = (
        f"the oil {has} by ASTM D341, films are computed up to {_MOST_MPAS:g} mPas; give the "
        "temperature at which the bearing runs, or check the two viscosities of the oil"
    )
    line = LineTable(case.text).line(("lubricant", "temperature_C"))
    return Problem(case.name, line, "lubricant.temperature_C", at, text)


def running_pressure_viscosity(case):
    """Pressure-viscosity coefficient of the oil of a case.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    float, 1/Pa
        As given, or from `pressure_viscosity`.
    """
    given = case.lubricant.pressure_viscosity_per_GPa
    return pressure_viscosity(running_viscosity(case)) if given is None else 1e-9 * given
