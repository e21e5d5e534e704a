"""Oil film between the cage and its guiding ring: short bearing with squeeze and cavitation.

One surface lies inside the other with the radial clearance c and the eccentricity e = eps c. For a
land that is short against its diameter the pressure falls along the land only, and the Reynolds
equation can be integrated (Ocvirk, NACA TN 2808 (1952); Ocvirk and DuBois, NACA TR 1157 (1953)):

    f(theta) = (eta L^3/c^2) (a cos(theta) + b sin(theta))/(1 + eps cos(theta))^3

is the force per length of circumference, theta counted from the widest place of the film. With the
velocity V of the eccentricity less that of the oil between the surfaces, which turns at their mean
speed, V = q' - (omega/2) e_z x q (omega: sum of both angular speeds), a = -V_n/c and b = -V_t/c.
The film carries where f > 0: a half of the circumference that turns with the motion
("pi film"); in the other half it is torn. So it never pulls, and the power f (a cos + b sin) lost
is positive everywhere. It makes no difference which of the two surfaces belongs to the cage.
"""

import math

from rollsim.kernels.film import film_thickness
from rollsim.kernels.jit import inline_kernel


@inline_kernel
def pi_film_integrals(eps, sine, cosine):
    """Integrals of cos^2, cos sin and sin^2 over (1 + eps cos(theta))^3 on a half circle.

    The half circle is psi - pi/2 < theta < psi + pi/2. Sommerfeld's substitution 1 + eps
    cos(theta) = r^2/(1 - eps cos(gamma)), r^2 = 1 - eps^2, makes trigonometric polynomials of the
    integrands, and with p = sin(psi), q = cos(psi), D = 1 - eps^2 p^2 one finds the span
    G = 2 atan2(r, eps q) of gamma and

        I_cc = (G (1/2 + eps^2) + r q eps (1 + eps^2 p^2 - 2 p^2)/D^2 - 4 eps r q/D)/r^5
        I_cs = -2 eps p^3/D^2
        I_ss = (G/2 - r q eps (1 + eps^2 p^2 - 2 p^2)/D^2)/r^3

    No divisor vanishes with eps. Sommerfeld, Z. Math. Phys. 50 (1904) for the substitution; worked
    out for the turning half circle here. psi = pi/2 (steady running) gives -2 eps/(1 - eps^2)^2
    and pi/(2 (1 - eps^2)^(3/2)) of Ocvirk; eps = 0 gives pi/2, 0, pi/2.

    Parameters
    ----------
    eps : float
        Eccentricity over clearance, at least 0, less than 1.
    sine : float
        p.
    cosine : float
        q.

    Returns
    -------
    cc : float
        I_cc.
    cs : float
        I_cs.
    ss : float
        I_ss.
    """
    square = eps * eps
    r2 = 1.0 - square
    r = math.sqrt(r2)
    p2 = sine * sine
    by_d = 1.0 / (1.0 - square * p2)
    ep = eps * by_d
    rq = r * cosine
    span = 2.0 * math.atan2(r, eps * cosine)
    middle = rq * ep * by_d * (1.0 + square * p2 - 2.0 * p2)
    by_r3 = 1.0 / (r * r2)
    cc = (span * (0.5 + square) + middle - 4.0 * ep * rq) * by_r3 / r2
    return cc, -2.0 * ep * by_d * p2 * sine, (0.5 * span - middle) * by_r3


@inline_kernel
def approach_integral(eps):
    """I_cc of a film that closes straight: the half circle around the narrowest place.

    I = (2 arccos(-eps) (1/2 + eps^2) + 3 eps r)/r^5, the case psi = pi of `pi_film_integrals`.

    Parameters
    ----------
    eps : float
        Eccentricity over clearance, at least 0, less than 1.

    Returns
    -------
    float
        The integral; pi/2 at eps = 0.
    """
    square = eps * eps
    r2 = 1.0 - square
    r = math.sqrt(r2)
    span = 2.0 * math.atan2(r, -eps)
    return (span * (0.5 + square) + 3.0 * eps * r) / (r * r2 * r2)


@inline_kernel
def elastic_floor(film, speed):
    """Least film thickness: roughness, or what the pressure of the wedge leaves by elasticity.

    A thin wedge carries F = K c^2 |V_t|/(2 h^2), K = eta R L^3/c^3 (the steady film of Ocvirk for
    eps near 1). The surfaces give way by F/k, so that at a nominal gap of 0 the film keeps the
    thickness h = F/k, which is h^3 = K c^2 |V_t|/(2 k). With the roughness f the floor is
    (f^3 + h^3)^(1/3), at most half of the clearance. Without it a thick oil could push a light
    cage off the land with a hundred times the force that the land bears. Estimate worked out for
    this model; against film and spring in series the force is up to 40 % too large at gaps of
    about one floor, and right far from it.

    Parameters
    ----------
    film : LandFilm
        Constants.
    speed : float, m/s
        |V_t|.

    Returns
    -------
    float
        m.
    """
    cube = film.floor * film.floor * film.floor
    cube += film.squeeze * film.clearance * film.clearance * speed / (2.0 * film.stiffness)
    return min(cube ** (1.0 / 3.0), 0.5 * film.clearance)


@inline_kernel
def least_thickness(film, eccentricity, vt):
    """Least thickness of the film, on the line of centres: the gap, but never below its floor.

    Parameters
    ----------
    film : LandFilm
        Constants.
    eccentricity : float, m
        Distance e of the centres.
    vt : float, m/s
        As for `land_film`.

    Returns
    -------
    float
        m.
    """
    floor = elastic_floor(film, abs(vt))
    return film_thickness(film.clearance - eccentricity, floor)


@inline_kernel
def land_film(film, eccentricity, vn, vt):
    """Force of the film on one of the two bodies, and its resistance to turning.

    F_n = K (a I_cc + b I_cs), F_t = K (a I_cs + b I_ss), K = eta R L^3/c^2, a = -V_n/c,
    b = -V_t/c. The film is never thinner than `elastic_floor` (`film.film_thickness`). Where it
    closes, the surfaces yield: the speed of approach that is left for the film is V_n/(1 + C/Z)
    with what the closing gap adds to C of straight approach (`film.yielding`); in the middle of
    the clearance no direction may stand out. Couette's torque for each rad/s between the surfaces
    is 2 pi eta R^3 L/(c sqrt(1 - eps^2)); Petroff 1883 is its value at eps = 0.

    Parameters
    ----------
    film : LandFilm
        Constants.
    eccentricity : float, m
        Distance e of the centres.
    vn : float, m/s
        V along the eccentricity, of the body on which the force is wanted against the other one.
    vt : float, m/s
        V across it (turned by +90 degrees).

    Returns
    -------
    fn : float
        Force along the eccentricity of this body, N.
    ft : float
        Force across it, N.
    resistance : float
        Couette torque over speed difference, N m s.
    """
    thickness = least_thickness(film, eccentricity, vt)
    eps = max(1.0 - thickness / film.clearance, 0.0)
    if vn > 0.0:
        closing = approach_integral(eps) - 0.5 * math.pi
        vn /= 1.0 + film.squeeze * closing / film.impedance
    # The least speed only keeps 0/0 away: the force is proportional to the speed.
    scale = 1.0 / max(math.sqrt(vn * vn + vt * vt), 1e-30)
    cc, cs, ss = pi_film_integrals(eps, -vt * scale, -vn * scale)
    fn = -film.squeeze * (vn * cc + vt * cs)
    ft = -film.squeeze * (vn * cs + vt * ss)
    return fn, ft, film.couette / math.sqrt(1.0 - eps * eps)
