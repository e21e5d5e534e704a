"""The planar mechanism in a general-purpose physics engine: MuJoCo, where it is installed.

The engine has no hollow cylinder and no contact law of line contacts: the outer raceway is made of
facets, rollers and inner raceway are spheres that move in one plane, contacts are its own soft
constraints with the stiffness of a loaded roller, and the cage has no guiding land. So this is the
nearest the engine comes, not the same model; its cost is what is compared.
"""

import math
import time

import numpy as np

SIMULATED_S = 0.02
STEPS_US = (10.0, 5.0)
#: Facets of the outer raceway: their middles stand off from its circle by 1 um.
FACETS = 720
_PLATE_M = 0.5e-3


def engine_cost(case, problem):
    """Processor seconds per simulated second of the engine by step, and the load that it finds."""
    try:
        import mujoco
    except ImportError:
        return {"skipped": "MuJoCo is not installed (pip install .[benchmark])"}
    found = {"version": mujoco.__version__, "steps": {}}
    for step in STEPS_US:
        model = mujoco.MjModel.from_xml_string(engine_text(case, problem, 1e-6 * step))
        found["steps"][step] = _march(mujoco, model, case, problem)
    return found


def _march(mujoco, model, case, problem):
    """Steps with the imposed acceleration as a varying gravity."""
    from rollsim.model.shaking import imposed_acceleration

    data = mujoco.MjData(model)
    spin = 2.0 * math.pi * case.duty.speed_rpm / 60.0
    steps = round(SIMULATED_S / model.opt.timestep)
    shaking = imposed_acceleration(problem.model.shaking, model.opt.timestep * np.arange(steps))
    load = np.zeros(3)
    load[1] = -1e3 * case.duty.radial_load_kN
    inner = model.body("inner").id
    driven = model.joint("inner_spin").dofadr[0]
    spent, greatest = 0.0, 0.0
    force = np.zeros(6)
    for number in range(steps):
        model.opt.gravity[:] = -shaking[number]
        data.xfrc_applied[inner, :3] = load
        data.qvel[driven] = spin
        began = time.process_time()
        mujoco.mj_step(model, data)
        spent += time.process_time() - began
        if number >= steps // 2 and number % 50 == 0:
            largest = 0.0
            for contact in range(data.ncon):
                mujoco.mj_contactForce(model, data, contact, force)
                largest = max(largest, force[0])
            greatest = max(greatest, largest)
    return {
        "seconds_per_simulated_second": spent / SIMULATED_S,
        "contacts": int(data.ncon),
        "largest_force_N": greatest,
        "finite": bool(np.all(np.isfinite(data.qpos))),
    }


def engine_text(case, problem, step):
    """The mechanism in the engine's own words."""
    model = problem.model
    radius, pitch = 0.5e-3 * case.roller.diameter_mm, 0.5e-3 * case.bearing.pitch_diameter_mm
    play = 0.25e-6 * case.clearance.radial_um
    # Stiffness of a raceway at half the radial load over the mass of a roller, 1/s^2.
    force = 0.5e3 * case.duty.radial_load_kN
    rigidity = model.outer.constant**0.9 * force**0.1 * 10.0 / 9.0 / model.roller.mass
    contact = f'solref="{-rigidity:.6g} {-0.4 * math.sqrt(rigidity):.6g}" solimp="0.95 0.95 1e-6"'
    bodies = [_facets(pitch + radius + play), _inner(model, pitch - radius - play)]
    bodies += [_roller(model, k, pitch, radius) for k in range(model.count)]
    bodies.append(_cage(case, model, pitch, radius))
    return (
        f'<mujoco><option timestep="{step}" integrator="implicitfast" cone="elliptic"/>'
        f'<size memory="64M"/><default><geom {contact} friction="0.05 0 0" condim="3"/></default>'
        f"<worldbody>{''.join(bodies)}</worldbody></mujoco>"
    )


def _plane_joints(name):
    """Joints of a body that moves in the plane."""
    return (
        f'<joint name="{name}_x" type="slide" axis="1 0 0"/>'
        f'<joint name="{name}_y" type="slide" axis="0 1 0"/>'
        f'<joint name="{name}_spin" type="hinge" axis="0 0 1"/>'
    )


def _inertia(part):
    """Mass and inertia of a body; only that about its own axis counts in the plane."""
    return (
        f'<inertial pos="0 0 0" mass="{part.mass:.9g}" '
        f'diaginertia="{part.axial:.9g} {part.axial:.9g} {part.axial:.9g}"/>'
    )


def _facets(raceway):
    """Outer raceway as a ring of flat boxes in the world."""
    half = raceway * math.tan(math.pi / FACETS)
    boxes = []
    for k in range(FACETS):
        angle = 2.0 * math.pi * k / FACETS
        x, y = ((raceway + 2e-3) * part for part in (math.cos(angle), math.sin(angle)))
        boxes.append(
            f'<geom type="box" size="0.002 {half:.9g} 0.02" pos="{x:.9g} {y:.9g} 0" '
            f'euler="0 0 {math.degrees(angle):.9g}" contype="1" conaffinity="0"/>'
        )
    return "".join(boxes)


def _inner(model, raceway):
    """Inner ring with its raceway as a sphere."""
    return (
        f'<body name="inner">{_plane_joints("inner")}{_inertia(model.ring)}'
        f'<geom type="sphere" size="{raceway:.9g}" contype="1" conaffinity="0"/></body>'
    )


def _roller(model, k, pitch, radius):
    """One roller as a sphere."""
    angle = 2.0 * math.pi * k / model.count
    x, y = pitch * math.cos(angle), pitch * math.sin(angle)
    return (
        f'<body name="roller{k}" pos="{x:.9g} {y:.9g} 0">{_plane_joints(f"roller{k}")}'
        f"{_inertia(model.roller)}"
        f'<geom type="sphere" size="{radius:.9g}" contype="0" conaffinity="1"/></body>'
    )


def _cage(case, model, pitch, radius):
    """Cage whose pockets have two flat faces each."""
    away = radius + 0.5e-6 * case.clearance.pocket_um + 0.5 * _PLATE_M
    plates = []
    for k in range(model.count):
        angle = 2.0 * math.pi * k / model.count
        for side in (-1.0, 1.0):
            x = pitch * math.cos(angle) - side * away * math.sin(angle)
            y = pitch * math.sin(angle) + side * away * math.cos(angle)
            plates.append(
                f'<geom type="box" size="0.005 {0.5 * _PLATE_M:.9g} 0.02" '
                f'pos="{x:.9g} {y:.9g} 0" euler="0 0 {math.degrees(angle):.9g}" '
                f'contype="1" conaffinity="0"/>'
            )
    return (
        f'<body name="cage">{_plane_joints("cage")}{_inertia(model.cage)}{"".join(plates)}</body>'
    )
