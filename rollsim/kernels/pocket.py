"""Roller against the leading and trailing bar of its cage pocket.

Local directions: t along the orbit, r outwards, both fixed to the cage. The face of the leading
bar (side +1) has the outward direction (cos b, -sin b) seen from the roller, b being the face
angle (0 for parallel sides, positive where the pocket closes inwards); the trailing bar (side -1)
is its mirror image. Beyond the height of the bar the roller meets its edge. Where the pocket has a
curvature the faces are concave cylinders instead, parallel to the roller, deepest at the pitch
radius.
"""

import math

from rollsim.kernels.damping import hunt_crossley
from rollsim.kernels.film import cut_parabola, film_thickness
from rollsim.kernels.jit import inline_kernel
from rollsim.kernels.line_contact import series_line_energy, series_line_force
from rollsim.kernels.traction import dry_grip, friction_over_slip
from rollsim.kernels.types import PlanarPair, Pocket, PocketFrame


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
def with_backing(pocket, share):
    """The pocket with another stiffness behind the face.

    Parameters
    ----------
    pocket : Pocket
        Any pocket.
    share : float
        Stiffness over that of the pocket; the impedance goes with its root.

    Returns
    -------
    Pocket
        Its copy.
    """
    return Pocket(
        pocket.radius,
        pocket.half_clearance,
        pocket.cosine,
        pocket.sine,
        pocket.pitch_radius,
        pocket.low,
        pocket.high,
        pocket.curvature,
        pocket.constant,
        pocket.backing * share,
        pocket.damping,
        pocket.film,
        pocket.floor,
        pocket.impedance * math.sqrt(share),
        pocket.traction,
    )


@inline_kernel
def with_flat_sides(pocket):
    """The pocket without curvature, known to the compiler: loops over it vectorise.

    Parameters
    ----------
    pocket : Pocket
        Any pocket.

    Returns
    -------
    Pocket
        Its copy with flat faces.
    """
    return Pocket(
        pocket.radius,
        pocket.half_clearance,
        pocket.cosine,
        pocket.sine,
        pocket.pitch_radius,
        pocket.low,
        pocket.high,
        0.0,
        pocket.constant,
        pocket.backing,
        pocket.damping,
        pocket.film,
        pocket.floor,
        pocket.impedance,
        pocket.traction,
    )


@inline_kernel
def sag(curvature, height):
    """Depth of a circle's arc over its tangent, k h^2/(1 + sqrt(1 - k^2 h^2)).

    Parameters
    ----------
    curvature : float, 1/m
        k.
    height : float, m
        Distance h from the point of touch along the tangent, less than 1/k.

    Returns
    -------
    float
        m.
    """
    square = curvature * height * height
    return square / (1.0 + math.sqrt(1.0 - curvature * square))


@inline_kernel
def arc_point(pocket, gap, height):
    """Nearest point of a concave cylindrical face, or of its edge.

    The arc of radius 1/k has its centre C at the pitch radius. The line from C through the roller
    axis P, over R_c = 1/k equal to (x, y) = (1 - k g, k h), meets it at the height h/|(x, y)|.
    Beyond the height of the bar, and where P lies on the far side of C (x < 0), the nearest point
    is an edge: the one on whose side of the line that halves the arc P lies.

    Parameters
    ----------
    pocket : Pocket
        Geometry; curvature k greater than 0.
    gap : float, m
        Distance g of the roller axis from the plane that touches the face at the pitch radius.
    height : float, m
        Height h of the roller axis from the pitch radius.

    Returns
    -------
    across : float
        Distance of the point from the roller axis across that plane, m.
    place : float
        Height of the point on the bar, m.
    """
    k = pocket.curvature
    x, y = 1.0 - k * gap, k * height
    low, high = k * pocket.low, k * pocket.high
    middle = (low + high) / (math.sqrt(1.0 - low * low) + math.sqrt(1.0 - high * high))
    edge = pocket.high if y > middle * x else pocket.low
    place = height / max(math.sqrt(x * x + y * y), 1e-12)
    place = min(max(place, pocket.low), pocket.high) if x > 0.0 else edge
    return gap - sag(k, place), place


@inline_kernel
def face_distance(pocket, side, along, outward, extra):
    """Distance from the roller axis to a pocket face or its edge, and its direction.

    Free of branches for flat faces; the roller axis is never on the wrong side of a face.

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
    if pocket.curvature > 0.0:
        gap, place = arc_point(pocket, gap, height)
    else:
        place = min(max(height, pocket.low), pocket.high)
    beyond = height - place
    distance = math.sqrt(gap * gap + beyond * beyond)
    scale = 1.0 / distance
    nt = side * (gap * pocket.cosine - beyond * pocket.sine) * scale
    return distance, nt, -(gap * pocket.sine + beyond * pocket.cosine) * scale


@inline_kernel
def bar_film_damping(pocket, gap):
    """Damping of the squeeze film of a whole bar in series with the yielding of the bar.

    Against a concave face the film ends with the bar, see `film.cut_parabola`; the roller is taken
    to stand at the middle of the bar there.

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
    factor = pocket.film
    if pocket.curvature > 0.0:
        # The gap opens so slowly that the bar ends before it is wide.
        half = 0.5 * (pocket.high - pocket.low)
        opening = (1.0 - pocket.radius * pocket.curvature) / (2.0 * pocket.radius)
        factor *= cut_parabola(half * math.sqrt(opening / h))
    return factor / (h * math.sqrt(h) + factor / pocket.impedance)


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

    Free of branches for flat faces, so that a loop over the pockets vectorises; `bar_planar` does
    the rest.

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
        return PlanarPair(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
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
    return PlanarPair(ft, fr, moment, reaction, normal, heat, energy, approach, friction, slip, 0.0)
