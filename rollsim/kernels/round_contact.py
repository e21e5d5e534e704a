"""Roller on a raceway and cage in its guiding land: one round surface inside another.

Reference points: every moment is about the centre of the body it acts on. Both bodies feel
opposite forces at the same contact point, so forces and moments of a pair sum to zero exactly.
"""

import math

from rollsim.kernels.damping import hunt_crossley
from rollsim.kernels.jit import inline_kernel
from rollsim.kernels.line_contact import line_energy, line_force
from rollsim.kernels.traction import (
    dry_grip,
    friction_over_slip,
    grip,
    rolling_force,
)
from rollsim.kernels.types import PlanarPair, RoundPair, Traction, Wrench


@inline_kernel
def round_planar(body, ring, pair):
    """Planar contact of a body with a ring around it or inside it.

    The contact point moves with the orbit, Omega_o = v_t/w. Seen from it the surfaces run with
    u1 = (spin - Omega_o) arm and u2 = (ring spin - Omega_o)(w + arm): slip is u1 - u2, and the
    oil is drawn in with (u1 + u2)/2. Rolling resistance: see `rolling_force`.
    Free of branches for plain friction, so that a loop over the rollers vectorises.

    Parameters
    ----------
    body : Disc
        Roller or cage.
    ring : Disc
        Ring with its surface speed.
    pair : RoundPair
        Geometry and laws.

    Returns
    -------
    PlanarPair
        Force on the body; moment on the body and on the ring about their centres.
    """
    qx = body.x - ring.x
    qy = body.y - ring.y
    w = max(math.sqrt(qx * qx + qy * qy), 1e-15)
    penetration = pair.side * w - pair.gap
    nx = qx / w
    ny = qy / w
    vx = body.vx - ring.vx
    vy = body.vy - ring.vy
    approach = pair.side * (vx * nx + vy * ny)
    along = vy * nx - vx * ny
    arm = pair.arm
    reach = w + arm
    slip = along + body.spin * arm - ring.spin * reach
    entrainment = 0.5 * (body.spin * arm + ring.spin * reach - along / w * (arm + reach))
    elastic = line_force(penetration, pair.constant)
    normal = hunt_crossley(elastic, approach, pair.damping)
    law = pair.traction
    held = grip(normal, entrainment, law)
    resistance = normal * friction_over_slip(abs(slip), law, held)
    tangential = -slip * resistance
    friction = -tangential * slip
    resist = rolling_force(normal, entrainment, law)
    radial = -pair.side * normal
    push = tangential + resist * (arm + reach) / w
    return PlanarPair(
        radial * nx - push * ny,
        radial * ny + push * nx,
        arm * (tangential - resist),
        -reach * (tangential + resist),
        normal,
        (normal - elastic) * approach + friction + 2.0 * resist * entrainment,
        line_energy(penetration, pair.constant),
        approach,
        friction,
        slip if normal > 0.0 else 0.0,
        resistance,
    )


@inline_kernel
def with_law(pair, law):
    """The pair with its law of friction as a literal, so that the compiler drops the others.

    Parameters
    ----------
    pair : RoundPair
        Geometry and laws.
    law : int
        Code of the law that the pair has.

    Returns
    -------
    RoundPair
        The same.
    """
    old = pair.traction
    known = Traction(law, old.friction, old.slip_scale, old.a, old.b, old.c, old.d, old.oil)
    return RoundPair(pair.side, pair.gap, pair.arm, pair.constant, pair.damping, known)


@inline_kernel
def angular_velocity(body):
    """Angular velocity of a body with axis (ux, uy, 1): spin u + (-uy', ux', 0).

    Parameters
    ----------
    body : Body
        Motion.

    Returns
    -------
    ox : float
        Component in rad/s.
    oy : float
        Likewise.
    oz : float
        Likewise.
    """
    return body.spin * body.ux - body.wy, body.spin * body.uy + body.wx, body.spin


@inline_kernel
def point_velocity(body, x, y, z):
    """Velocity of a point fixed to a body.

    Parameters
    ----------
    body : Body
        Motion.
    x : float, m
        Position of the point from the body's centre.
    y : float, m
        Likewise.
    z : float, m
        Likewise.

    Returns
    -------
    vx : float
        Velocity in m/s.
    vy : float
        Likewise.
    vz : float
        Likewise.
    """
    ox, oy, oz = angular_velocity(body)
    return body.vx + oy * z - oz * y, body.vy + oz * x - ox * z, body.vz + ox * y - oy * x


@inline_kernel
def contact_force(normal, nx, ny, nz, vx, vy, vz, traction):
    """Force on a body pushed along -n by a normal force, with friction against the slip.

    Parameters
    ----------
    normal : float, N
        Normal force.
    nx : float
        Unit direction from the body to the contact.
    ny : float
        Likewise.
    nz : float
        Likewise.
    vx : float, m/s
        Velocity of the body's surface relative to the other surface at the contact.
    vy : float, m/s
        Likewise.
    vz : float, m/s
        Likewise.
    traction : Traction
        Friction law.

    Returns
    -------
    fx : float
        Force in N.
    fy : float
        Likewise.
    fz : float
        Likewise.
    heat : float
        Power of the friction turned into heat, W.
    """
    along = vx * nx + vy * ny + vz * nz
    sx = vx - along * nx
    sy = vy - along * ny
    sz = vz - along * nz
    square = sx * sx + sy * sy + sz * sz
    factor = normal * friction_over_slip(math.sqrt(square), traction, dry_grip(traction))
    return (
        -normal * nx - factor * sx,
        -normal * ny - factor * sy,
        -normal * nz - factor * sz,
        factor * square,
    )


@inline_kernel
def round_slice(body, ring, pair, s, drop, weight):
    """Spatial contact of one slice of a body with a ring; ring tilt enters exactly.

    Parameters
    ----------
    body : Body
        Roller or cage.
    ring : Body
        Ring.
    pair : RoundPair
        Geometry and laws.
    s : float, m
        Position of the slice along the body's axis from its centre.
    drop : float, m
        Profile drop of the slice.
    weight : float
        Share of the slice in the spring constant.

    Returns
    -------
    Wrench
        On the body, about its centre.
    """
    ax = s * body.ux
    ay = s * body.uy
    dx = body.x + ax - ring.x
    dy = body.y + ay - ring.y
    dz = body.z + s - ring.z
    along = dx * ring.ux + dy * ring.uy + dz
    along /= 1.0 + ring.ux * ring.ux + ring.uy * ring.uy
    nx = dx - along * ring.ux
    ny = dy - along * ring.uy
    nz = dz - along
    w = max(math.sqrt(nx * nx + ny * ny + nz * nz), 1e-15)
    penetration = pair.side * w - pair.gap - drop
    if penetration <= 0.0:
        return no_wrench()
    nx /= w
    ny /= w
    nz /= w
    ax += pair.arm * nx
    ay += pair.arm * ny
    az = s + pair.arm * nz
    bx, by, bz = point_velocity(body, ax, ay, az)
    rx, ry, rz = point_velocity(ring, dx + pair.arm * nx, dy + pair.arm * ny, dz + pair.arm * nz)
    vx = bx - rx
    vy = by - ry
    vz = bz - rz
    approach = pair.side * (vx * nx + vy * ny + vz * nz)
    constant = pair.constant * weight
    elastic = line_force(penetration, constant)
    normal = hunt_crossley(elastic, approach, pair.damping)
    side = pair.side
    fx, fy, fz, heat = contact_force(
        normal, side * nx, side * ny, side * nz, vx, vy, vz, pair.traction
    )
    return Wrench(
        fx,
        fy,
        fz,
        ay * fz - az * fy,
        az * fx - ax * fz,
        ax * fy - ay * fx,
        normal,
        heat + (normal - elastic) * approach,
        line_energy(penetration, constant),
        approach,
        heat,
        0.0,
    )


@inline_kernel
def add(first, second):
    """Sum of two wrenches on one body; the approach speed is that of the faster slice.

    The sum has no sliding speed (0).

    Parameters
    ----------
    first : Wrench
        About the body's centre.
    second : Wrench
        Likewise.

    Returns
    -------
    Wrench
        The sum.
    """
    return Wrench(
        first.fx + second.fx,
        first.fy + second.fy,
        first.fz + second.fz,
        first.mx + second.mx,
        first.my + second.my,
        first.mz + second.mz,
        first.normal + second.normal,
        first.heat + second.heat,
        first.energy + second.energy,
        max(first.approach, second.approach),
        first.friction + second.friction,
        0.0,
    )


@inline_kernel
def no_wrench():
    """The wrench of a contact that does not touch.

    Returns
    -------
    Wrench
        Zeros.
    """
    return Wrench(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)


@inline_kernel
def reaction(wrench, body, other):
    """Wrench on the other body of a pair, about the other body's centre.

    The force is opposite and acts at the same point: M' = -(M + (X - X') x F).

    Parameters
    ----------
    wrench : Wrench
        On the first body about its centre.
    body : Body
        First body.
    other : Body
        Other body.

    Returns
    -------
    Wrench
        On the other body; what is no force is 0 so that sums count it once.
    """
    dx = body.x - other.x
    dy = body.y - other.y
    dz = body.z - other.z
    return Wrench(
        -wrench.fx,
        -wrench.fy,
        -wrench.fz,
        -(wrench.mx + dy * wrench.fz - dz * wrench.fy),
        -(wrench.my + dz * wrench.fx - dx * wrench.fz),
        -(wrench.mz + dx * wrench.fy - dy * wrench.fx),
        0.0,
        0.0,
        0.0,
        0.0,
        0.0,
        0.0,
    )
