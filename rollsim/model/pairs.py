"""Contact pairs of the kernels from a case."""

import math

import numpy as np

from rollsim.kernels.pocket import sag
from rollsim.kernels.types import EndPair, Guidance, Pocket, RoundPair, Traction, TractionLaw
from rollsim.model.inertia import flange_height, roller_inertia
from rollsim.model.raceway_oil import lubricated_contact, raceway_oil
from rollsim.model.stiffness import line_contact_constant, reduced_modulus
from rollsim.model.viscosity import running_viscosity
from rollsim.units import DEG, MM, N_PER_UM, UM

#: Film floor at the roller ends over that in the pockets: end faces are turned, not flat.
END_FLOOR_FACTOR = 10.0
#: Radius of the film patch at a roller end over the roller radius.
END_PATCH = 0.25


def coulomb_traction(friction, slip_scale):
    """Coulomb friction as the kernels take it.

    Parameters
    ----------
    friction : float
        Coefficient.
    slip_scale : float, m/s
        Slip at which 71 % of it is reached.

    Returns
    -------
    Traction
        The law.
    """
    return Traction(int(TractionLaw.COULOMB), friction, slip_scale, 0.0, 0.0, 0.0, 0.0)


def raceway_traction(case, contact):
    """Traction law of one raceway.

    Parameters
    ----------
    case : Case
        The case.
    contact : LubricatedContact
        Geometry, material and oil of the contact.

    Returns
    -------
    Traction
        The law.
    """
    oil = case.lubricant
    law = coulomb_traction(oil.raceway_friction, oil.raceway_slip_scale_m_per_s)
    if oil.raceway_traction == "coulomb":
        return law
    if oil.raceway_traction == "ehl":
        return law._replace(
            law=int(TractionLaw.EHL),
            friction=oil.boundary_friction,
            oil=raceway_oil(case, contact),
        )
    a, b, c, d = (float(value) for value in oil.four_parameter)
    return law._replace(law=int(TractionLaw.FOUR_PARAMETER), a=a, b=b, c=c, d=d)


def sliding_traction(case, friction):
    """Coulomb law of a sliding contact of the cage or of a flange.

    Parameters
    ----------
    case : Case
        The case.
    friction : float
        Coefficient.

    Returns
    -------
    Traction
        The law.
    """
    return coulomb_traction(friction, case.lubricant.sliding_slip_scale_m_per_s)


def effective_length(case):
    """Length of the line contacts of a roller.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    float
        m; 0.96 of the roller length unless given.
    """
    given = case.roller.effective_length_mm
    return MM * (0.96 * case.roller.length_mm if given is None else given)


def pair_modulus(case, first, second):
    """Reduced modulus of two materials of a case.

    Parameters
    ----------
    case : Case
        The case.
    first : str
        Name of a material.
    second : str
        Likewise.

    Returns
    -------
    float
        Pa.
    """
    a = case.materials[first]
    b = case.materials[second]
    return reduced_modulus(a.youngs_modulus, a.poisson, b.youngs_modulus, b.poisson)


def raceway_pairs(case):
    """Roller on outer and inner raceway; half of the clearance lies at each.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    outer : RoundPair
        Outer raceway.
    inner : RoundPair
        Inner raceway.
    """
    radius = 0.5 * MM * case.roller.diameter_mm
    pitch = 0.5 * MM * case.bearing.pitch_diameter_mm
    play = 0.25 * UM * case.clearance.radial_um
    modulus = pair_modulus(case, case.roller.material, "bearing_steel")
    length = effective_length(case)
    constant = line_contact_constant(length, modulus)
    damping = case.contact.raceway_damping_s_per_m
    dry = coulomb_traction(0.0, 1.0)
    # The outer raceway has radius pitch + radius + play: the roller centre may be at pitch + play.
    outer = RoundPair(1.0, pitch + play, radius, constant, damping, dry)
    inner = RoundPair(-1.0, -(pitch - play), -radius, constant, damping, dry)
    return tuple(
        pair._replace(
            traction=raceway_traction(case, lubricated_contact(case, pair, length, modulus))
        )
        for pair in (outer, inner)
    )


def guidance_code(case):
    """Code of the guidance of the cage.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    Guidance
        The code.
    """
    return Guidance[case.cage.guidance.upper()]


def film_viscosity(case):
    """Viscosity of the oil times the share of a full film, as the films of the pockets take it.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    float
        Pa s.
    """
    return running_viscosity(case) * case.lubricant.oil_fraction


def squeeze_factor(case):
    """Factor of the pocket squeeze film, 3 sqrt(2) pi eta L R^(3/2) times the oil share.

    R is the radius of the roller, or R R_c/(R_c - R) against a contour of radius R_c: the gap is
    the same parabola.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    float
        N s m^(1/2).
    """
    radius = 0.5 * MM * case.roller.diameter_mm
    radius /= 1.0 - radius * contour_curvature(case)
    viscosity = film_viscosity(case)
    return 3.0 * math.sqrt(2.0) * math.pi * viscosity * effective_length(case) * radius**1.5


def contour_curvature(case):
    """Curvature of the pocket sides.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    float
        1/m, 0 for flat sides.
    """
    radius = case.cage.pocket_contour_radius_mm
    return 0.0 if radius is None else 1.0 / (MM * radius)


def face_height(edge_radius, pitch_radius, reach, angle, curvature=0.0):
    """Where a bar ends on the plane of its pocket face, from the foot of the pocket centre.

    The edge lies on the circle of radius r and on the face. Its position s along the orbit and h
    outwards from the pocket centre obey h = sqrt(r^2 - s^2) - R and s = (c + h sin b)/cos b,
    solved by repetition; its place on the face is s sin b + h cos b. On a concave face (b = 0) it
    lies nearer to the roller by the sag of the arc.

    Parameters
    ----------
    edge_radius : float, m
        Inner or outer radius r of the cage ring.
    pitch_radius : float, m
        Radius R of the pocket centre.
    reach : float, m
        Distance c of the face from the pocket centre: roller radius plus half clearance.
    angle : float, rad
        Face angle b.
    curvature : float, 1/m
        Of the face.

    Returns
    -------
    float
        m, outwards positive.
    """
    height = edge_radius - pitch_radius
    for _ in range(50):
        across = (reach + height * math.sin(angle)) / math.cos(angle) - sag(curvature, height)
        height = math.sqrt(max(edge_radius**2 - across**2, 0.0)) - pitch_radius
    return across * math.sin(angle) + height * math.cos(angle)


def pocket_faces(case, backing):
    """Tangential faces of the pockets.

    The constant of the line contact does not know the radii of the bodies: in the law of Palmgren
    they hardly count, and a contour close to the roller changes it little.

    Parameters
    ----------
    case : Case
        The case.
    backing : Backing
        Stiffness behind the faces; here that of the first bar.

    Returns
    -------
    Pocket
        Geometry and laws.
    """
    pitch = 0.5 * MM * case.bearing.pitch_diameter_mm
    angle = DEG * case.cage.pocket_side_angle_deg
    reach = 0.5 * (MM * case.roller.diameter_mm + UM * case.clearance.pocket_um)
    stiffness = float(backing.bar[0])
    modulus = pair_modulus(case, case.cage.material, case.roller.material)
    curvature = contour_curvature(case)
    low, high = (
        face_height(0.5 * MM * diameter, pitch, reach, angle, curvature)
        for diameter in (case.cage.inner_diameter_mm, case.cage.outer_diameter_mm)
    )
    return Pocket(
        radius=0.5 * MM * case.roller.diameter_mm,
        half_clearance=0.5 * UM * case.clearance.pocket_um,
        cosine=math.cos(angle),
        sine=math.sin(angle),
        pitch_radius=pitch,
        low=low,
        high=high,
        curvature=curvature,
        constant=line_contact_constant(effective_length(case), modulus),
        backing=stiffness,
        damping=case.contact.cage_damping_s_per_m,
        film=squeeze_factor(case),
        floor=UM * case.lubricant.pocket_roughness_um,
        impedance=math.sqrt(stiffness * roller_inertia(case).mass),
        traction=sliding_traction(case, case.lubricant.pocket_friction),
    )


def cage_ends(case, backing):
    """Roller ends against the end rings of the cage.

    Parameters
    ----------
    case : Case
        The case.
    backing : Backing
        Stiffness behind the faces; here that of the base ring at the first pocket.

    Returns
    -------
    EndPair
        Geometry and laws of base and cover.
    """
    radius = 0.5 * MM * case.roller.diameter_mm
    load = case.cage.cover_load_diameter_mm
    pitch = case.bearing.pitch_diameter_mm
    viscosity = film_viscosity(case)
    stiffness = float(backing.base[0])
    return EndPair(
        half_length=0.5 * MM * case.roller.length_mm,
        half_gap=0.5 * UM * case.clearance.pocket_axial_um,
        radial=0.5 * MM * ((pitch if load is None else load) - pitch),
        tangential=case.contact.end_contact_spread * radius,
        stiffness=0.5 * stiffness,
        damping=case.contact.cage_damping_s_per_m,
        film=1.5 * math.pi * viscosity * (END_PATCH * radius) ** 4,
        floor=END_FLOOR_FACTOR * UM * case.lubricant.pocket_roughness_um,
        # Each of the two points has half of the roller's mass and of the ring's stiffness.
        impedance=0.5 * math.sqrt(stiffness * roller_inertia(case).mass),
        base=1.0,
        cover=1.0,
        traction=sliding_traction(case, case.lubricant.end_friction),
    )


def flange_pair(case, ring):
    """Roller ends against the flanges of a ring, touched at half their height.

    Parameters
    ----------
    case : Case
        The case.
    ring : str
        "outer" or "inner".

    Returns
    -------
    EndPair
        Geometry and laws; base and cover are 0 where the ring has no flange.
    """
    radius = 0.5 * MM * case.roller.diameter_mm
    offset = radius - 0.5 * flange_height(case)
    return EndPair(
        half_length=0.5 * MM * case.roller.length_mm,
        half_gap=0.5 * UM * case.clearance.flange_axial_um,
        radial=offset if ring == "outer" else -offset,
        tangential=case.contact.end_contact_spread * float(np.sqrt(radius**2 - offset**2)),
        stiffness=0.5 * N_PER_UM * case.contact.flange_stiffness_N_per_um,
        damping=case.contact.raceway_damping_s_per_m,
        film=0.0,
        floor=END_FLOOR_FACTOR * UM * case.lubricant.pocket_roughness_um,
        impedance=math.inf,
        base=float(f"{ring}_base" in case.bearing.flanges),
        cover=float(f"{ring}_cover" in case.bearing.flanges),
        traction=sliding_traction(case, case.lubricant.flange_friction),
    )
