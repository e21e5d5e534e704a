"""Lubricated line contact of a roller on a raceway: film, friction of film and asperities, rolling.

What does not change in a run is folded into `OilFilm` by `rollsim.model.lubrication`, where the
formulas stand with their dimensionless groups. A contact that carries load costs four or five
calls of logarithm and exponential.
"""

import math

from rollsim.kernels.elementary import exponential, natural_log
from rollsim.kernels.jit import inline_kernel
from rollsim.kernels.types import Grip

#: Exponents of the rolling resistance, Zhou & Hoeprich 1991 (value from memory).
ROLLING_SPEED = 0.648
ROLLING_LOAD = 0.246
# Square of the entrainment below which the film stays finite, m2/s2: nothing rolls at 1 um/s.
_STANDSTILL = 1e-12
# Largest exponent of the viscosity: at e^40 the film is a solid, and the floor of the slip scale
# has long taken over. It keeps overloads from overflowing.
_LARGEST_EXPONENT = 40.0


@inline_kernel
def log_speed(entrainment):
    """Natural logarithm of the entrainment, finite and smooth through zero.

    Parameters
    ----------
    entrainment : float, m/s
        Of either sign.

    Returns
    -------
    float
        ln sqrt(u^2 + (1 um/s)^2), u in m/s.
    """
    return 0.5 * natural_log(entrainment * entrainment + _STANDSTILL)


@inline_kernel
def film_thickness(log_load, log_entrainment, oil):
    """Film thickness h = C u^a Q^-b.

    Parameters
    ----------
    log_load : float
        Natural logarithm of the load in N.
    log_entrainment : float
        Natural logarithm of the entrainment in m/s.
    oil : OilFilm
        ln C, a and -b; formulas in `rollsim.model.lubrication`.

    Returns
    -------
    float, m
        Thickness, inlet heating and starvation included in C.
    """
    return exponential(oil.film + oil.film_speed * log_entrainment + oil.film_load * log_load)


@inline_kernel
def asperity_share(ratio):
    """Share of boundary friction, phi = 1/(1 + lambda)^2: 1 dry, 1/4 at lambda = 1, 1/16 at 3.

    mu = phi mu_boundary + (1 - phi) mu_film. Source: Olver & Spikes, Prediction of traction in
    elastohydrodynamic lubrication, Proc. IMechE J 212 (1998) (value from memory).

    Parameters
    ----------
    ratio : float
        lambda, film thickness over composite roughness.

    Returns
    -------
    float
        phi.

    Examples
    --------
    >>> asperity_share.py_func(0.0), asperity_share.py_func(1.0), asperity_share.py_func(3.0)
    (1.0, 0.25, 0.0625)
    """
    return 1.0 / ((1.0 + ratio) * (1.0 + ratio))


@inline_kernel
def film_slip_scale(limit, thickness, pressure, oil):
    """Slip at which 71 % of the limiting shear stress is reached, s_e = tau_L h / eta(p).

    eta(p) = eta_0 exp(alpha p) (Barus 1893); combined with the floor s_0 as sqrt(s_e^2 + s_0^2):
    real films are softened by the elastic compliance of the bodies and the equations would become
    stiff. Shear law: tau = tau_L x/sqrt(1 + x^2), x = eta s/(h tau_L), the "circular" law of
    Lee & Hamrock 1990 (value from memory).

    Parameters
    ----------
    limit : float, Pa
        Limiting shear stress tau_L.
    thickness : float, m
        Film thickness h.
    pressure : float, Pa
        Mean pressure p.
    oil : OilFilm
        Viscosity, alpha and floor.

    Returns
    -------
    float, m/s
        The slip scale.
    """
    thinning = exponential(-min(oil.piezo * pressure, _LARGEST_EXPONENT))
    scale = limit * thickness / oil.viscosity * thinning
    return math.sqrt(scale * scale + oil.least_scale * oil.least_scale)


@inline_kernel
def film_grip(normal, entrainment, traction):
    """Friction of asperities and of the film in one contact.

    The film is sheared under the mean Hertz pressure p. Against the sum over the distribution of
    pressure the friction of the film is right within 10 % where alpha p < 1.3, within 10 % above
    0.1 m/s of slip where alpha p > 12, exact where the film slides at its limit everywhere, and up
    to half too small between (alpha p near 6, slip below 1 m/s): tests/published has the sum.

    Parameters
    ----------
    normal : float, N
        Load Q of the whole contact.
    entrainment : float, m/s
        Mean speed of both surfaces seen from the contact, of either sign.
    traction : Traction
        Boundary friction, its slip scale, and the film.

    Returns
    -------
    Grip
        Without load nothing is held: all friction is 0.
    """
    loaded = normal > 0.0
    normal = normal if loaded else 1.0
    oil = traction.oil
    thickness = film_thickness(natural_log(normal), log_speed(entrainment), oil)
    boundary = asperity_share(thickness * oil.by_roughness)
    pressure = oil.pressure * math.sqrt(normal)
    limit = oil.limit + oil.limit_slope * pressure
    scale = film_slip_scale(limit, thickness, pressure, oil)
    # Without a branch, so that a loop over contacts vectorises.
    friction = boundary * traction.friction if loaded else 0.0
    sheared = (1.0 - boundary) * limit / pressure if loaded else 0.0
    return Grip(friction, traction.slip_scale, sheared, scale)


@inline_kernel
def film_rolling(normal, entrainment, oil):
    """Rolling resistance of each surface, F = C u^0.648 Q^0.246, with the sign of the entrainment.

    The oil that flows back in the inlet shears each of the two surfaces with F against its motion
    seen from the contact (Zhou & Hoeprich, Torque of tapered roller bearings, J. Tribology 113
    (1991), value from memory; C in `rollsim.model.film_formulas`). Smooth through zero: times
    u/sqrt(u^2 + s0^2) with the floor s0 of the slip scale.

    Parameters
    ----------
    normal : float, N
        Load Q of the whole contact.
    entrainment : float, m/s
        Mean speed u of both surfaces seen from the contact, of either sign.
    oil : OilFilm
        Its constant C.

    Returns
    -------
    float, N
        F times the sign of u.
    """
    loaded = normal > 0.0
    log_load = natural_log(normal if loaded else 1.0)
    exponent = ROLLING_SPEED * log_speed(entrainment) + ROLLING_LOAD * log_load
    sense = entrainment / math.sqrt(entrainment * entrainment + oil.least_scale * oil.least_scale)
    return oil.rolling * exponential(exponent) * sense if loaded else 0.0
