"""The one table of what a history file holds: names, units, dimensions, number types, meaning."""

from math import prod
from typing import NamedTuple

import numpy as np

FORMAT = "rollsim history"
FORMAT_VERSION = 1

# Attributes that every history file carries, whatever the run adds.
REQUIRED_ATTRIBUTES = ("format", "format_version", "status")

ROW_DIMENSION = {"history": "time", "peak": "time", "impacts": "episode", "quality": "block"}
TABLE_GROUPS = tuple(ROW_DIMENSION)

FACES = ("leading", "trailing", "base", "cover")
RINGS = ("outer", "inner")
LANDS = ("base", "cover")
AXES = ("x", "y", "z")
SIDES = ("base", "cover")

# Labels along the dimensions of fixed length.
LABELS = {
    "face": FACES,
    "ring": RINGS,
    "land": LANDS,
    "axis": AXES,
    "transverse": ("x", "y"),
    "side": SIDES,
}

#: Dimensions whose length depends on the case; their labels count from 0.
COUNTED = ("roller", "mode")
#: Group of what the modes of the cage are; empty in a run without modes. Names and units.
MODES = {
    "frequencies": "Hz",
    "damping": "1",
    "participation": "1/kg0.5",
    "shapes": "1/kg0.5",
}

# Codes in the column `face` of the impacts table: the four pocket faces, then the lands.
IMPACT_FACES = (*FACES, "land base", "land cover")
LAND_ROLLER = -1


class Channel(NamedTuple):
    """One dataset: its name, unit ("1" for a plain number), dimensions, number type, meaning."""

    name: str
    unit: str
    dims: tuple
    dtype: str
    meaning: str


def _time(name, unit, dims, dtype, meaning):
    """Channel whose first dimension is time."""
    return Channel(name, unit, ("time", *dims), dtype, meaning)


# Times, positions and angles are kept in double precision because small differences of them
# matter; 7 digits are enough for the rest and halve the file. Sums since the start of a run are
# rounded to about 1e-9 of their unit, sliding speed and smearing to a few thousand steps in a
# factor of two, because digits without meaning do not pack.
_FULL, _SHORT = "float64", "float32"

_HISTORY = (
    _time("time", "s", (), _FULL, "simulated time of the sample"),
    _time("base_acceleration", "m/s2", ("axis",), _SHORT, "acceleration of the housing"),
    _time("cage_position", "m", ("axis",), _FULL, "cage centre in the housing frame"),
    _time("cage_velocity", "m/s", ("axis",), _SHORT, "velocity of the cage centre"),
    _time("cage_tilt", "rad", ("transverse",), _FULL, "cage axis (ux, uy, 1): ux, uy"),
    _time("cage_angle", "rad", (), _FULL, "turning angle of the cage, counted on past a turn"),
    _time("cage_speed", "rad/s", (), _SHORT, "turning speed of the cage"),
    _time("inner_position", "m", ("axis",), _FULL, "inner ring centre in the housing frame"),
    _time("inner_velocity", "m/s", ("axis",), _SHORT, "velocity of the inner ring centre"),
    _time("inner_angle", "rad", (), _FULL, "turning angle of the inner ring, counted on"),
    _time("inner_speed", "rad/s", (), _SHORT, "turning speed of the inner ring"),
    _time("outer_speed", "rad/s", (), _SHORT, "turning speed of the outer ring"),
    _time("outer_position", "m", ("axis",), _FULL, "outer ring centre in the housing frame"),
    _time("outer_velocity", "m/s", ("axis",), _SHORT, "velocity of the outer ring centre"),
    _time("roller_position", "m", ("roller", "axis"), _FULL, "roller centres"),
    _time("roller_velocity", "m/s", ("roller", "axis"), _SHORT, "velocities of the roller centres"),
    _time("roller_azimuth", "rad", ("roller",), _FULL, "orbit angle of the rollers, counted on"),
    _time("roller_orbit_speed", "rad/s", ("roller",), _SHORT, "orbit speed of the rollers"),
    _time("roller_spin_speed", "rad/s", ("roller",), _SHORT, "turning speed about their own axis"),
    _time("roller_skew", "rad", ("roller",), _FULL, "roller axis along the orbit direction"),
    _time("roller_tilt", "rad", ("roller",), _FULL, "roller axis along the radius"),
    _time("raceway_force", "N", ("roller", "ring"), _SHORT, "normal force roller on raceway"),
    _time("flange_force", "N", ("roller", "side"), _SHORT, "normal force roller end on flange"),
    _time("pocket_force", "N", ("roller", "face"), _SHORT, "normal force roller on pocket face"),
    _time("land_force", "N", ("land", "axis"), _SHORT, "guiding ring on cage, film and contact"),
    _time(
        "raceway_sliding_speed", "m/s", ("roller", "ring"), _SHORT,
        "speed of the roller's surface over the raceway along the orbit, 0 without contact",
    ),
    *(
        _time(name, unit, dims, _FULL, f"{what}, integrated from the start of the run")
        for name, unit, dims, what in (
            ("pocket_impulse", "N s", ("roller", "face"), "force of the roller on the pocket face"),
            ("land_impulse", "N s", ("land",), "normal force of the land"),
            ("raceway_friction_work", "J", ("roller", "ring"), "friction power on the raceway"),
            ("pocket_friction_work", "J", ("roller", "face"), "friction power on the pocket face"),
            ("flange_friction_work", "J", ("roller", "side"), "friction power of the roller end"),
            ("land_friction_work", "J", ("land",), "friction power of the land"),
        )
    ),
    _time(
        "modal_coordinate", "m kg0.5", ("mode",), _SHORT,
        "coordinates of the elastic modes of the cage, unit modal mass, its own frame",
    ),
)  # fmt: skip

_PEAK = (
    _time("time", "s", (), _FULL, "end of the interval over which the maximum is taken"),
    _time("raceway_force", "N", ("roller", "ring"), _SHORT, "largest normal force in the interval"),
    _time("flange_force", "N", ("roller", "side"), _SHORT, "largest normal force in the interval"),
    _time("pocket_force", "N", ("roller", "face"), _SHORT, "largest normal force in the interval"),
    _time("land_force", "N", ("land",), _SHORT, "largest normal force in the interval"),
    _time(
        "raceway_smearing", "W/m2", ("roller", "ring"), _SHORT,
        "largest product of Hertzian pressure and sliding speed in the interval",
    ),
)  # fmt: skip


def _episode(name, unit, dtype, meaning):
    """Column of the table of contact episodes."""
    return Channel(name, unit, ("episode",), dtype, meaning)


_IMPACTS = (
    _episode("roller", "1", "int32", "roller that touched; -1 for a land"),
    _episode(
        "face", "1", "int32", "0 leading, 1 trailing, 2 base, 3 cover, 4 land base, 5 land cover"
    ),
    _episode("start", "s", _FULL, "time at which the contact began"),
    _episode("duration", "s", _FULL, "how long the contact lasted"),
    _episode("peak", "N", _FULL, "largest normal force of the contact"),
    _episode("impulse", "N s", _FULL, "normal force integrated over the contact"),
    _episode("approach_speed", "m/s", _FULL, "normal closing speed when the contact began"),
    _episode("azimuth", "rad", _FULL, "orbit angle of the roller, or direction of the land force"),
)


def _block(name, unit, dtype, meaning):
    """Column of the table of computed blocks."""
    return Channel(name, unit, ("block",), dtype, meaning)


_QUALITY = (
    _block("end_time", "s", _FULL, "simulated time at which the block ended"),
    _block("steps", "1", "int64", "steps taken in the block"),
    _block("rejected", "1", "int64", "steps tried and refused in the block"),
    _block("evaluations", "1", "int64", "evaluations of the equations of motion in the block"),
    _block("kinetic_energy", "J", _FULL, "kinetic energy at the end of the block"),
    _block("elastic_energy", "J", _FULL, "energy stored in the contacts at the end of the block"),
    _block("work_in", "J", _FULL, "work done by drive, loads and base"),
    _block("heat", "J", _FULL, "energy turned into heat"),
    _block("energy_residual", "J", _FULL, "what the energy balance leaves unexplained"),
    _block("wall_time", "s", _FULL, "computing time of the block"),
)

CHANNELS = {
    "history": {channel.name: channel for channel in _HISTORY},
    "peak": {channel.name: channel for channel in _PEAK},
    "impacts": {channel.name: channel for channel in _IMPACTS},
    "quality": {channel.name: channel for channel in _QUALITY},
}


def dimension_length(dimension, roller_count, mode_count=0):
    """Length of a dimension other than the rows.

    Parameters
    ----------
    dimension : str
        "roller", "mode" or a key of LABELS.
    roller_count : int
        Number of rollers.
    mode_count : int
        Number of elastic modes of the cage.

    Returns
    -------
    int
        Number of entries along that dimension.

    >>> dimension_length("roller", 18), dimension_length("face", 18)
    (18, 4)
    """
    if dimension in COUNTED:
        return roller_count if dimension == "roller" else mode_count
    return len(LABELS[dimension])


def row_shape(channel, roller_count, mode_count=0):
    """Shape of one row of a channel: its shape without the first dimension.

    Parameters
    ----------
    channel : Channel
        Entry of CHANNELS.
    roller_count : int
        Number of rollers.
    mode_count : int
        Number of elastic modes of the cage.

    Returns
    -------
    tuple of int
        Empty for a channel with one number a row.

    >>> row_shape(CHANNELS["history"]["pocket_force"], 18)
    (18, 4)
    """
    return tuple(dimension_length(name, roller_count, mode_count) for name in channel.dims[1:])


def empty_group(group, rows, roller_count):
    """Zero-filled arrays for every channel of a group, of a run without modes of the cage.

    Parameters
    ----------
    group : str
        "history", "peak", "impacts" or "quality".
    rows : int
        Number of rows.
    roller_count : int
        Number of rollers.

    Returns
    -------
    dict of ndarray
        Channel name to array, float64 or the integer type of the channel.
    """
    return {
        name: np.zeros(
            (rows, *row_shape(channel, roller_count)),
            dtype=channel.dtype if channel.dtype.startswith("int") else "float64",
        )
        for name, channel in CHANNELS[group].items()
        if "mode" not in channel.dims
    }


def row_bytes(roller_count, mode_count=0):
    """Bytes that one sample takes in the file before compression (history and peak together).

    Parameters
    ----------
    roller_count : int
        Number of rollers.
    mode_count : int
        Number of elastic modes of the cage.

    Returns
    -------
    int
        Bytes a sample.
    """
    total = 0
    for group in ("history", "peak"):
        for channel in CHANNELS[group].values():
            size = 8 if channel.dtype == _FULL else 4
            total += size * prod(row_shape(channel, roller_count, mode_count))
    return total
