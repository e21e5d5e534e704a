"""From recorded states to the channels of a history file."""

import numpy as np

from rollsim.kernels.driving import driving_at
from rollsim.kernels.jit import kernel
from rollsim.kernels.layout import (
    cage_offset,
    cage_tail_offset,
    inner_offset,
    inner_tail_offset,
    ledger_offset,
    outer_offset,
    outer_tail_offset,
    planar_size,
    shaft_offset,
)
from rollsim.kernels.vibration import base_acceleration, locked_acceleration
from rollsim.simulation.wear_channels import by_roller, smearing_channel, wear_channels

_IMPACT_COLUMNS = (
    "roller", "face", "start", "duration", "peak", "impulse", "approach_speed", "azimuth",
)  # fmt: skip
_LEDGER = ("work put in", "heat", "angular impulse")


@kernel
def acceleration_series(times, states, model, target):
    """Imposed acceleration at many times, all sources.

    Parameters
    ----------
    times : ndarray (n,), s
        Times.
    states : ndarray (n, state_size)
        States; only the turning of the inner ring is looked at.
    model : Model
        Constants.
    target : ndarray (n, 3), m/s^2
        Written.

    Returns
    -------
    None
    """
    for i in range(times.shape[0]):
        ax, ay, az = base_acceleration(times[i], model.shaking)
        if model.shaking.locked.shape[0]:
            d = driving_at(times[i], states[i], model)
            lx, ly, lz = locked_acceleration(
                times[i], d.inner_angle, d.inner_speed, d.inner_rate, model.shaking
            )
            ax, ay, az = ax + lx, ay + ly, az + lz
        target[i, 0] = ax
        target[i, 1] = ay
        target[i, 2] = az


@kernel
def turning_series(times, states, model, target):
    """Angle and speed of the inner ring and speed of the outer ring at many times.

    Parameters
    ----------
    times : ndarray (n,), s
        Times.
    states : ndarray (n, state_size)
        States.
    model : Model
        Constants.
    target : ndarray (n, 3), rad, rad/s, rad/s
        Written.

    Returns
    -------
    None
    """
    for i in range(times.shape[0]):
        driving = driving_at(times[i], states[i], model)
        target[i, 0] = driving.inner_angle
        target[i, 1] = driving.inner_speed
        target[i, 2] = driving.outer_speed


def _turning(samples, model):
    """Channels of the turning of the rings."""
    values = np.empty((len(samples.times), 3))
    turning_series(samples.times, samples.states, model, values)
    return {
        "inner_angle": values[:, 0],
        "inner_speed": values[:, 1],
        "outer_speed": values[:, 2],
    }


def _body_channels(states, count):
    """Channels of cage and inner ring."""
    c, p = cage_offset(count), cage_tail_offset(count)
    i, q = inner_offset(count), inner_tail_offset(count)
    o, t = outer_offset(count), outer_tail_offset(count)
    return {
        "cage_position": states[:, [c, c + 1, p]],
        "cage_velocity": states[:, [c + 3, c + 4, p + 3]],
        "cage_tilt": states[:, p + 1 : p + 3],
        "cage_angle": states[:, c + 2],
        "cage_speed": states[:, c + 5],
        "inner_position": states[:, [i, i + 1, q]],
        "inner_velocity": states[:, [i + 2, i + 3, q + 3]],
        "outer_position": states[:, [o, o + 1, t]],
        "outer_velocity": states[:, [o + 2, o + 3, t + 1]],
    }


def _roller_channels(states, count):
    """Channels of the rollers; skew and tilt are the axis projected on the orbit triad."""
    x, y, vx, vy, spin = (states[:, i * count : (i + 1) * count] for i in range(5))
    p = planar_size(count)
    z, ux, uy, vz = (states[:, p + i * count : p + (i + 1) * count] for i in range(4))
    radius = np.hypot(x, y)
    cosine, sine = x / radius, y / radius
    return {
        "roller_position": np.stack([x, y, z], axis=2),
        "roller_velocity": np.stack([vx, vy, vz], axis=2),
        "roller_azimuth": _counted_on(np.arctan2(y, x), states[:, cage_offset(count) + 2], count),
        "roller_orbit_speed": (x * vy - y * vx) / radius**2,
        "roller_spin_speed": spin,
        "roller_skew": uy * cosine - ux * sine,
        "roller_tilt": ux * cosine + uy * sine,
    }


def _counted_on(angle, cage_angle, count):
    """Orbit angle counted on past a turn: the branch nearest to the middle of the pocket."""
    pocket = cage_angle[:, None] + 2.0 * np.pi * np.arange(count) / count
    return pocket + np.remainder(angle - pocket + np.pi, 2.0 * np.pi) - np.pi


def _forces(values, count):
    """Normal forces of a contact output or of its maxima, by channel."""
    return {
        "raceway_force": by_roller(values, count, 0, 2),
        "pocket_force": by_roller(values, count, 2, 6),
        "flange_force": by_roller(values, count, 6, 8),
    }


def history_channels(samples, model):
    """Sampled channels of a block.

    Parameters
    ----------
    samples : Samples
        What the march recorded.
    model : Model
        Constants.

    Returns
    -------
    dict of str to ndarray
        Channel name to values, first axis time.
    """
    count = model.count
    acceleration = np.empty((len(samples.times), 3))
    acceleration_series(samples.times, samples.states, model, acceleration)
    land = samples.outputs[:, 8 * count + 2 : 8 * count + 6]
    zero = np.zeros(len(land))
    return {
        "time": samples.times,
        "base_acceleration": acceleration,
        **_body_channels(samples.states, count),
        **_turning(samples, model),
        **_roller_channels(samples.states, count),
        **_forces(samples.outputs, count),
        **wear_channels(samples, count),
        "land_force": np.stack(
            [np.column_stack([land[:, i], land[:, 2 + i], zero]) for i in range(2)], axis=1
        ),
        **({"modal_coordinate": samples.modal} if samples.modal.size else {}),
    }


def peak_channels(samples, count, pressure_factors):
    """Block maxima of a block.

    Parameters
    ----------
    samples : Samples
        What the march recorded.
    count : int
        Rollers Z.
    pressure_factors : tuple of 2 float, Pa/sqrt(N)
        Pressure over the root of the force, outer and inner raceway.

    Returns
    -------
    dict of str to ndarray
        Channel name to values, first axis time.
    """
    land = samples.maxima[:, 8 * count : 8 * count + 2]
    return {
        "time": samples.times,
        **_forces(samples.maxima, count),
        "land_force": land,
        "raceway_smearing": smearing_channel(samples, count, pressure_factors),
    }


def impact_columns(samples):
    """Columns of the impact table of a block.

    Parameters
    ----------
    samples : Samples
        What the march recorded.

    Returns
    -------
    dict of str to ndarray
        Column name to values.
    """
    columns = dict(zip(_IMPACT_COLUMNS, samples.episodes.T, strict=True))
    for name in ("roller", "face"):
        columns[name] = columns[name].astype(int)
    return columns


def entry_name(index, count):
    """Plain name of an entry of the state vector, for messages; rollers count from 1.

    Parameters
    ----------
    index : int
        Entry.
    count : int
        Rollers Z.

    Returns
    -------
    str
        Body and channel.
    """
    planar = ("position x", "position y", "velocity x", "velocity y", "spin speed")
    tail = ("position z", "tilt x", "tilt y", "velocity z", "tilt rate x", "tilt rate y")
    if index < cage_offset(count):
        return f"roller {index % count + 1}, {planar[index // count]}"
    if planar_size(count) <= index < cage_tail_offset(count):
        index -= planar_size(count)
        return f"roller {index % count + 1}, {tail[index // count]}"
    cage = ("position x", "position y", "angle", "velocity x", "velocity y", "speed")
    ring = planar[:4]
    rooms = (
        (outer_tail_offset(count), "outer ring", ("position z", "velocity z")),
        (inner_tail_offset(count), "inner ring", tail),
        (cage_tail_offset(count), "cage", tail),
        (ledger_offset(count), "ledger", _LEDGER),
        (shaft_offset(count), "shaft", ring),
        (outer_offset(count), "outer ring", ring),
        (inner_offset(count), "inner ring", (*ring, "angle", "speed")),
        (cage_offset(count), "cage", cage),
    )
    start, body, names = next(room for room in rooms if index >= room[0])
    return f"{body}, {names[index - start]}"
