"""Energy and angular momentum of recorded states: the books of a run."""

import numpy as np

from rollsim.kernels.layout import (
    cage_offset,
    cage_tail_offset,
    inner_offset,
    inner_tail_offset,
    inner_turn_offset,
    ledger_offset,
    outer_offset,
    outer_tail_offset,
    planar_size,
    shaft_offset,
)


def cage_mass_centre(model, states):
    """Position and velocity of the mass centre of the cage.

    Parameters
    ----------
    model : Model
        Constants.
    states : ndarray (n, state_size)
        States.

    Returns
    -------
    tuple of 4 ndarray (n,)
        x, y [m], vx, vy [m/s].
    """
    x, y, angle, vx, vy, spin = states[:, cage_offset(model.count) :][:, :6].T
    cosine, sine = np.cos(angle), np.sin(angle)
    ex = model.offset.x * cosine - model.offset.y * sine
    ey = model.offset.x * sine + model.offset.y * cosine
    return x + ex, y + ey, vx - spin * ey, vy + spin * ex


def _discs(model, states):
    """Mass, position and velocity of the bodies other than rollers and cage."""
    z = model.count
    rooms = ((model.ring.mass, inner_offset(z)), (model.seat.mass, outer_offset(z)),
             (model.shaft.mass, shaft_offset(z)))  # fmt: skip
    return [(mass, *states[:, start : start + 4].T) for mass, start in rooms]


def _planar_kinetic(model, states):
    """Kinetic energy of the motion in the plane, J."""
    z = model.count
    squared = states**2
    energy = model.roller.mass * squared[:, 2 * z : 4 * z].sum(axis=1)
    energy += model.roller.axial * squared[:, 4 * z : 5 * z].sum(axis=1)
    _, _, vx, vy = cage_mass_centre(model, states)
    energy += model.cage.mass * (vx**2 + vy**2)
    energy += model.cage.axial * squared[:, cage_offset(z) + 5]
    for mass, _, _, vx, vy in _discs(model, states):
        energy += mass * (vx**2 + vy**2)
    if model.drive.by_torque:
        energy += model.drive.inertia * squared[:, inner_turn_offset(z) + 1]
    return 0.5 * energy


def _spatial_kinetic(model, states):
    """Kinetic energy of axial motion and tilting, J."""
    z = model.count
    p = planar_size(z)
    squared = states**2
    energy = model.roller.mass * squared[:, p + 3 * z : p + 4 * z].sum(axis=1)
    energy += model.roller.transverse * squared[:, p + 4 * z : p + 6 * z].sum(axis=1)
    energy += model.seat.mass * squared[:, outer_tail_offset(z) + 1]
    rotor = model.ring.mass + model.shaft.mass
    for start, body, mass in (
        (cage_tail_offset(z), model.cage, model.cage.mass),
        (inner_tail_offset(z), model.ring, rotor),
    ):
        energy += mass * squared[:, start + 3]
        energy += body.transverse * squared[:, start + 4 : start + 6].sum(axis=1)
    return 0.5 * energy


def kinetic_energy(model, states):
    """Kinetic energy of all bodies; prescribed ring spins do not count.

    Parameters
    ----------
    model : Model
        Constants.
    states : ndarray (n, state_size)
        States.

    Returns
    -------
    ndarray (n,)
        J.
    """
    energy = _planar_kinetic(model, states)
    return energy + _spatial_kinetic(model, states) if model.spatial else energy


def energy_book(model, states, outputs):
    """Where the energy is: kinetic, elastic, put in so far, turned into heat so far, and the sum.

    kinetic + elastic - work + heat is constant for an exact solution.

    Parameters
    ----------
    model : Model
        Constants.
    states : ndarray (n, state_size)
        States.
    outputs : ndarray (n, output_size)
        Contact outputs.

    Returns
    -------
    dict of str to ndarray (n,)
        kinetic, elastic, work, heat, sum in J.
    """
    ledger = ledger_offset(model.count)
    book = {
        "kinetic": kinetic_energy(model, states),
        "elastic": outputs[:, 8 * model.count + 6],
        "work": states[:, ledger],
        "heat": states[:, ledger + 1],
    }
    book["sum"] = book["kinetic"] + book["elastic"] - book["work"] + book["heat"]
    return book


def _tilt_momentum(model, states):
    """Second-order share of tilted bodies of free spin, Jt (ux wy - uy wx) - Ja omega u^2/2."""
    z = model.count
    p = planar_size(z)
    ux, uy, _, wx, wy = (states[:, p + i * z : p + (i + 1) * z] for i in range(1, 6))
    spin = states[:, 4 * z : 5 * z]
    body = model.roller
    momentum = body.transverse * (ux * wy - uy * wx) - 0.5 * body.axial * spin * (ux**2 + uy**2)
    total = momentum.sum(axis=1)
    rows = [(cage_tail_offset(z), model.cage, states[:, cage_offset(z) + 5])]
    if model.drive.by_torque:
        speed = states[:, inner_turn_offset(z) + 1]
        rows.append((inner_tail_offset(z), model.ring, speed))
    for q, body, spin in rows:
        _, ux, uy, _, wx, wy = states[:, q : q + 6].T
        total = total + body.transverse * (ux * wy - uy * wx)
        total -= 0.5 * body.axial * spin * (ux**2 + uy**2)
    return total


def angular_momentum(model, states):
    """Angular momentum about the bearing axis less the external impulse received so far.

    Rollers and cage with their spin, the rings with their orbit only: their spin is prescribed. A
    torque drive adds the spin of the inner ring.
    The difference is constant for an exact solution.

    Parameters
    ----------
    model : Model
        Constants.
    states : ndarray (n, state_size)
        States.

    Returns
    -------
    momentum : ndarray (n,)
        N m s.
    closed : ndarray (n,)
        Momentum less impulse, N m s.
    """
    z = model.count
    x, y, vx, vy, spin = (states[:, k * z : (k + 1) * z] for k in range(5))
    momentum = model.roller.mass * np.sum(x * vy - y * vx, axis=1)
    momentum = momentum + model.roller.axial * spin.sum(axis=1)
    x, y, vx, vy = cage_mass_centre(model, states)
    momentum = momentum + model.cage.mass * (x * vy - y * vx)
    momentum = momentum + model.cage.axial * states[:, cage_offset(z) + 5]
    for mass, x, y, vx, vy in _discs(model, states):
        momentum = momentum + mass * (x * vy - y * vx)
    if model.drive.by_torque:
        momentum = momentum + model.drive.inertia * states[:, inner_turn_offset(z) + 1]
    if model.spatial:
        momentum = momentum + _tilt_momentum(model, states)
    return momentum, momentum - states[:, ledger_offset(z) + 2]
