"""Roller against the leading and trailing bar of its cage pocket.

Local directions: t along the orbit, r outwards, both fixed to the cage. The face of the leading
bar (side +1) has the outward direction (cos b, -sin b) seen from the roller, b being the face
angle (0 for parallel sides, positive where the pocket closes inwards); the trailing bar (side -1)
is its mirror image. Beyond the height of the bar the roller meets its edge.
"""

import math

from rollsim.kernels.damping import hunt_crossley
from rollsim.kernels.film import film_thickness
from rollsim.kernels.jit import inline_kernel
from rollsim.kernels.line_contact import series_line_energy, series_line_force
from rollsim.kernels.traction import dry_grip, friction_over_slip
from rollsim.kernels.types import PlanarPair, PocketFrame


@inline_kernel
def turned(trig, cosine, sine):
    """Direction at an angle that is the sum of two.

    Parameters
    ----------
    trig : tuple of 2 float
        Cosine and sine of the cage angle.
    cosine : float
        Cosine of the pocket's place in the cage.
    sine : float
        Sine of it.

    Returns
    -------
    cosine : float
        Of the sum.
    sine : float
        Likewise.
    """
    return trig[0] * cosine - trig[1] * sine, trig[1] * cosine + trig[0] * sine


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
def bar_film_damping(pocket, gap):
    """Damping of the squeeze film of a whole bar in series with the yielding of the bar.

    Parameters
    ----------
    pocket : Pocket
        Film and impedance.
    gap : float, m
        Distance of the nominal surfaces.

    Returns
    -------
    float
        N s/m.
    """
    # yielding(line_film_damping(...), impedance) with one division: every contact pays for it.
    h = film_thickness(gap, pocket.floor)
    return pocket.film / (h * math.sqrt(h) + pocket.film / pocket.impedance)


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
    film = weight * max(approach, 0.0) * bar_film_damping(pocket, thickness)
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
    film = max(approach, 0.0) * bar_film_damping(pocket, thickness)
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
        return PlanarPair(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    contact, film, heat, energy = bar_normal(pocket, thickness, approach, 1.0)
    slip = vt * nr - vr * nt + spin_difference * pocket.radius
    law = pocket.traction
    tangential = -contact * slip * friction_over_slip(abs(slip), law, dry_grip(law))
    normal = contact + film
    ft = -normal * nt + tangential * nr
    fr = -normal * nr - tangential * nt
    reaction = (t + pocket.radius * nt) * fr - (r + pocket.radius * nr) * ft
    moment = pocket.radius * tangential
    friction = -tangential * slip
    heat += friction
    if contact <= 0.0:
        slip = 0.0
    return PlanarPair(ft, fr, moment, reaction, normal, heat, energy, approach, friction, slip)
