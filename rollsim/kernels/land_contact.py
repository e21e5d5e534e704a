"""Cage and guiding ring: solid contact and oil film of the lands together.

The film acts between the centres of the two bodies in the plane of a land. Its shear gives each
body Couette's torque and half the moment of the force about the other centre, so that forces and
moments of the pair sum to zero: T_cage + T_ring + (X_cage - X_ring) x F = 0. What the ring drives
put in beyond the power that reaches the cage becomes heat, -F.V + resistance (speed difference)^2.

Thin oil does not part rough surfaces: asperities carry the share 1/(1 + lambda)^2 of the film force
(`ehl.asperity_share`, lambda the least thickness over the roughness; taken over from rolling
contacts, our own choice), and they rub like the solid contact. The friction power in the contact
output is that of solid contact and asperities: shear of oil wears nothing.
"""

import math

from rollsim.kernels.ehl import asperity_share
from rollsim.kernels.jit import inline_kernel
from rollsim.kernels.land_film import land_film, least_thickness
from rollsim.kernels.layout import friction_offset
from rollsim.kernels.round_contact import (
    add,
    angular_velocity,
    contact_force,
    no_wrench,
    point_velocity,
    round_planar,
    round_slice,
)
from rollsim.kernels.traction import dry_grip, friction_over_slip
from rollsim.kernels.types import PlanarPair, Wrench
from rollsim.kernels.vector import cross, dot, plus, scaled

#: Centres closer than this (m) have no direction of eccentricity; the film is the same all around.
_CENTRED = 1e-15


@inline_kernel
def film_planar(cage, guide, film):
    """Film of both lands in the plane.

    Parameters
    ----------
    cage : Disc
        Cage.
    guide : Disc
        Guiding ring.
    film : LandFilm
        Constants.

    Returns
    -------
    pair : PlanarPair
        On the cage; `normal` is the size of the force, which is all pressure.
    inward : float
        Part of the force along the line of centres, positive where it pushes the cage inwards, N.
    """
    qx = cage.x - guide.x
    qy = cage.y - guide.y
    w = math.sqrt(qx * qx + qy * qy)
    nx, ny = (qx / w, qy / w) if w > _CENTRED else (1.0, 0.0)
    vx = cage.vx - guide.vx
    vy = cage.vy - guide.vy
    vn = vx * nx + vy * ny
    vt = vy * nx - vx * ny - 0.5 * (cage.spin + guide.spin) * w
    fn, ft, resistance = land_film(film, w, vn, vt)
    turning = cage.spin - guide.spin
    shear = resistance * turning
    half = 0.5 * w * ft
    heat = shear * turning - fn * vn - ft * vt
    fx, fy = fn * nx - ft * ny, fn * ny + ft * nx
    size = math.sqrt(fn * fn + ft * ft)
    return PlanarPair(fx, fy, -shear - half, shear - half, size, heat, 0.0, vn, 0.0, 0.0, 0.0), -fn


@inline_kernel
def rub_planar(cage, guide, pair, film, force):
    """Friction of the asperities that reach through the film of both lands in the plane.

    Parameters
    ----------
    cage : Disc
        Cage.
    guide : Disc
        Guiding ring.
    pair : RoundPair
        Solid contact.
    film : LandFilm
        Constants.
    force : float, N
        Size of the film force.

    Returns
    -------
    PlanarPair
        On the cage; no normal force of its own.
    """
    qx = cage.x - guide.x
    qy = cage.y - guide.y
    w = math.sqrt(qx * qx + qy * qy)
    nx, ny = (qx / w, qy / w) if w > _CENTRED else (1.0, 0.0)
    along = (cage.vy - guide.vy) * nx - (cage.vx - guide.vx) * ny
    vt = along - 0.5 * (cage.spin + guide.spin) * w
    carried = force * asperity_share(least_thickness(film, w, vt) / film.floor)
    slip = along + cage.spin * pair.arm - guide.spin * (w + pair.arm)
    law = pair.traction
    rub = -carried * slip * friction_over_slip(abs(slip), law, dry_grip(law))
    back = -(w + pair.arm) * rub
    lost = -rub * slip
    return PlanarPair(
        -rub * ny, rub * nx, pair.arm * rub, back, 0.0, lost, 0.0, 0.0, lost, slip, 0.0
    )


@inline_kernel
def size_of_sum(solid, film, inward):
    """Size of two forces together, the first of which acts inwards along the line of centres.

    Parameters
    ----------
    solid : float, N
        Normal force of the solid contact.
    film : float, N
        Size of the film force.
    inward : float, N
        Its part inwards.

    Returns
    -------
    float
        N.
    """
    return math.sqrt(max(solid * (solid + 2.0 * inward) + film * film, 0.0))


@inline_kernel
def land_planar(cage, guide, pair, film):
    """Both lands in the plane: solid contact, and the film where there is one.

    Parameters
    ----------
    cage : Disc
        Cage.
    guide : Disc
        Guiding ring.
    pair : RoundPair
        Solid contact.
    film : LandFilm
        Film.

    Returns
    -------
    PlanarPair
        On the cage; `normal` is the size of the force without friction.
    """
    solid = round_planar(cage, guide, pair)
    if film.squeeze <= 0.0:
        return solid
    oil, inward = film_planar(cage, guide, film)
    rub = rub_planar(cage, guide, pair, film, oil.normal)
    return PlanarPair(
        solid.fx + oil.fx + rub.fx,
        solid.fy + oil.fy + rub.fy,
        solid.moment + oil.moment + rub.moment,
        solid.reaction + oil.reaction + rub.reaction,
        size_of_sum(solid.normal, oil.normal, inward),
        solid.heat + oil.heat + rub.heat,
        solid.energy,
        solid.approach,
        solid.friction + rub.friction,
        solid.slip,
        0.0,
    )


@inline_kernel
def film_spatial(cage, guide, film, s, share):
    """Film of one land: eccentricity, velocity and speeds are those in the plane of the land.

    Parameters
    ----------
    cage : Body
        Cage.
    guide : Body
        Guiding ring.
    film : LandFilm
        Constants of both lands.
    s : float, m
        Position of the land along the cage axis from the cage centre.
    share : float
        Share of the land in the constants.

    Returns
    -------
    wrench : Wrench
        On the cage, about its centre; `normal` is the size of the force, which is all pressure.
    inward : float
        Part of the force along the line of centres, positive where it pushes the cage inwards, N.
    """
    by_length = 1.0 / math.sqrt(1.0 + guide.ux * guide.ux + guide.uy * guide.uy)
    ux, uy, uz = guide.ux * by_length, guide.uy * by_length, by_length
    ax = s * cage.ux
    ay = s * cage.uy
    dx, dy, dz = cage.x + ax - guide.x, cage.y + ay - guide.y, cage.z + s - guide.z
    along = dx * ux + dy * uy + dz * uz
    nx, ny, nz = dx - along * ux, dy - along * uy, dz - along * uz
    w = math.sqrt(nx * nx + ny * ny + nz * nz)
    nx, ny, nz = (nx / w, ny / w, nz / w) if w > _CENTRED else (uz, 0.0, -ux)
    tx, ty, tz = uy * nz - uz * ny, uz * nx - ux * nz, ux * ny - uy * nx
    # Velocity of the cage centre in this plane as a passenger of the ring sees it.
    bx, by, bz = point_velocity(cage, ax, ay, s)
    rx, ry, rz = point_velocity(guide, dx, dy, dz)
    vx, vy, vz = bx - rx, by - ry, bz - rz
    ox, oy, oz = angular_velocity(cage)
    px, py, pz = angular_velocity(guide)
    turning = (ox - px) * ux + (oy - py) * uy + (oz - pz) * uz
    vn = vx * nx + vy * ny + vz * nz
    vt = vx * tx + vy * ty + vz * tz - 0.5 * turning * w
    fn, ft, resistance = land_film(film, w, vn, vt)
    fn *= share
    ft *= share
    shear = share * resistance * turning
    torque = -shear - 0.5 * w * ft
    fx, fy, fz = fn * nx + ft * tx, fn * ny + ft * ty, fn * nz + ft * tz
    wrench = Wrench(
        fx,
        fy,
        fz,
        ay * fz - s * fy + torque * ux,
        s * fx - ax * fz + torque * uy,
        ax * fy - ay * fx + torque * uz,
        math.sqrt(fn * fn + ft * ft),
        shear * turning - fn * vn - ft * vt,
        0.0,
        vn,
        0.0,
        0.0,
    )
    return wrench, -fn


@inline_kernel
def rub_spatial(cage, guide, model, s, force):
    """Friction of the asperities that reach through the film of one land.

    Parameters
    ----------
    cage : Body
        Cage.
    guide : Body
        Guiding ring.
    model : Model
        Constants.
    s : float, m
        Position of the land along the cage axis from the cage centre.
    force : float, N
        Size of the film force.

    Returns
    -------
    Wrench
        On the cage, about its centre; no normal force of its own.
    """
    pair, film = model.land, model.land_film
    axis = (guide.ux, guide.uy, 1.0)
    square = 1.0 / dot(axis, axis)
    place = (s * cage.ux, s * cage.uy, s)
    centre = plus((cage.x - guide.x, cage.y - guide.y, cage.z - guide.z), 1.0, place)
    across = plus(centre, -dot(centre, axis) * square, axis)
    w = math.sqrt(dot(across, across))
    n = scaled(1.0 / w, across) if w > _CENTRED else (1.0, 0.0, -guide.ux)
    t = cross(scaled(math.sqrt(square), axis), n)
    middle = plus(point_velocity(cage, *place), -1.0, point_velocity(guide, *centre))
    relative = plus(angular_velocity(cage), -1.0, angular_velocity(guide))
    turning = dot(relative, axis) * math.sqrt(square)
    vt = dot(middle, t) - 0.5 * turning * w
    carried = force * asperity_share(least_thickness(film, w, vt) / film.floor)
    point = plus(place, pair.arm, n)
    speed = plus(middle, pair.arm, cross(relative, n))
    fx, fy, fz, lost = contact_force(carried, *n, *speed, pair.traction)
    friction = plus((fx, fy, fz), carried, n)
    return Wrench(*friction, *cross(point, friction), 0.0, lost, 0.0, 0.0, lost, 0.0)


@inline_kernel
def land_spatial(cage, guide, model, s):
    """One land in space: solid contact, and the film where there is one.

    Parameters
    ----------
    cage : Body
        Cage.
    guide : Body
        Guiding ring.
    model : Model
        Constants.
    s : float, m
        Position of the land along the cage axis from the cage centre.

    Returns
    -------
    Wrench
        On the cage; `normal` is the size of the force without friction.
    """
    solid = round_slice(cage, guide, model.land, s, 0.0, 0.5)
    if model.land_film.squeeze <= 0.0:
        return solid
    oil, inward = film_spatial(cage, guide, model.land_film, s, 0.5)
    rub = rub_spatial(cage, guide, model, s, oil.normal)
    total = add(add(solid, oil), rub)
    return Wrench(
        total.fx,
        total.fy,
        total.fz,
        total.mx,
        total.my,
        total.mz,
        size_of_sum(solid.normal, oil.normal, inward),
        total.heat,
        total.energy,
        total.approach,
        total.friction,
        total.slip,
    )


@inline_kernel
def cage_lands(cage, guide, model, out):
    """Both lands on the cage.

    Parameters
    ----------
    cage : Body
        Cage.
    guide : Body
        Guiding ring.
    model : Model
        Constants.
    out : ndarray (output_size,)
        Contact output, written.

    Returns
    -------
    Wrench
        On the cage.
    """
    z = model.count
    total = no_wrench()
    for side in range(2):
        s = (2.0 * side - 1.0) * model.land_z
        piece = land_spatial(cage, guide, model, s)
        out[8 * z + side] = piece.normal
        out[8 * z + 2 + side] = piece.fx
        out[8 * z + 4 + side] = piece.fy
        out[12 * z + 7 + side] = piece.approach
        out[friction_offset(z) + 8 * z + side] = piece.friction
        total = add(total, piece)
    return total
