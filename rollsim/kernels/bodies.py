"""Bodies of the spatial model: their motion out of the state vector, the law of tilting.

An axisymmetric body with axis (ux, uy, 1), spin omega and moment M about its centre obeys

    Jt ux'' =  My - Ja (omega uy' + omega' uy)
    Jt uy'' = -Mx + Ja (omega ux' + omega' ux)
    Ja omega' = M . u

In a frame that turns with a carrier at Omega, with u = ux + i uy and omega seen there,

    Jt u'' = My - i Mx + i Ja ((omega + Omega) (u' + i Omega u) + omega' u)
             - 2 i Omega Jt u' + Omega^2 Jt u
"""

from rollsim.kernels.jit import index, inline_kernel
from rollsim.kernels.layout import (
    cage_offset,
    cage_tail_offset,
    inner_offset,
    inner_tail_offset,
    outer_offset,
    outer_tail_offset,
    planar_size,
)
from rollsim.kernels.types import Body, Wrench


@inline_kernel
def roller_body(j, y, count):
    """Motion of roller j out of the state vector.

    Parameters
    ----------
    j : int
        Roller.
    y : ndarray (state_size,)
        State.
    count : int
        Rollers Z.

    Returns
    -------
    Body
        Motion.
    """
    z = count
    p = planar_size(z) + j
    return Body(
        y[index(j)],
        y[index(z + j)],
        y[index(p)],
        y[index(2 * z + j)],
        y[index(3 * z + j)],
        y[index(p + 3 * z)],
        y[index(p + z)],
        y[index(p + 2 * z)],
        y[index(p + 4 * z)],
        y[index(p + 5 * z)],
        y[index(4 * z + j)],
    )


@inline_kernel
def cage_body(y, count):
    """Motion of the cage out of the state vector.

    Parameters
    ----------
    y : ndarray (state_size,)
        State.
    count : int
        Rollers Z.

    Returns
    -------
    Body
        Motion.
    """
    c = cage_offset(count)
    p = cage_tail_offset(count)
    return Body(
        y[index(c)],
        y[index(c + 1)],
        y[index(p)],
        y[index(c + 3)],
        y[index(c + 4)],
        y[index(p + 3)],
        y[index(p + 1)],
        y[index(p + 2)],
        y[index(p + 4)],
        y[index(p + 5)],
        y[index(c + 5)],
    )


@inline_kernel
def inner_body(y, driving, model):
    """Motion of the inner ring out of the state vector.

    Parameters
    ----------
    y : ndarray (state_size,)
        State.
    driving : Driving
        Speed of the ring.
    model : Model
        Constants.

    Returns
    -------
    Body
        Motion.
    """
    r = inner_offset(model.count)
    p = inner_tail_offset(model.count)
    return Body(
        y[index(r)],
        y[index(r + 1)],
        y[index(p)],
        y[index(r + 2)],
        y[index(r + 3)],
        y[index(p + 3)],
        y[index(p + 1)],
        y[index(p + 2)],
        y[index(p + 4)],
        y[index(p + 5)],
        driving.inner_speed,
    )


@inline_kernel
def outer_body(y, driving, model):
    """Motion of the outer ring out of the state vector; its tilt is that of the seat.

    Parameters
    ----------
    y : ndarray (state_size,)
        State.
    driving : Driving
        Speed of the ring.
    model : Model
        Constants.

    Returns
    -------
    Body
        Motion.
    """
    r = outer_offset(model.count)
    p = outer_tail_offset(model.count)
    duty = model.duty
    return Body(
        y[index(r)],
        y[index(r + 1)],
        y[index(p)],
        y[index(r + 2)],
        y[index(r + 3)],
        y[index(p + 1)],
        duty.outer_tilt_x,
        duty.outer_tilt_y,
        0.0,
        0.0,
        driving.outer_speed,
    )


@inline_kernel
def along_axis(wrench, body):
    """Moment about a body's own axis, M . u.

    Parameters
    ----------
    wrench : Wrench
        About the body's centre.
    body : Body
        Motion.

    Returns
    -------
    float
        N m.
    """
    return wrench.mx * body.ux + wrench.my * body.uy + wrench.mz


@inline_kernel
def tilt_rates(wrench, body, inertia, spin_rate, carrier):
    """Second derivatives of the axis direction, equations at the head of the file.

    Parameters
    ----------
    wrench : Wrench
        All moments on the body.
    body : Body
        Motion.
    inertia : Inertia
        Ja, Jt.
    spin_rate : float, rad/s^2
        omega'.
    carrier : float, rad/s
        Omega.

    Returns
    -------
    ux'' : float
        rad/s^2.
    uy'' : float
        Likewise.
    """
    spin = body.spin + carrier
    gx = spin * (body.wy + carrier * body.ux) + spin_rate * body.uy
    gy = spin * (body.wx - carrier * body.uy) + spin_rate * body.ux
    return (
        (wrench.my - inertia.axial * gx) / inertia.transverse
        + carrier * (2.0 * body.wy + carrier * body.ux),
        (-wrench.mx + inertia.axial * gy) / inertia.transverse
        - carrier * (2.0 * body.wx - carrier * body.uy),
    )


@inline_kernel
def tilt_books(body, inertia, carrier):
    """What the turning of the carrier frame does to a tilting body.

    Power Omega (Omega Jt - (omega + Omega) Ja) u . u' and moment about z, with the spin of second
    order that goes with a tilt, Omega (Ja - 2 Jt) u . u'.

    Parameters
    ----------
    body : Body
        Motion.
    inertia : Inertia
        Ja, Jt.
    carrier : float, rad/s
        Omega.

    Returns
    -------
    work : float
        W.
    impulse : float
        N m.
    """
    along = carrier * (body.ux * body.wx + body.uy * body.wy)
    work = carrier * inertia.transverse - (body.spin + carrier) * inertia.axial
    return work * along, (inertia.axial - 2.0 * inertia.transverse) * along


@inline_kernel
def clear_rollers(dy, count):
    """Set the entries of `dy` to zero in which the wrenches on the rollers are gathered.

    Parameters
    ----------
    dy : ndarray (state_size,)
        Rates, written.
    count : int
        Rollers Z.

    Returns
    -------
    None
    """
    p = planar_size(count)
    for i in range(2 * count, 5 * count):
        dy[index(i)] = 0.0
    for i in range(p + 3 * count, p + 6 * count):
        dy[index(i)] = 0.0


@inline_kernel
def push_roller(dy, j, count, wrench):
    """Add a wrench on roller j to the entries of its accelerations.

    Parameters
    ----------
    dy : ndarray (state_size,)
        Rates, added to.
    j : int
        Roller.
    count : int
        Rollers Z.
    wrench : Wrench
        About the roller's centre.

    Returns
    -------
    None
    """
    p = planar_size(count) + j
    dy[index(2 * count + j)] += wrench.fx
    dy[index(3 * count + j)] += wrench.fy
    dy[index(4 * count + j)] += wrench.mz
    dy[index(p + 3 * count)] += wrench.fz
    dy[index(p + 4 * count)] += wrench.mx
    dy[index(p + 5 * count)] += wrench.my


@inline_kernel
def roller_wrench(dy, j, count):
    """The wrench on roller j that was gathered by `push_roller`.

    Parameters
    ----------
    dy : ndarray (state_size,)
        Rates.
    j : int
        Roller.
    count : int
        Rollers Z.

    Returns
    -------
    Wrench
        About the roller's centre; forces and moments only.
    """
    p = planar_size(count) + j
    fx, fy, fz = dy[index(2 * count + j)], dy[index(3 * count + j)], dy[index(p + 3 * count)]
    mx, my, mz = dy[index(p + 4 * count)], dy[index(p + 5 * count)], dy[index(4 * count + j)]
    return Wrench(fx, fy, fz, mx, my, mz, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)


@inline_kernel
def counted(total, back, wrench):
    """Sum of reactions on a body that keeps count of heat and energy of the contacts.

    Parameters
    ----------
    total : Wrench
        So far, on the body.
    back : Wrench
        Reaction of one more contact, on the body.
    wrench : Wrench
        Of that contact on its first body.

    Returns
    -------
    Wrench
        On the body about its centre.
    """
    return Wrench(
        total.fx + back.fx,
        total.fy + back.fy,
        total.fz + back.fz,
        total.mx + back.mx,
        total.my + back.my,
        total.mz + back.mz,
        0.0,
        total.heat + wrench.heat,
        total.energy + wrench.energy,
        0.0,
        0.0,
        0.0,
    )
