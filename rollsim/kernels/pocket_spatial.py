"""Spatial contact of a roller with the bars of its pocket, slice by slice and exact.

`pocket_flat` is the quick form for the flat face; this one also knows edges and concave faces.
"""

from rollsim.kernels.jit import inline_kernel, kernel
from rollsim.kernels.pocket import bar_film_damping, bar_normal, face_distance
from rollsim.kernels.round_contact import add, contact_force, no_wrench, point_velocity
from rollsim.kernels.types import BarGap, Wrench


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
    normal = contact + film
    return Wrench(fx, fy, fz, mx, my, mz, normal, heat + loss, energy, g.approach, loss, 0.0)


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
    by_length = -0.5 / low
    force = lever = heat = 0.0
    for k in range(count):
        s = tables.slice_z[k]
        x = (s - low) * by_length
        v = max(first.approach + x * (last.approach - first.approach), 0.0)
        gap = first.thickness + x * (last.thickness - first.thickness)
        film = tables.slice_weight[k] * v * bar_film_damping(pocket, gap)
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
        0.0,
        0.0,
    )


@kernel
def bar_bent(roller, cage, frame, pocket, side, tables):
    """Contact of a roller with one bar whose gap is not linear along the roller.

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
        last = bar_gap(roller, cage, frame, pocket, side, -tables.slice_z[0])
        if first.thickness >= 0.0 and last.thickness >= 0.0:
            return bar_open(roller, pocket, first, last, tables)
    for k in range(count):
        weight = tables.slice_weight[k]
        if weight > 0.0:
            piece = bar_slice(roller, cage, frame, pocket, side, tables.slice_z[k], weight)
            total = add(total, piece)
    return total
