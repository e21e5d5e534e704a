"""Initial state and the scales of the error norm."""

import numpy as np

from rollsim.kernels.layout import (
    cage_offset,
    cage_tail_offset,
    inner_offset,
    inner_tail_offset,
    inner_turn_offset,
    ledger_offset,
    outer_offset,
    planar_size,
    shaft_offset,
    state_size,
)
from rollsim.kernels.types import Guidance
from rollsim.model.build import rolling_speeds
from rollsim.model.duty import start_speeds, static_load, weighed

#: Bounds of the deflection scale, m: heavily loaded raceways must not loosen the pockets' accuracy.
LEAST_DEFLECTION = 1e-6
LARGEST_DEFLECTION = 5e-6
#: The speed scale is no more than this share of the orbit speed: slow bearings knock softly.
SPEED_SHARE = 0.1
#: Nor is it smaller than this, m/s: a bearing that hardly turns still shakes.
LEAST_SPEED = 1e-3


def initial_state(built):
    """State at time zero: static equilibrium, epicyclic speeds, cage centred in its guide.

    Parameters
    ----------
    built : BuiltModel
        The model.

    Returns
    -------
    ndarray (state_size,)
        State vector.
    """
    model = built.model
    z = model.count
    y = np.zeros(state_size(z))
    cage_speed, roller_spin = rolling_speeds(built.case, *start_speeds(built.case))
    radius = model.pocket.pitch_radius + built.statics.radial_offset
    cosine = np.cos(built.azimuths)
    sine = np.sin(built.azimuths)
    seat = _seat_displacement(built)
    y[:z] = radius * cosine + seat[0]
    y[z : 2 * z] = radius * sine + seat[1]
    y[2 * z : 3 * z] = -cage_speed * radius * sine
    y[3 * z : 4 * z] = cage_speed * radius * cosine
    y[4 * z : 5 * z] = roller_spin
    cage, inner, outer = cage_offset(z), inner_offset(z), outer_offset(z)
    y[cage : cage + 2] = y[outer : outer + 2] = seat
    y[cage + 5] = cage_speed
    y[inner : inner + 2] = built.statics.displacement + seat
    y[inner_turn_offset(z) + 1] = start_speeds(built.case)[0]
    if model.guidance == Guidance.INNER_RING:
        y[cage : cage + 2] = y[inner : inner + 2]
    if model.shaft.moves:
        bend = weighed(static_load(model.duty, model.course), model.shaft.mass, model.duty)
        start = shaft_offset(z)
        y[start : start + 2] = y[inner : inner + 2] + bend / model.shaft.stiffness
    _tilt_with_rings(y, model)
    _stand_still(y, model)
    return y


def _seat_displacement(built):
    """Where the outer ring sits in a compliant seat under the raceway forces and its weight."""
    seat = built.model.seat
    if not seat.moves:
        return np.zeros(2)
    force = built.statics.outer_force
    pull = np.array([force @ np.cos(built.azimuths), force @ np.sin(built.azimuths)])
    pull = weighed(pull, seat.mass, built.model.duty)
    return pull / np.array([seat.stiffness_x, seat.stiffness_y])


def _stand_still(y, model):
    """Locked positions of the rollers have no speed; a locked spin keeps its own."""
    z = model.count
    for axis in range(2):
        y[(2 + axis) * z : (3 + axis) * z] *= model.tables.free[axis]


def _tilt_with_rings(y, model):
    """Start rollers, cage and inner ring parallel to a misaligned outer ring."""
    z = model.count
    tail = planar_size(z)
    tilt = (model.duty.outer_tilt_x, model.duty.outer_tilt_y)
    for axis, value in enumerate(tilt):
        y[tail + (1 + axis) * z : tail + (2 + axis) * z] = value
        y[cage_tail_offset(z) + 1 + axis] = value
        y[inner_tail_offset(z) + 1 + axis] = value
    y[tail : tail + z] = -(tilt[0] * y[:z] + tilt[1] * y[z : 2 * z])


def error_scales(built, tolerance):
    """Absolute error allowed in one step for every entry of the state.

    Penetrations are micrometres on coordinates of decimetres, so a relative tolerance on the
    coordinates means nothing. Scales: for positions the static raceway deflection d, within bounds;
    d times the natural frequency of a roller between its raceways, but no more than a tenth of the
    orbit speed, for velocities; both divided by the roller radius, the pitch radius or the half
    length for angles. The ledger is not controlled, nor is a prescribed turning.

    Parameters
    ----------
    built : BuiltModel
        The model.
    tolerance : float
        Share of the scales.

    Returns
    -------
    ndarray (state_size,)
        Error allowed; infinity for the ledger.
    """
    model = built.model
    z = model.count
    force = max(float(np.max(built.statics.outer_force)), 1.0)
    real = (force / model.outer.constant) ** 0.9
    rate = np.sqrt(2.0 * 10.0 / 9.0 * force / real / model.roller.mass)
    deflection = min(max(real, LEAST_DEFLECTION), LARGEST_DEFLECTION)
    speed = deflection * rate
    orbit = abs(built.cage_speed) * model.pocket.pitch_radius
    if orbit > 0.0:
        speed = min(speed, max(SPEED_SHARE * orbit, LEAST_SPEED))
    half_length = model.ends.half_length
    scale = np.empty(state_size(z))
    scale[: 2 * z] = deflection
    scale[2 * z : 4 * z] = speed
    scale[4 * z : 5 * z] = speed / model.pocket.radius
    pitch = model.pocket.pitch_radius
    d, v = deflection, speed
    ring = [d, d, v, v]
    cage, ledger = cage_offset(z), ledger_offset(z)
    scale[cage:ledger] = [
        *[d, d, d / pitch, v, v, v / pitch], *ring, d / pitch, v / pitch, *ring, *ring,
    ]  # fmt: skip
    scale[ledger : planar_size(z)] = np.inf
    if not model.drive.by_torque:
        # Prescribed: the state follows and nothing follows the state.
        turn = inner_turn_offset(z)
        scale[turn : turn + 2] = np.inf
    tail = planar_size(z)
    scale[tail : tail + z] = d
    scale[tail + z : tail + 3 * z] = d / half_length
    scale[tail + 3 * z : tail + 4 * z] = v
    scale[tail + 4 * z : tail + 6 * z] = v / half_length
    body = [d, d / pitch, d / pitch, v, v / pitch, v / pitch]
    scale[cage_tail_offset(z) :] = [*body, *body, d, v]
    return tolerance * scale
