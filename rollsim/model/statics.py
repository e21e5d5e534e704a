"""Static load distribution of a cylindrical roller bearing, discrete and after Sjovall.

Plane problem, small displacements: a roller at azimuth psi sees the inner ring come nearer by
u . e_r(psi). The diametral clearance is shared evenly between both raceways and both sides, so a
roller centred on the pitch circle has clearance/4 to each raceway.
"""

from dataclasses import dataclass

import numpy as np
from scipy.integrate import quad

from rollsim.errors import RunError
from rollsim.model.stiffness import LINE_EXPONENT

_ROUNDS = 200
_TOLERANCE = 1e-12
_STALLED = 1e-9


@dataclass(frozen=True)
class StaticContacts:
    """Constants of the static problem.

    outer, inner: N/m^n, constant of one outer and one inner raceway contact; clearance: m,
    diametral radial internal clearance; centrifugal: N, outward force on every roller;
    exponent: n of Q = K d^n.
    """

    outer: float
    inner: float
    clearance: float
    centrifugal: float = 0.0
    exponent: float = LINE_EXPONENT


@dataclass(frozen=True)
class StaticEquilibrium:
    """Static state of the bearing.

    displacement: array (2,), m, of the inner ring from the bearing axis; outer_force,
    inner_force: arrays (Z,), N; radial_offset: array (Z,), m, roller centre from the pitch
    circle, outward positive; residual: N, force left unbalanced; rounds: Newton rounds used.
    """

    displacement: np.ndarray
    outer_force: np.ndarray
    inner_force: np.ndarray
    radial_offset: np.ndarray
    residual: float
    rounds: int


@dataclass(frozen=True)
class _RollerStates:
    """Forces, stiffness, stored energy and outer penetration of all rollers (SI)."""

    inner_force: np.ndarray
    stiffness: np.ndarray
    energy: np.ndarray
    outer_penetration: np.ndarray


def static_equilibrium(contacts, azimuths, load):
    """Find where the inner ring comes to rest under a radial load.

    Each roller: K_o d_o^n = K_i d_i^n + F_c, d_o + d_i = u . e_r - clearance/2; a roller that the
    inner ring does not reach rests on the outer raceway. Ring: sum Q_i e_r = load. The potential
    is convex, so damped Newton with a falling potential cannot miss the solution.

    Parameters
    ----------
    contacts : StaticContacts
        Contact constants, clearance and centrifugal force.
    azimuths : array (Z,), rad
        Roller positions, any spacing.
    load : array (2,), N
        Force on the inner ring, x and y.

    Returns
    -------
    StaticEquilibrium
        Displacement, forces and roller positions.

    Raises
    ------
    ValueError
        If the centrifugal force is negative.
    RunError
        If the rollers cannot carry the load (all on one side of it).
    """
    if contacts.centrifugal < 0.0:
        raise ValueError("the centrifugal force must not be negative")
    normals = np.column_stack([np.cos(azimuths), np.sin(azimuths)])
    force = np.asarray(load, dtype=float)
    size = float(np.hypot(*force))
    # Without load and preload the ring floats; its centre is as good as any place.
    displacement, rounds = np.zeros(2), 0
    if size > 0.0 or contacts.clearance < 0.0:
        guess = _first_guess(contacts, force, len(normals))
        displacement, rounds = _newton(contacts, normals, force, guess)
    return _equilibrium(contacts, normals, displacement, force, rounds)


def _first_guess(contacts, force, count):
    """Displacement along the load from the zero-clearance estimate Q_max = 4.08 F/Z."""
    size = np.hypot(*force)
    if size == 0.0:
        return np.zeros(2)
    share = 1.0 / contacts.exponent
    per_force = contacts.outer**-share + contacts.inner**-share
    approach = (4.08 * size / count) ** share * per_force
    return force / size * (0.5 * max(contacts.clearance, 0.0) + approach)


def _newton(contacts, normals, force, displacement):
    """Damped Newton on the convex potential; returns the displacement and the rounds used."""
    states = _roller_states(contacts, normals @ displacement)
    moved, rounds = True, 0
    while moved and rounds < _ROUNDS:
        scale = np.hypot(*force) + states.inner_force.sum()
        gradient = normals.T @ states.inner_force - force
        if np.hypot(*gradient) <= _TOLERANCE * scale:
            return displacement, rounds
        hessian = (normals.T * states.stiffness) @ normals
        # One loaded roller leaves the tangential direction without stiffness.
        hessian = hessian + 1e-9 * _ring_stiffness(contacts, scale) * np.eye(2)
        step = -np.linalg.solve(hessian, gradient)
        displacement, states, moved = _line_search(
            contacts, normals, force, displacement, states, step
        )
        rounds += 1
    # Rounding can stop the search a little above the tolerance; more than that is a failure.
    if np.hypot(*(normals.T @ states.inner_force - force)) <= _STALLED * scale:
        return displacement, rounds
    raise RunError("the rollers cannot carry the radial load: no static equilibrium found")


def _ring_stiffness(contacts, size):
    """Stiffness of one roller under the whole load, a scale in N/m."""
    share = 1.0 / contacts.exponent
    approach = size**share * (contacts.outer**-share + contacts.inner**-share)
    return contacts.exponent * size / approach


def _line_search(contacts, normals, force, displacement, states, step):
    """Shorten the step until the potential falls and its slope along the step has shrunk."""
    reach = 10.0 * np.hypot(*displacement) + abs(contacts.clearance)
    step = step * min(1.0, reach / np.hypot(*step))
    slope = (normals.T @ states.inner_force - force) @ step
    potential = states.energy.sum() - force @ displacement
    factor = 1.0
    for _ in range(60):
        trial = displacement + factor * step
        trial_states = _roller_states(contacts, normals @ trial)
        trial_slope = (normals.T @ trial_states.inner_force - force) @ step
        fallen = trial_states.energy.sum() - force @ trial < potential + 1e-4 * factor * slope
        if fallen or abs(trial_slope) < 0.9 * abs(slope):
            return trial, trial_states, True
        factor *= 0.5
    return displacement, states, False


def _roller_states(contacts, approach):
    """Solve every roller between the raceways for the approach of the inner ring."""
    n = contacts.exponent
    squeeze = approach - 0.5 * contacts.clearance
    inner, outer, slope = _inner_penetration(contacts, squeeze)
    inner_force = contacts.inner * inner**n
    rate = np.where(inner > 0.0, n * contacts.inner * inner ** (n - 1.0), 0.0)
    energy = contacts.inner * inner ** (n + 1.0) + contacts.outer * outer ** (n + 1.0)
    energy = energy / (n + 1.0) - contacts.centrifugal * outer
    return _RollerStates(inner_force, rate / (1.0 + slope), energy, outer)


def _inner_penetration(contacts, squeeze):
    """Inner and outer penetration and d(outer)/d(inner) for d_o + d_i = squeeze.

    f(x) = x + ((K_i x^n + F_c)/K_o)^(1/n) - squeeze is rising and convex, so Newton from the
    right end falls monotonically onto the root.
    """
    n = contacts.exponent
    ratio = contacts.inner / contacts.outer
    rest = contacts.centrifugal / contacts.outer
    free = rest ** (1.0 / n)
    inner = np.maximum(squeeze - free, 0.0)
    loaded = inner > 0.0
    slope = np.zeros_like(inner)
    for _ in range(100):
        total = np.where(loaded, ratio * inner**n + rest, 1.0)
        outer = total ** (1.0 / n)
        slope = np.where(loaded, ratio * inner ** (n - 1.0) * outer / total, 0.0)
        change = np.where(loaded, (inner + outer - squeeze) / (1.0 + slope), 0.0)
        inner = np.maximum(inner - change, 0.0)
        if np.all(np.abs(change) <= 4e-16 * np.abs(squeeze)):
            break
    outer = np.where(loaded, (ratio * inner**n + rest) ** (1.0 / n), free)
    return inner, outer, slope


def _equilibrium(contacts, normals, displacement, force, rounds):
    """Collect the result at a displacement."""
    states = _roller_states(contacts, normals @ displacement)
    residual = normals.T @ states.inner_force - force
    return StaticEquilibrium(
        displacement=displacement,
        outer_force=states.inner_force + contacts.centrifugal,
        inner_force=states.inner_force,
        radial_offset=0.25 * contacts.clearance + states.outer_penetration,
        residual=float(np.hypot(*residual)),
        rounds=rounds,
    )


def load_zone_parameter(displacement, clearance):
    """Load zone parameter eps = (1 - P_d/(2 delta_r))/2.

    Source: Sjovall 1933; Harris, Rolling Bearing Analysis.

    Parameters
    ----------
    displacement : float, m
        Radial displacement delta_r of the inner ring from the centred position.
    clearance : float, m
        Diametral clearance P_d, negative for preload.

    Returns
    -------
    float
        eps; 0.5 without clearance, above 1 when all rollers are loaded.
    """
    return 0.5 * (1.0 - clearance / (2.0 * displacement))


def sjovall_radial_integral(zone, exponent=LINE_EXPONENT):
    """Sjovall's radial load integral J_r(eps), F_r = Z Q_max J_r.

    J_r = 1/(2 pi) int_-psi^psi (1 - (1 - cos t)/(2 eps))^n cos t dt, cos psi = 1 - 2 eps
    (psi = pi above eps = 1). Source: Sjovall 1933.

    Parameters
    ----------
    zone : float
        eps > 0.
    exponent : float
        n, 10/9 for lines, 3/2 for points.

    Returns
    -------
    float
        J_r.

    Examples
    --------
    >>> round(1.0 / sjovall_radial_integral(0.5, 1.5), 2)
    4.37
    """
    return _sjovall(zone, exponent, np.cos)


def sjovall_axial_integral(zone, exponent=LINE_EXPONENT):
    """Sjovall's axial load integral J_a(eps), F_a = Z Q_max J_a sin(contact angle).

    As `sjovall_radial_integral` without the cosine. Source: Sjovall 1933.

    Parameters
    ----------
    zone : float
        eps > 0.
    exponent : float
        n.

    Returns
    -------
    float
        J_a.

    Examples
    --------
    >>> round(sjovall_axial_integral(0.5) / sjovall_radial_integral(0.5), 2)
    1.26
    """
    return _sjovall(zone, exponent, lambda angle: 1.0)


def _sjovall(zone, exponent, weight):
    """Integrate the load distribution over the load zone with a weight of the angle."""
    edge = np.arccos(1.0 - 2.0 * zone) if zone < 1.0 else np.pi

    def load(angle):
        """Weighted load at an angle, as a share of the largest."""
        return max(1.0 - (1.0 - np.cos(angle)) / (2.0 * zone), 0.0) ** exponent * weight(angle)

    return quad(load, 0.0, edge, epsabs=1e-12, epsrel=1e-10)[0] / np.pi
