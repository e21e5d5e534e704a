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
from rollsim.kernels.round_contact import add, angular_velocity, contact_force, no_wrench
from rollsim.kernels.types import EndPair, Wrench
from rollsim.kernels.vector import cross, dot, plus, scaled


@inline_kernel
def with_stiffness(ends, share):
    """The planes with another stiffness.

    Parameters
    ----------
    ends : EndPair
        Geometry and laws.
    share : float
        Stiffness over that of `ends`; the impedance goes with its root.

    Returns
    -------
    EndPair
        Its copy.
    """
    return EndPair(
        ends.half_length,
        ends.half_gap,
        ends.radial,
        ends.tangential,
        ends.stiffness * share,
        ends.damping,
        ends.film,
        ends.floor,
        ends.impedance * math.sqrt(share),
        ends.base,
        ends.cover,
        ends.traction,
    )


@inline_kernel
def end_paths(roller, plate, frame, ends, end, turn):
    """Gap, approach and speed of a roller end over its plane, linear along the orbit direction.

    Parameters
    ----------
    roller : Body
        Roller.
    plate : Body
        Body that carries the plane, at end * (half length + half gap) along its axis.
    frame : PocketFrame
        Directions along the orbit and outwards.
    ends : EndPair
        Geometry.
    end : float
        -1 base, +1 cover.
    turn : float, rad/s
        Speed at which the points go round with the frame; the roller spins through below them.

    Returns
    -------
    gap : tuple of 2 float
        In the middle [m], and its change over the offset of the points along the orbit.
    approach : tuple of 2 float
        Speed at which the gap closes [m/s], likewise.
    place : tuple of 2 tuples
        Point from the roller centre [m], and its change.
    speed : tuple of 2 tuples
        Velocity of the roller's material there relative to the plane [m/s], and its change.
    normal : tuple of 3 float
        Direction into the plane.
    """
    u = (roller.ux, roller.uy, 1.0)
    across = (frame.rx, frame.ry, -roller.ux * frame.rx - roller.uy * frame.ry)
    along = (frame.tx, frame.ty, -roller.ux * frame.tx - roller.uy * frame.ty)
    middle = plus(scaled(end * ends.half_length, u), ends.radial, across)
    shift = scaled(ends.tangential, along)
    centre = (roller.x - plate.x, roller.y - plate.y, roller.z - plate.z)
    axis = (plate.ux, plate.uy, 1.0)
    n = scaled(end / math.sqrt(dot(axis, axis)), axis)
    gap = ends.half_length + ends.half_gap - dot(plus(centre, 1.0, middle), n)
    spin = angular_velocity(plate)
    relative = plus(angular_velocity(roller), -1.0, spin)
    speed = (roller.vx - plate.vx, roller.vy - plate.vy, roller.vz - plate.vz)
    speed = plus(plus(speed, -1.0, cross(spin, centre)), 1.0, cross(relative, middle))
    change = cross(relative, shift)
    # The gap closes as the end plane moves; material that spins through the point does not count.
    through = (roller.spin - turn) * n[2]
    tx, ty = roller.ux - plate.ux, roller.uy - plate.uy
    swash = ends.radial * (tx * frame.ry - ty * frame.rx)
    swash_change = ends.tangential * (tx * frame.ty - ty * frame.tx)
    closing = (dot(speed, n) - through * swash, dot(change, n) - through * swash_change)
    return (gap, -dot(shift, n)), closing, (middle, shift), (speed, change), n


@inline_kernel
def end_point(sense, paths, ends):
    """Contact of one point of a roller end with a plane.

    Parameters
    ----------
    sense : float
        +1 or -1: the point ahead or behind along the orbit.
    paths : tuple
        As from `end_paths`.
    ends : EndPair
        Laws.

    Returns
    -------
    Wrench
        On the roller, about its centre.
    """
    gap, closing, place, speeds, n = paths
    thickness = gap[0] + sense * gap[1]
    approach = closing[0] + sense * closing[1]
    if thickness >= 0.0 and approach <= 0.0:
        return no_wrench()
    film = 0.0
    if ends.film > 0.0:
        damping = plane_film_damping(ends.film, thickness, ends.floor)
        film = max(approach, 0.0) * yielding(damping, ends.impedance)
    depth = max(-thickness, 0.0)
    elastic = ends.stiffness * depth
    contact = hunt_crossley(elastic, approach, ends.damping)
    a = plus(place[0], sense, place[1])
    v = plus(speeds[0], sense, speeds[1])
    fx, fy, fz, loss = contact_force(contact, *n, *v, ends.traction)
    force = plus((fx, fy, fz), -film, n)
    normal = contact + film
    # Roller axis and plane normal differ: the spin works against the normal force.
    heat = loss + normal * dot(v, n) - elastic * approach
    tail = (normal, heat, 0.5 * elastic * depth, approach, loss, 0.0)
    return Wrench(*force, *cross(a, force), *tail)


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
    paths = end_paths(roller, plate, frame, ends, end, turn)
    gap, closing, _, _, _ = paths
    if gap[0] >= abs(gap[1]) and (ends.film == 0.0 or closing[0] + abs(closing[1]) <= 0.0):
        return no_wrench()
    return add(end_point(1.0, paths, ends), end_point(-1.0, paths, ends))
