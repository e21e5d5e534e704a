"""Energy and angular momentum of recorded states: the books of a run."""

import numpy as np

from rollsim.kernels.layout import (
    cage_offset,
    cage_tail_offset,
    inner_offset,
    inner_tail_offset,
    ledger_offset,
    planar_size,
)


def _planar_kinetic(model, states):
    """Kinetic energy of the motion in the plane, J."""
    z = model.count
    c, i = cage_offset(z), inner_offset(z)
    squared = states**2
    energy = model.roller.mass * squared[:, 2 * z : 4 * z].sum(axis=1)
    energy += model.roller.axial * squared[:, 4 * z : 5 * z].sum(axis=1)
    energy += model.cage.mass * squared[:, c + 3 : c + 5].sum(axis=1)
    energy += model.cage.axial * squared[:, c + 5]
    energy += model.ring.mass * squared[:, i + 2 : i + 4].sum(axis=1)
    return 0.5 * energy


def _spatial_kinetic(model, states):
    """Kinetic energy of axial motion and tilting, J."""
    z = model.count
    p = planar_size(z)
    squared = states**2
    energy = model.roller.mass * squared[:, p + 3 * z : p + 4 * z].sum(axis=1)
    energy += model.roller.transverse * squared[:, p + 4 * z : p + 6 * z].sum(axis=1)
    for start, body in (
        (cage_tail_offset(z), model.cage),
        (inner_tail_offset(z), model.ring),
    ):
        energy += body.mass * squared[:, start + 3]
        energy += body.transverse * squared[:, start + 4 : start + 6].sum(axis=1)
    return 0.5 * energy


def kinetic_energy(model, states):
    """Kinetic energy of rollers, cage and inner ring; the prescribed ring spins do not count.

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
    """Second-order share of tilted rollers and cage, Jt (ux wy - uy wx) - Ja omega u^2/2."""
    z = model.count
    p = planar_size(z)
    ux, uy, _, wx, wy = (states[:, p + i * z : p + (i + 1) * z] for i in range(1, 6))
    spin = states[:, 4 * z : 5 * z]
    body = model.roller
    momentum = body.transverse * (ux * wy - uy * wx) - 0.5 * body.axial * spin * (ux**2 + uy**2)
    q = cage_tail_offset(z)
    _, ux, uy, _, wx, wy = states[:, q : q + 6].T
    body, spin = model.cage, states[:, cage_offset(z) + 5]
    cage = body.transverse * (ux * wy - uy * wx) - 0.5 * body.axial * spin * (ux**2 + uy**2)
    return momentum.sum(axis=1) + cage


def angular_momentum(model, states):
    """Angular momentum about the bearing axis less the external impulse received so far.

    Rollers and cage with their spin, the inner ring with its orbit only: its spin is prescribed.
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
    c, i = cage_offset(z), inner_offset(z)
    x, y, vx, vy, spin = (states[:, k * z : (k + 1) * z] for k in range(5))
    momentum = model.roller.mass * np.sum(x * vy - y * vx, axis=1)
    momentum = momentum + model.roller.axial * spin.sum(axis=1)
    cage = states[:, c : c + 6].T
    momentum = momentum + model.cage.mass * (cage[0] * cage[4] - cage[1] * cage[3])
    momentum = momentum + model.cage.axial * cage[5]
    ring = states[:, i : i + 4].T
    momentum = momentum + model.ring.mass * (ring[0] * ring[3] - ring[1] * ring[2])
    if model.spatial:
        momentum = momentum + _tilt_momentum(model, states)
    return momentum, momentum - states[:, ledger_offset(z) + 2]
