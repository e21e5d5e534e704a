"""Codes of laws and constant parameters of the kernels."""

from enum import IntEnum
from typing import NamedTuple

import numpy as np

from rollsim.kernels.duty_types import Course, Drive, Duty, Offset, Seat, Shaft
from rollsim.kernels.shaking_types import Shaking


class TractionLaw(IntEnum):
    """Codes of the friction laws."""

    COULOMB = 0
    FOUR_PARAMETER = 1
    EHL = 2


class Guidance(IntEnum):
    """What centres the cage."""

    OUTER_RING = 0
    INNER_RING = 1
    ROLLER = 2


class Disc(NamedTuple):
    """Planar motion of one body: position and velocity of its centre, spin [m, m/s, rad/s]."""

    x: float
    y: float
    vx: float
    vy: float
    spin: float


class Body(NamedTuple):
    """Spatial motion of one body: centre, velocity, axis direction (ux, uy, 1), its rate, spin."""

    x: float
    y: float
    z: float
    vx: float
    vy: float
    vz: float
    ux: float
    uy: float
    wx: float
    wy: float
    spin: float


class PlanarPair(NamedTuple):
    """Force on the first body, moment on each body about its own centre, normal force, powers.

    friction [W]: power of the sliding, a part of heat; slip [m/s]: sliding speed of the first
    body's surface over the other's along the orbit, 0 where nothing touches; resistance [N s/m]:
    friction force of a raceway over that speed, 0 for other contacts.
    """

    fx: float
    fy: float
    moment: float
    reaction: float
    normal: float
    heat: float
    energy: float
    approach: float
    friction: float
    slip: float
    resistance: float


class Wrench(NamedTuple):
    """Force and moment on a body about its centre, with normal force, heat, elastic energy.

    friction [W]: power of the sliding, a part of heat; slip [m/s]: sliding speed of the first
    body's surface over the other's along the orbit, 0 where that means nothing.
    """

    fx: float
    fy: float
    fz: float
    mx: float
    my: float
    mz: float
    normal: float
    heat: float
    energy: float
    approach: float
    friction: float
    slip: float


class OilFilm(NamedTuple):
    """Constants of a lubricated line contact; the contact is that of one roller and one raceway.

    film, film_speed, film_load: h = exp(film) u^film_speed Q^film_load, film thickness [m] from
    entrainment u [m/s] and load Q [N]; by_roughness: 1 over the composite roughness [1/m];
    pressure: mean Hertz pressure over sqrt(Q) [Pa/N^(1/2)]; viscosity [Pa s]; piezo: pressure-
    viscosity coefficient [1/Pa]; limit [Pa] and limit_slope [-]: limiting shear stress at no
    pressure and its rise with pressure; least_scale: floor of the slip scale of the film [m/s];
    rolling: rolling resistance over u^0.648 Q^0.246, 0 for none; radius: reduced radius of the
    contact [m].
    """

    film: float = 0.0
    film_speed: float = 0.0
    film_load: float = 0.0
    by_roughness: float = 0.0
    pressure: float = 1.0
    viscosity: float = 1.0
    piezo: float = 0.0
    limit: float = 0.0
    limit_slope: float = 0.0
    least_scale: float = 1.0
    rolling: float = 0.0
    radius: float = 1.0


class Traction(NamedTuple):
    """A friction law: code, coefficient and slip scale [m/s] of Coulomb's law and of the boundary
    friction of a lubricated contact, four constants, oil film.
    """

    law: int
    friction: float
    slip_scale: float
    a: float
    b: float
    c: float
    d: float
    oil: OilFilm = OilFilm()


class Grip(NamedTuple):
    """What a contact can hold at this instant: two terms f = mu s/sqrt(s^2 + s0^2), added.

    friction, scale [m/s]: of asperities (all of it where there is no film); film_friction,
    film_scale [m/s]: of the film.
    """

    friction: float
    scale: float
    film_friction: float
    film_scale: float


class RoundPair(NamedTuple):
    """Two round surfaces, one inside the other: roller and raceway, or cage and guiding land.

    With w the distance of the first body's centre from the ring axis the penetration is
    delta = side * w - gap; the contact point lies at `arm` from the first body's centre along
    the outward direction. side is +1 when the first body touches outwards or is pushed back
    inwards, -1 for a roller on the inner ring.
    """

    side: float
    gap: float
    arm: float
    constant: float
    damping: float
    traction: Traction


class LandFilm(NamedTuple):
    """Oil film between cage and guiding ring, of both lands together; all 0 without a film.

    clearance [m]: radial, c; floor [m]: least film thickness, at most c/2; squeeze [N s/m]:
    eta R L^3/c^3; couette [N m s]: 2 pi eta R^3 L/c; impedance [N s/m]: what cage and land offer
    a film that closes, see `film.yielding`; stiffness [N/m] of the surfaces under a film.
    """

    clearance: float
    floor: float
    squeeze: float
    couette: float
    impedance: float
    stiffness: float


class Pocket(NamedTuple):
    """Cage pocket: tangential faces.

    radius: roller radius; half_clearance; face angle as cosine and sine; pitch_radius: radius of
    the pocket centre; low, high: extent of the bar along its face from the pitch radius [m];
    curvature of the faces [1/m], 0 for flat ones (a face angle goes with flat ones only); constant
    [N/m^(10/9)] and backing [N/m] for the full length; film: factor of the squeeze film,
    3 sqrt(2) pi eta L R^(3/2) times the oil share [N s m^(1/2)] with the radius R of roller and
    face together; floor [m]: least film thickness;
    impedance [N s/m]: what the bar offers a film, see `film.yielding`. backing and impedance are
    those of the bar ahead of the first pocket; `Tables.bar_share` leads to the others.
    """

    radius: float
    half_clearance: float
    cosine: float
    sine: float
    pitch_radius: float
    low: float
    high: float
    curvature: float
    constant: float
    backing: float
    damping: float
    film: float
    floor: float
    impedance: float
    traction: Traction


class PocketFrame(NamedTuple):
    """Directions along the orbit (t) and outwards (r) fixed to a tilted body, with pocket errors.

    tz and rz are the axial parts -u.t and -u.r; shift moves the pocket centre along t [m]; extra
    opens each half of the clearance [m].
    """

    tx: float
    ty: float
    tz: float
    rx: float
    ry: float
    rz: float
    shift: float
    extra: float


class BarGap(NamedTuple):
    """Gap of a roller slice to a bar: thickness [m], approach [m/s], direction n, contact point a
    from the roller centre [m], velocity v of the roller's surface relative to the bar [m/s].
    """

    thickness: float
    approach: float
    nx: float
    ny: float
    nz: float
    ax: float
    ay: float
    az: float
    vx: float
    vy: float
    vz: float


class EndPair(NamedTuple):
    """Roller end against a plane of a ring or of the cage, touched at two points of the end.

    half_length: of the roller; half_gap: axial play to each side; radial, tangential: offsets of
    the points from the roller axis [m]; stiffness of one point [N/m]; film [N s m^2] and floor
    [m] of the squeeze film; impedance [N s/m] of the plane behind it. base, cover: 1 where the
    plane exists, else 0.
    """

    half_length: float
    half_gap: float
    radial: float
    tangential: float
    stiffness: float
    damping: float
    film: float
    floor: float
    impedance: float
    base: float
    cover: float
    traction: Traction


class Inertia(NamedTuple):
    """Mass [kg], inertia about the own axis and across it [kg m^2]."""

    mass: float
    axial: float
    transverse: float


class Drag(NamedTuple):
    """Resistance of the oil-air mixture.

    roller_force [N s^2/m^2], roller_spin [N m s^2], cage_spin [N m s^2]; rotor [N s/m] and
    rotor_tilt [N m s]: damping of the inner ring against the housing.
    """

    roller_force: float
    roller_spin: float
    cage_spin: float
    rotor: float
    rotor_tilt: float


class Tables(NamedTuple):
    """Arrays: per pocket and per slice numbers, locks.

    pocket_cos, pocket_sin: nominal pocket angle; pocket_shift [m]: pitch error along the orbit;
    pocket_extra [m]: additional half clearance; bar_share (2 Z,): stiffness behind the leading,
    then the trailing face of every pocket over `Pocket.backing`; bar_root (2 Z,): its square root;
    end_share (2 Z,): of base, then cover over `EndPair.stiffness` of the cage; slice_z [m],
    slice_drop [m], slice_weight [-], filled up by slices of no weight;
    free: 1 for a free degree of freedom and 0 for a locked one in the order of
    `rollsim.kernels.layout.LOCK_NAMES`.
    """

    pocket_cos: np.ndarray
    pocket_sin: np.ndarray
    pocket_shift: np.ndarray
    pocket_extra: np.ndarray
    bar_share: np.ndarray
    bar_root: np.ndarray
    end_share: np.ndarray
    slice_z: np.ndarray
    slice_drop: np.ndarray
    slice_weight: np.ndarray
    free: np.ndarray


class Model(NamedTuple):
    """Everything constant that the right-hand side needs."""

    count: int
    spatial: int
    guidance: int
    land_z: float
    roller: Inertia
    cage: Inertia
    ring: Inertia
    outer: RoundPair
    inner: RoundPair
    land: RoundPair
    land_film: LandFilm
    pocket: Pocket
    ends: EndPair
    outer_flange: EndPair
    inner_flange: EndPair
    drag: Drag
    duty: Duty
    course: Course
    drive: Drive
    seat: Seat
    shaft: Shaft
    offset: Offset
    shaking: Shaking
    tables: Tables


class Parts(NamedTuple):
    """What the rates of cage, rings and shaft need of a model, with one array in place of all.

    Functions that branch take this: the compiler counts references to every array of their
    arguments.
    """

    count: int
    cage: Inertia
    ring: Inertia
    drag: Drag
    duty: Duty
    drive: Drive
    seat: Seat
    shaft: Shaft
    offset: Offset
    free: np.ndarray
