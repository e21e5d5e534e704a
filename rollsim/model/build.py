"""From a case to the numbers of the kernels."""

import json
import math
from dataclasses import asdict, dataclass, field

import numpy as np

from rollsim.case.environments import used_environments
from rollsim.case.schema import Assumption
from rollsim.kernels.types import Drag, Inertia, Model
from rollsim.model import lands, pairs
from rollsim.model.duty import (
    cage_offset_of,
    drive_constants,
    duty_assumptions,
    duty_constants,
    duty_course,
    housing_seat,
    shaft_constants,
    start_speeds,
    static_load,
    weighed,
)
from rollsim.model.elasticity import backing_in_force, elasticity_assumptions
from rollsim.model.inertia import (
    cage_inertia,
    closure_circle,
    flange_height,
    inner_ring_inertia,
    roller_inertia,
)
from rollsim.model.kinematics import (
    centrifugal_force,
    diameter_ratio,
    epicyclic_cage_speed,
    epicyclic_roller_spin,
)
from rollsim.model.load_rating import case_rating
from rollsim.model.pockets import start_azimuths
from rollsim.model.profile import profile_assumptions
from rollsim.model.raceway_oil import starvation_factor
from rollsim.model.recording.told import recording_assumptions, summary_data
from rollsim.model.roller_guidance import guidance_clearance
from rollsim.model.statics import StaticContacts, StaticEquilibrium, static_equilibrium
from rollsim.model.stiffness import series_constant
from rollsim.model.tables import model_tables
from rollsim.model.vibration import VibrationSummary, build_vibration
from rollsim.model.viscosity import running_pressure_viscosity
from rollsim.units import KN, MM, NS_PER_MM, RPM_TO_RAD_S, UM

#: Drag coefficient of a roller across the oil-air mixture and friction factor of wetted surfaces:
#: orders of magnitude, common practice without source.
ROLLER_DRAG_COEFFICIENT = 1.2
SURFACE_FRICTION_FACTOR = 0.01
#: Damping of the inner ring over critical damping.
ROTOR_DAMPING_RATIO = 0.02


@dataclass(frozen=True)
class BuiltModel:
    """The kernels' constants of a case and what follows from them.

    model: Model; statics: static state at the start; azimuths: array (Z,), rad, of the rollers at
    the start; cage_speed, roller_spin: epicyclic, rad/s; vibration: VibrationSummary;
    assumptions: the case's and the model's own; case: the Case; seed: of the initial scatter.
    """

    case: object
    model: Model
    statics: StaticEquilibrium
    azimuths: np.ndarray
    cage_speed: float
    roller_spin: float
    vibration: VibrationSummary
    seed: int
    assumptions: tuple = field(default_factory=tuple)


def build_model(case, duration=None, seed=None, elasticity=None):
    """Compute everything that the right-hand side needs.

    Parameters
    ----------
    case : Case
        The case.
    duration : float or None, s
        Simulated time; that of the case when None.
    seed : int or None
        Seed of the initial scatter; that of the case when None. The vibration sources take their
        seeds from the case.
    elasticity : CageElasticity or None
        Of the cage; without it the stiffness behind the pocket faces is that of
        `backing_in_force`.

    Returns
    -------
    BuiltModel
        Constants and initial quantities.
    """
    duration = case.duty.duration_s if duration is None else duration
    seed = case.case.seed if seed is None else seed
    inner_speed = RPM_TO_RAD_S * case.duty.speed_rpm
    outer_speed = RPM_TO_RAD_S * case.duty.outer_speed_rpm
    cage_speed, spin = rolling_speeds(case, inner_speed, outer_speed)
    azimuths = start_azimuths(case, seed)
    vibration = build_vibration(case, duration)
    roller, cage, ring = _kernel_inertia(roller_inertia(case)), _cage(case), _ring(case)
    duty, course, added = duty_constants(case), duty_course(case), []
    shaft = shaft_constants(case, added)
    raceways = pairs.raceway_pairs(case)
    play = UM * case.clearance.radial_um
    start_cage_speed, _ = rolling_speeds(case, *start_speeds(case))
    load = weighed(static_load(duty, course), ring.mass + shaft.mass, duty)
    statics = _statics(raceways, play, (roller, duty), azimuths, (start_cage_speed, load))
    added.append(_rotor_mass(case, ring))
    land = lands.land_pair(case)
    backing = backing_in_force(case, elasticity)
    damping = _rotor_damping(case, raceways, statics, ring, azimuths, added)
    model = Model(
        count=case.roller.count,
        spatial=int(case.solver.motion == "spatial"),
        guidance=int(pairs.guidance_code(case)),
        land_z=_land_position(case),
        roller=roller,
        cage=cage,
        ring=ring,
        outer=raceways[0],
        inner=raceways[1],
        land=land,
        land_film=lands.land_film(case, land, cage.mass),
        pocket=pairs.pocket_faces(case, backing),
        ends=pairs.cage_ends(case, backing),
        outer_flange=pairs.flange_pair(case, "outer"),
        inner_flange=pairs.flange_pair(case, "inner"),
        drag=_drag(case, damping),
        duty=duty,
        course=course,
        drive=drive_constants(case),
        seat=housing_seat(case, added),
        shaft=shaft,
        offset=cage_offset_of(case, cage.mass),
        shaking=vibration.shaking,
        tables=model_tables(case, backing),
    )
    added += [*_computed(case, model), *duty_assumptions(case)]
    added += elasticity_assumptions(case, backing, elasticity)
    added += recording_assumptions(case, vibration.summary.recordings)
    named = {a.key: a for a in (*case.assumptions, *(a for a in added if a))}
    return BuiltModel(
        case, model, statics, azimuths, cage_speed, spin, vibration.summary, seed,
        tuple(named.values()),
    )  # fmt: skip


def rolling_speeds(case, inner_speed, outer_speed):
    """Speeds of cage and rollers that roll without slip.

    Parameters
    ----------
    case : Case
        The case.
    inner_speed : float, rad/s
        Of the inner ring.
    outer_speed : float, rad/s
        Of the outer ring.

    Returns
    -------
    cage_speed : float
        rad/s.
    roller_spin : float
        rad/s.
    """
    roller = MM * case.roller.diameter_mm
    pitch = MM * case.bearing.pitch_diameter_mm
    return (
        epicyclic_cage_speed(inner_speed, outer_speed, diameter_ratio(roller, pitch)),
        epicyclic_roller_spin(inner_speed, outer_speed, roller, pitch),
    )


def preview_duration(case):
    """Preview duration of a case.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    float
        s; the given one, else 1 s but no more than the duration.
    """
    given = case.duty.preview_s
    return min(case.duty.duration_s, 1.0) if given is None else given


def derived_attributes(built):
    """Numbers that readers of a history need, as root attributes of the file.

    Parameters
    ----------
    built : BuiltModel
        The model.

    Returns
    -------
    dict
        Attribute name -> value, units in the names.
    """
    model = built.model
    return {
        "guidance_clearance_m": guidance_clearance(model),
        "pocket_clearance_m": 2.0 * model.pocket.half_clearance,
        "pocket_shift_m": model.tables.pocket_shift,
        "pocket_extra_clearance_m": 2.0 * model.tables.pocket_extra,
        "epicyclic_cage_speed_rad_per_s": built.cage_speed,
        "epicyclic_roller_spin_rad_per_s": built.roller_spin,
        "inner_speed_rad_per_s": model.duty.inner_speed,
        "outer_speed_rad_per_s": model.duty.outer_speed,
        "roller_count": model.count,
        "pitch_radius_m": model.pocket.pitch_radius,
        "roller_radius_m": model.pocket.radius,
        "roller_mass_kg": model.roller.mass,
        "cage_mass_kg": model.cage.mass,
        "guidance": built.case.cage.guidance,
        "motion": built.case.solver.motion,
        "assumptions": json.dumps([asdict(item) for item in built.assumptions]),
        "recordings": json.dumps([summary_data(item) for item in built.vibration.recordings]),
        "environments": json.dumps([asdict(item) for item in used_environments(built.case)]),
    }


def _kernel_inertia(body):
    """BodyInertia as the kernels take it."""
    return Inertia(body.mass, body.axial, body.transverse)


def _statics(raceways, play, bodies, azimuths, speed_and_load):
    """Static state under load, weight of the rotor and centrifugal force of the rollers."""
    outer, inner = raceways
    roller, duty = bodies
    cage_speed, load = speed_and_load
    # In a turning carrier frame the rollers feel their absolute orbit speed.
    force = centrifugal_force(roller.mass, outer.gap, cage_speed + duty.carrier_speed)
    contacts = StaticContacts(outer.constant, inner.constant, play, force)
    return static_equilibrium(contacts, azimuths, load)


def _cage(case):
    """Inertia of the cage."""
    return _kernel_inertia(cage_inertia(case))


def _ring(case):
    """Inertia of inner ring and rotor share; a given mass scales the moments.

    The rotor behind a shaft stiffness is a body of its own.
    """
    body = inner_ring_inertia(case)
    mass = case.duty.rotor_mass_kg
    alone = mass is None or case.duty.shaft_stiffness_N_per_um is not None
    scale = 1.0 if alone else mass / body.mass
    return Inertia(scale * body.mass, scale * body.axial, scale * body.transverse)


def _rotor_mass(case, ring):
    """Assumption on the rotor mass, or None when given."""
    if case.duty.rotor_mass_kg is not None:
        return None
    return Assumption(
        "duty.rotor_mass_kg", round(ring.mass, 3), "kg", "inner ring alone, from its outline",
        "a heavy rotor share turns base acceleration into raceway load",
    )  # fmt: skip


def _rotor_damping(case, raceways, statics, ring, azimuths, added):
    """Damping of the inner ring against the housing, N s/m; adds the assumption made."""
    given = case.duty.rotor_damping_Ns_per_mm
    if given is not None:
        return NS_PER_MM * given
    stiffness = _ring_stiffness(raceways, statics, azimuths)
    damping = 2.0 * ROTOR_DAMPING_RATIO * math.sqrt(stiffness * ring.mass)
    added.append(
        Assumption(
            "duty.rotor_damping_Ns_per_mm", round(damping / NS_PER_MM, 4), "N s/mm",
            "2 % of critical damping of the inner ring on its loaded rollers",
            "limits the resonance of the inner ring on its rollers",
        )
    )  # fmt: skip
    return damping


def _drag(case, damping):
    """Drag coefficients, with the rotor damping in N s/m."""
    density = case.lubricant.oil_air_density_kg_per_m3
    radius = 0.5 * MM * case.roller.diameter_mm
    length = MM * case.roller.length_mm
    outer_radius = 0.5 * MM * case.cage.outer_diameter_mm
    width = length + MM * (case.cage.base_ring_thickness_mm + case.cage.cover_thickness_mm)
    surface = math.pi * density * SURFACE_FRICTION_FACTOR
    return Drag(
        roller_force=density * ROLLER_DRAG_COEFFICIENT * radius * length,
        roller_spin=surface * length * radius**4,
        cage_spin=surface * width * outer_radius**4,
        rotor=damping,
        rotor_tilt=damping * length**2 / 12.0,
    )


def _ring_stiffness(raceways, statics, azimuths):
    """Radial stiffness of the loaded bearing in its stiffest direction, N/m."""
    pair = series_constant(*(raceway.constant for raceway in raceways))
    force = np.maximum(statics.inner_force, 1.0)
    slope = 10.0 / 9.0 * pair**0.9 * force**0.1 * (statics.inner_force > 0.0)
    normals = np.column_stack([np.cos(azimuths), np.sin(azimuths)])
    matrix = (normals.T * slope) @ normals
    return max(float(np.linalg.eigvalsh(matrix)[-1]), pair**0.9)


def _land_position(case):
    """Distance of the middle of a land from the middle of the pockets."""
    cage = case.cage
    thickness = 0.5 * (cage.base_ring_thickness_mm + cage.cover_thickness_mm)
    pocket = case.roller.length_mm + 1e-3 * case.clearance.pocket_axial_um
    return 0.5 * MM * (pocket + thickness)


def _computed(case, model):
    """Assumptions whose value the model computed."""
    rows = (
        ("roller.effective_length_mm", pairs.effective_length(case) / MM, "mm"),
        ("bearing.dynamic_load_rating_kN", case_rating(case) / KN, "kN"),
        ("cage.mass_kg", model.cage.mass, "kg"),
        ("cage.land_width_mm", lands.land_width(case) / MM, "mm"),
        ("lubricant.land_oil_fraction", lands.land_oil_fraction(case), ""),
        ("cage.cover_load_diameter_mm", case.bearing.pitch_diameter_mm, "mm"),
        ("bearing.flange_height_mm", flange_height(case) / MM, "mm"),
        ("cage.closure.count", case.roller.count, ""),
        ("cage.closure.circle_diameter_mm", closure_circle(case) / MM, "mm"),
        ("lubricant.starvation_factor", starvation_factor(case), ""),
        ("lubricant.pressure_viscosity_per_GPa", 1e9 * running_pressure_viscosity(case), "1/GPa"),
        ("duty.preview_s", preview_duration(case), "s"),
    )
    known = {item.key: item for item in case.assumptions}
    found = []
    for key, value, unit in rows:
        if key in known:
            old = known[key]
            found.append(Assumption(key, round(value, 4), unit, old.why, old.effect))
    found += profile_assumptions(case.roller)
    if case.solver.motion == "spatial" and case.roller.slices == 1:
        found.append(
            Assumption(
                "solver.locked", "tilt of rollers and inner ring", "",
                "one slice cannot resist tilting; give 3 or more slices to let them tilt",
                "no skew and no tilt is computed",
            )
        )  # fmt: skip
    return found
