"""Layout of the state vector and of the contact output.

State vector of Z rollers, structure of arrays. A planar run integrates the first `planar_size(Z)`
numbers only; the spatial tail behind them stays untouched and costs nothing.

    rollers    x[Z] y[Z] vx[Z] vy[Z] spin[Z]
    cage       x y angle vx vy speed
    inner ring x y vx vy angle speed
    outer ring x y vx vy
    shaft      x y vx vy                            (rotor share behind a shaft stiffness)
    ledger     work put in [J], heat [J], external angular impulse about z [N m s]
    -- spatial tail --
    rollers    z[Z] ux[Z] uy[Z] vz[Z] wx[Z] wy[Z]      (axis direction (ux, uy, 1) and its rate)
    cage       z ux uy vz wx wy
    inner ring z ux uy vz wx wy
    outer ring z vz

The functions below name the places; nothing outside this file knows the numbers.

Contact output of Z rollers: normal forces outer[Z] inner[Z] leading[Z] trailing[Z] base[Z] cover[Z]
flange base[Z] flange cover[Z] land base, land cover; then land force on the cage fx base, fx cover,
fy base, fy cover; elastic energy; then approach speeds leading[Z] trailing[Z] base[Z] cover[Z],
land base, land cover; then the powers of sliding friction [W] in the order of the normal forces;
then sliding speeds outer[Z] inner[Z], those of the roller's surface over the raceway along the
orbit [m/s]; then resistances outer[Z] inner[Z], friction over sliding speed, summed over the slices
[N s/m]. Entries of contacts that do not touch are 0, but approach speeds may be anything.
"""

from rollsim.kernels.jit import inline_kernel

#: Names of the degrees of freedom in the order of `Tables.free`.
LOCK_NAMES = (
    "roller_x", "roller_y", "roller_spin", "cage_x", "cage_y", "cage_angle", "inner_x", "inner_y",
    "roller_z", "roller_tilt_x", "roller_tilt_y", "cage_z", "cage_tilt_x", "cage_tilt_y",
    "inner_z", "inner_tilt_x", "inner_tilt_y",
)  # fmt: skip


@inline_kernel
def cage_offset(count):
    """First entry of the cage (x y angle vx vy speed).

    Parameters
    ----------
    count : int
        Rollers Z.

    Returns
    -------
    int
        Index.
    """
    return 5 * count


@inline_kernel
def inner_offset(count):
    """First entry of the inner ring (x y vx vy).

    Parameters
    ----------
    count : int
        Rollers Z.

    Returns
    -------
    int
        Index.
    """
    return 5 * count + 6


@inline_kernel
def inner_turn_offset(count):
    """Entry of the angle of the inner ring; its speed stands behind.

    Parameters
    ----------
    count : int
        Rollers Z.

    Returns
    -------
    int
        Index.
    """
    return 5 * count + 10


@inline_kernel
def outer_offset(count):
    """First entry of the outer ring (x y vx vy).

    Parameters
    ----------
    count : int
        Rollers Z.

    Returns
    -------
    int
        Index.
    """
    return 5 * count + 12


@inline_kernel
def shaft_offset(count):
    """First entry of the shaft (x y vx vy).

    Parameters
    ----------
    count : int
        Rollers Z.

    Returns
    -------
    int
        Index.
    """
    return 5 * count + 16


@inline_kernel
def ledger_offset(count):
    """First entry of the ledger (work in, heat, angular impulse).

    Parameters
    ----------
    count : int
        Rollers Z.

    Returns
    -------
    int
        Index.
    """
    return 5 * count + 20


@inline_kernel
def planar_size(count):
    """Length of the planar part of the state vector; there the spatial tail begins.

    Parameters
    ----------
    count : int
        Rollers Z.

    Returns
    -------
    int
        Length.
    """
    return 5 * count + 23


@inline_kernel
def cage_tail_offset(count):
    """First entry of the cage in the spatial tail (z ux uy vz wx wy).

    Parameters
    ----------
    count : int
        Rollers Z.

    Returns
    -------
    int
        Index.
    """
    return 11 * count + 23


@inline_kernel
def inner_tail_offset(count):
    """First entry of the inner ring in the spatial tail (z ux uy vz wx wy).

    Parameters
    ----------
    count : int
        Rollers Z.

    Returns
    -------
    int
        Index.
    """
    return 11 * count + 29


@inline_kernel
def outer_tail_offset(count):
    """First entry of the outer ring in the spatial tail (z vz).

    Parameters
    ----------
    count : int
        Rollers Z.

    Returns
    -------
    int
        Index.
    """
    return 11 * count + 35


@inline_kernel
def state_size(count):
    """Length of the whole state vector.

    Parameters
    ----------
    count : int
        Rollers Z.

    Returns
    -------
    int
        Length.
    """
    return 11 * count + 37


@inline_kernel
def force_count(count):
    """Number of normal forces at the head of the contact output, whose maxima are kept.

    Parameters
    ----------
    count : int
        Rollers Z.

    Returns
    -------
    int
        Count.
    """
    return 8 * count + 2


@inline_kernel
def output_size(count):
    """Length of the contact output.

    Parameters
    ----------
    count : int
        Rollers Z.

    Returns
    -------
    int
        Length.
    """
    return 24 * count + 11


@inline_kernel
def approach_offset(count):
    """First of the approach speeds in the contact output.

    Parameters
    ----------
    count : int
        Rollers Z.

    Returns
    -------
    int
        Index.
    """
    return 8 * count + 7


@inline_kernel
def friction_offset(count):
    """First of the powers of sliding friction in the contact output.

    Parameters
    ----------
    count : int
        Rollers Z.

    Returns
    -------
    int
        Index.
    """
    return 12 * count + 9


@inline_kernel
def sliding_offset(count):
    """First of the sliding speeds on the raceways in the contact output.

    Parameters
    ----------
    count : int
        Rollers Z.

    Returns
    -------
    int
        Index.
    """
    return 20 * count + 11


@inline_kernel
def resistance_offset(count):
    """First of the resistances of the raceways in the contact output.

    Parameters
    ----------
    count : int
        Rollers Z.

    Returns
    -------
    int
        Index.
    """
    return 22 * count + 11


@inline_kernel
def stretch_count(spatial):
    """Number of stretches of the state that hold positions.

    Parameters
    ----------
    spatial : int
        Whether the case is spatial.

    Returns
    -------
    int
        Those of the plane, and of the spatial tail where it is integrated.
    """
    return 10 if spatial else 6


@inline_kernel
def stretch(index, z):
    """A stretch of positions in the state vector and where the velocities are that belong to them.

    Parameters
    ----------
    index : int
        Which, below `stretch_count`.
    z : int
        Rollers Z.

    Returns
    -------
    first, count, shift : int
        First position, their number, distance from a position to its velocity.
    """
    if index == 0:
        return 0, 2 * z, 2 * z
    if index == 1:
        return cage_offset(z), 3, 3
    if index == 2:
        return inner_offset(z), 2, 2
    if index == 3:
        return inner_turn_offset(z), 1, 1
    if index == 4:
        return outer_offset(z), 2, 2
    if index == 5:
        return shaft_offset(z), 2, 2
    if index == 6:
        return planar_size(z), 3 * z, 3 * z
    if index == 7:
        return cage_tail_offset(z), 3, 3
    if index == 8:
        return inner_tail_offset(z), 3, 3
    return outer_tail_offset(z), 1, 1
