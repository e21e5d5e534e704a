"""Layout of the state vector and of the contact output.

State vector of Z rollers, structure of arrays. A planar run integrates the first `planar_size(Z)`
numbers only; the spatial tail behind them stays untouched and costs nothing.

    rollers    x[Z] y[Z] vx[Z] vy[Z] spin[Z]
    cage       x y angle vx vy speed
    inner ring x y vx vy
    ledger     work put in [J], heat [J], external angular impulse about z [N m s]
    -- spatial tail --
    rollers    z[Z] ux[Z] uy[Z] vz[Z] wx[Z] wy[Z]      (axis direction (ux, uy, 1) and its rate)
    cage       z ux uy vz wx wy
    inner ring z ux uy vz wx wy

Contact output of Z rollers: normal forces outer[Z] inner[Z] leading[Z] trailing[Z] base[Z] cover[Z]
flange base[Z] flange cover[Z] land base, land cover; then land force on the cage fx base, fx cover,
fy base, fy cover; elastic energy; then approach speeds leading[Z] trailing[Z] base[Z] cover[Z],
land base, land cover.
"""

from rollsim.kernels.jit import inline_kernel

#: Names of the degrees of freedom in the order of `Tables.free`.
LOCK_NAMES = (
    "roller_x", "roller_y", "roller_spin", "cage_x", "cage_y", "cage_angle", "inner_x", "inner_y",
    "roller_z", "roller_tilt_x", "roller_tilt_y", "cage_z", "cage_tilt_x", "cage_tilt_y",
    "inner_z", "inner_tilt_x", "inner_tilt_y",
)  # fmt: skip


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
    return 5 * count + 10


@inline_kernel
def planar_size(count):
    """Length of the planar part of the state vector.

    Parameters
    ----------
    count : int
        Rollers Z.

    Returns
    -------
    int
        Length.
    """
    return 5 * count + 13


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
    return 11 * count + 25


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
    return 12 * count + 9
