"""Roller against the leading and trailing bar of its cage pocket.

Local directions: t along the orbit, r outwards, both fixed to the cage. The face of the leading
bar (side +1) has the outward direction (cos b, -sin b) seen from the roller, b being the face
angle (0 for parallel sides, positive where the pocket closes inwards); the trailing bar (side -1)
is its mirror image. Beyond the height of the bar the roller meets its edge.
"""

import math

from rollsim.kernels.damping import hunt_crossley
from rollsim.kernels.film import squeeze_line
from rollsim.kernels.jit import inline_kernel
from rollsim.kernels.line_contact import series_line_energy, series_line_force
from rollsim.kernels.round_contact import add, contact_force, no_wrench, point_velocity
from rollsim.kernels.traction import friction_over_slip
from rollsim.kernels.types import BarGap, PlanarPair, PocketFrame, Wrench


@inline_kernel
def tilted_frame(cosine, sine, ux, uy, shift, extra):
    """Directions t and r at an azimuth, carried along by a body of axis (ux, uy, 1).

    Parameters
    ----------
    cosine : float
        Cosine of the azimuth.
    sine : float
        Sine of the azimuth.
    ux : float, rad
        Tilt of the body's axis.
    uy : float, rad
        Likewise.
    shift : float, m
        Pitch error of the pocket along t.
    extra : float, m
        Additional half clearance of the pocket.

    Returns
    -------
    PocketFrame
        The directions.
    """
    tz = ux * sine - uy * cosine
    rz = -ux * cosine - uy * sine
    return PocketFrame(-sine, cosine, tz, cosine, sine, rz, shift, extra)


@inline_kernel
def face_distance(pocket, side, along, outward, extra):
    """Distance from the roller axis to a pocket face or its edge, and its direction.

    Free of branches; the roller axis is never on the wrong side of a face.

    Parameters
    ----------
    pocket : Pocket
        Geometry.
    side : float
        +1 leading, -1 trailing.
    along : float, m
        Position of the roller axis along t from the pocket centre.
    outward : float, m
        Position of the roller axis along r from the pitch radius.
    extra : float, m
        Additional half clearance.

    Returns
    -------
    distance : float
        m.
    nt : float
        Unit direction to the nearest point, along t.
    nr : float
        Likewise, along r.
    """
    t = side * along
    gap = pocket.radius + pocket.half_clearance + extra
    gap -= t * pocket.cosine - outward * pocket.sine
    height = t * pocket.sine + outward * pocket.cosine
    beyond = height - min(max(height, pocket.low), pocket.high)
    distance = math.sqrt(gap * gap + beyond * beyond)
    scale = 1.0 / distance
    nt = side * (gap * pocket.cosine - beyond * pocket.sine) * scale
    return distance, nt, -(gap * pocket.sine + beyond * pocket.cosine) * scale


@inline_kernel
def bar_normal(pocket, thickness, approach, weight):
    """Normal force of a pocket face: elastic, dissipative and squeeze film parts.

    Parameters
    ----------
    pocket : Pocket
        Laws.
    thickness : float, m
        Gap, negative for penetration.
    approach : float, m/s
        Approach speed.
    weight : float
        Share of the slice.

    Returns
    -------
    contact : float
        Force of the solid contact, N.
    film : float
        Force of the squeeze film, N.
    heat : float
        Power dissipated along the normal, W.
    energy : float
        Elastic energy, J.
    """
    film = squeeze_line(pocket.film * weight, thickness, approach, pocket.floor)
    if thickness >= 0.0:
        return 0.0, film, film * approach, 0.0
    backing = pocket.backing * weight
    elastic, deflection = series_line_force(-thickness, pocket.constant * weight, backing)
    contact = hunt_crossley(elastic, approach, pocket.damping)
    heat = (contact - elastic + film) * approach
    return contact, film, heat, series_line_energy(elastic, deflection, backing)


@inline_kernel
def bar_film(motion, pocket, side, shift, extra):
    """Squeeze film between a roller and a bar that do not touch, in the local directions.

    Free of branches, so that a loop over the pockets vectorises; `bar_planar` does the rest.

    Parameters
    ----------
    motion : tuple of 4 float
        As for `bar_planar`.
    pocket : Pocket
        Geometry and laws.
    side : float
        +1 leading, -1 trailing.
    shift : float, m
        Pitch error of the pocket along t.
    extra : float, m
        Additional half clearance.

    Returns
    -------
    thickness : float
        Gap in m, negative where they touch.
    normal : float
        Force in N, 0 where they touch.
    nt : float
        Direction of the contact seen from the roller, along t.
    nr : float
        Likewise, along r.
    approach : float
        Approach speed in m/s.
    """
    t, r, vt, vr = motion
    distance, nt, nr = face_distance(pocket, side, t - shift, r - pocket.pitch_radius, extra)
    approach = vt * nt + vr * nr
    thickness = distance - pocket.radius
    h = max(thickness, pocket.floor)
    film = pocket.film * max(approach, 0.0) / (h * math.sqrt(h))
    return thickness, film if thickness >= 0.0 else 0.0, nt, nr, approach


@inline_kernel
def bar_planar(motion, spin_difference, pocket, side, shift, extra):
    """Planar contact of a roller with one bar, in the local directions t and r.

    Parameters
    ----------
    motion : tuple of 4 float
        Position along t and r of the roller axis from the cage centre [m], velocity along t and r
        relative to the cage material there [m/s].
    spin_difference : float, rad/s
        Roller spin minus cage speed.
    pocket : Pocket
        Geometry and laws.
    side : float
        +1 leading, -1 trailing.
    shift : float, m
        Pitch error of the pocket along t.
    extra : float, m
        Additional half clearance.

    Returns
    -------
    PlanarPair
        fx along t and fy along r on the roller; moments about roller axis and cage centre.
    """
    t, r, vt, vr = motion
    distance, nt, nr = face_distance(pocket, side, t - shift, r - pocket.pitch_radius, extra)
    approach = vt * nt + vr * nr
    thickness = distance - pocket.radius
    if thickness >= 0.0 and approach <= 0.0:
        return PlanarPair(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    contact, film, heat, energy = bar_normal(pocket, thickness, approach, 1.0)
    slip = vt * nr - vr * nt + spin_difference * pocket.radius
    tangential = -contact * slip * friction_over_slip(abs(slip), pocket.traction)
    normal = contact + film
    ft = -normal * nt + tangential * nr
    fr = -normal * nr - tangential * nt
    reaction = (t + pocket.radius * nt) * fr - (r + pocket.radius * nr) * ft
    moment = pocket.radius * tangential
    return PlanarPair(ft, fr, moment, reaction, normal, heat - tangential * slip, energy, approach)


@inline_kernel
def bar_gap(roller, cage, frame, pocket, side, s):
    """Gap between one roller slice and one bar, its direction and how fast it closes.

    Parameters
    ----------
    roller : Body
        Roller.
    cage : Body
        Cage.
    frame : PocketFrame
        Directions of the pocket and its errors.
    pocket : Pocket
        Geometry.
    side : float
        +1 leading, -1 trailing.
    s : float, m
        Position of the slice along the roller axis.

    Returns
    -------
    BarGap
        Gap, direction, contact point from the roller centre, relative velocity there.
    """
    ax = s * roller.ux
    ay = s * roller.uy
    dx = roller.x + ax - cage.x
    dy = roller.y + ay - cage.y
    dz = roller.z + s - cage.z
    t = dx * frame.tx + dy * frame.ty + dz * frame.tz - frame.shift
    r = dx * frame.rx + dy * frame.ry + dz * frame.rz
    distance, nt, nr = face_distance(pocket, side, t, r - pocket.pitch_radius, frame.extra)
    radius = pocket.radius
    nx = nt * frame.tx + nr * frame.rx
    ny = nt * frame.ty + nr * frame.ry
    nz = nt * frame.tz + nr * frame.rz
    ax += radius * nx
    ay += radius * ny
    az = s + radius * nz
    bx, by, bz = point_velocity(roller, ax, ay, az)
    cx, cy, cz = point_velocity(cage, dx + radius * nx, dy + radius * ny, dz + radius * nz)
    vx, vy, vz = bx - cx, by - cy, bz - cz
    approach = vx * nx + vy * ny + vz * nz
    return BarGap(distance - radius, approach, nx, ny, nz, ax, ay, az, vx, vy, vz)


@inline_kernel
def bar_slice(roller, cage, frame, pocket, side, s, weight):
    """Spatial contact of one roller slice with one bar.

    Parameters
    ----------
    roller : Body
        Roller.
    cage : Body
        Cage.
    frame : PocketFrame
        Directions of the pocket and its errors.
    pocket : Pocket
        Geometry and laws.
    side : float
        +1 leading, -1 trailing.
    s : float, m
        Position of the slice along the roller axis.
    weight : float
        Share of the slice.

    Returns
    -------
    Wrench
        On the roller, about its centre.
    """
    g = bar_gap(roller, cage, frame, pocket, side, s)
    if g.thickness >= 0.0 and g.approach <= 0.0:
        return no_wrench()
    contact, film, heat, energy = bar_normal(pocket, g.thickness, g.approach, weight)
    fx, fy, fz, loss = contact_force(contact, g.nx, g.ny, g.nz, g.vx, g.vy, g.vz, pocket.traction)
    fx -= film * g.nx
    fy -= film * g.ny
    fz -= film * g.nz
    mx = g.ay * fz - g.az * fy
    my = g.az * fx - g.ax * fz
    mz = g.ax * fy - g.ay * fx
    return Wrench(fx, fy, fz, mx, my, mz, contact + film, heat + loss, energy, g.approach)


@inline_kernel
def bar_open(roller, pocket, first, last, tables):
    """Squeeze film of a bar that the roller does not touch anywhere.

    Roller and bar are straight, so gap and approach are linear along the roller between its
    first and last slice; the film acts along the line through the roller axis.

    Parameters
    ----------
    roller : Body
        Roller.
    pocket : Pocket
        Film.
    first : BarGap
        At the first slice.
    last : BarGap
        At the last slice.
    tables : Tables
        Slices.

    Returns
    -------
    Wrench
        On the roller, about its centre.
    """
    if first.approach <= 0.0 and last.approach <= 0.0:
        return no_wrench()
    count = tables.slice_z.shape[0]
    low = tables.slice_z[0]
    by_length = 1.0 / (tables.slice_z[count - 1] - low)
    force = lever = heat = 0.0
    for k in range(count):
        s = tables.slice_z[k]
        x = (s - low) * by_length
        v = max(first.approach + x * (last.approach - first.approach), 0.0)
        h = max(first.thickness + x * (last.thickness - first.thickness), pocket.floor)
        film = pocket.film * tables.slice_weight[k] * v / (h * math.sqrt(h))
        force += film
        lever += film * s
        heat += film * v
    nx, ny, nz = 0.5 * (first.nx + last.nx), 0.5 * (first.ny + last.ny), 0.5 * (first.nz + last.nz)
    return Wrench(
        -force * nx,
        -force * ny,
        -force * nz,
        lever * (ny - roller.uy * nz),
        lever * (roller.ux * nz - nx),
        lever * (roller.uy * nx - roller.ux * ny),
        force,
        heat,
        0.0,
        max(first.approach, last.approach),
    )


@inline_kernel
def bar_spatial(roller, cage, frame, pocket, side, tables):
    """Spatial contact of a roller with one bar, summed over the slices.

    Parameters
    ----------
    roller : Body
        Roller.
    cage : Body
        Cage.
    frame : PocketFrame
        Directions of the pocket and its errors.
    pocket : Pocket
        Geometry and laws.
    side : float
        +1 leading, -1 trailing.
    tables : Tables
        Slices.

    Returns
    -------
    Wrench
        On the roller, about its centre.
    """
    total = no_wrench()
    count = tables.slice_z.shape[0]
    if count > 1:
        first = bar_gap(roller, cage, frame, pocket, side, tables.slice_z[0])
        last = bar_gap(roller, cage, frame, pocket, side, tables.slice_z[count - 1])
        if first.thickness >= 0.0 and last.thickness >= 0.0:
            return bar_open(roller, pocket, first, last, tables)
    for k in range(count):
        piece = bar_slice(
            roller, cage, frame, pocket, side, tables.slice_z[k], tables.slice_weight[k]
        )
        total = add(total, piece)
    return total
