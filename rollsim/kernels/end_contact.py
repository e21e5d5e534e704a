"""Roller end against a plane across the axis: cage end rings and guiding flanges.

Two points of the roller end, apart along the orbit direction, carry the contact, so that skew
and tilt of the roller count and the friction at a flange skews the roller.

The points go round with the orbit, not with the material. Roller axis and plane normal differ, so
a normal force has a small moment about the roller's own axis; the work of the spin against it is
booked as heat.
"""

import math

from rollsim.kernels.damping import hunt_crossley
from rollsim.kernels.film import plane_film_damping, yielding
from rollsim.kernels.jit import inline_kernel
from rollsim.kernels.round_contact import add, contact_force, no_wrench, point_velocity
from rollsim.kernels.types import Wrench


@inline_kernel
def end_point(roller, plate, frame, ends, end, tangential, turn):
    """Contact of one point of a roller end with a plane.

    Parameters
    ----------
    roller : Body
        Roller.
    plate : Body
        Body that carries the plane, at end * (half length + half gap) along its axis.
    frame : PocketFrame
        Directions along the orbit and outwards.
    ends : EndPair
        Geometry and laws.
    end : float
        -1 base, +1 cover.
    tangential : float, m
        Offset of the point along the orbit.
    turn : float, rad/s
        Speed at which the point goes round with the frame; the roller spins through below it.

    Returns
    -------
    Wrench
        On the roller, about its centre.
    """
    px = ends.radial * frame.rx + tangential * frame.tx
    py = ends.radial * frame.ry + tangential * frame.ty
    length = end * ends.half_length
    ax = length * roller.ux + px
    ay = length * roller.uy + py
    az = length - roller.ux * px - roller.uy * py
    dx = roller.x + ax - plate.x
    dy = roller.y + ay - plate.y
    dz = roller.z + az - plate.z
    scale = end / math.sqrt(1.0 + plate.ux * plate.ux + plate.uy * plate.uy)
    nx = scale * plate.ux
    ny = scale * plate.uy
    nz = scale
    thickness = ends.half_length + ends.half_gap - (dx * nx + dy * ny + dz * nz)
    if thickness >= 0.0 and ends.film == 0.0:
        return no_wrench()
    bx, by, bz = point_velocity(roller, ax, ay, az)
    cx, cy, cz = point_velocity(plate, dx, dy, dz)
    vx = bx - cx
    vy = by - cy
    vz = bz - cz
    along = vx * nx + vy * ny + vz * nz
    # The gap closes as the end plane moves; material that spins through the point does not count.
    swash = (roller.ux - plate.ux) * py - (roller.uy - plate.uy) * px
    approach = along - (roller.spin - turn) * swash * nz
    if thickness >= 0.0 and approach <= 0.0:
        return no_wrench()
    film = max(approach, 0.0) * yielding(
        plane_film_damping(ends.film, thickness, ends.floor), ends.impedance
    )
    depth = max(-thickness, 0.0)
    elastic = ends.stiffness * depth
    contact = hunt_crossley(elastic, approach, ends.damping)
    fx, fy, fz, loss = contact_force(contact, nx, ny, nz, vx, vy, vz, ends.traction)
    fx -= film * nx
    fy -= film * ny
    fz -= film * nz
    return Wrench(
        fx,
        fy,
        fz,
        ay * fz - az * fy,
        az * fx - ax * fz,
        ax * fy - ay * fx,
        contact + film,
        loss + (contact + film) * along - elastic * approach,
        0.5 * elastic * depth,
        approach,
        loss,
        0.0,
    )


@inline_kernel
def end_side(roller, plate, frame, ends, end, turn):
    """Contact of one roller end with its plane: both points.

    Parameters
    ----------
    roller : Body
        Roller.
    plate : Body
        Body that carries the plane.
    frame : PocketFrame
        Directions along the orbit and outwards.
    ends : EndPair
        Geometry and laws.
    end : float
        -1 base, +1 cover.
    turn : float, rad/s
        Speed at which the points go round with the frame.

    Returns
    -------
    Wrench
        On the roller, about its centre.
    """
    first = end_point(roller, plate, frame, ends, end, ends.tangential, turn)
    return add(first, end_point(roller, plate, frame, ends, end, -ends.tangential, turn))
