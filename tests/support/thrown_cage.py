"""A small preloaded bearing whose cage is thrown along its land, and the orbit it settles into.

Loaded by path, as the folders of the tests are no packages.
"""

import importlib.util
import math
from pathlib import Path
from typing import NamedTuple

import numpy as np

from rollsim.analysis.orbit_measures import whirl_speed
from rollsim.case.change import changed_case
from rollsim.case.read import parse_case
from rollsim.kernels.layout import cage_offset
from rollsim.model.build import build_model

_PATH = Path(__file__).with_name("planar_case.py")
_SPEC = importlib.util.spec_from_file_location("planar_case_for_thrown_cage", _PATH)
bench = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(bench)

TEXT = """
[case]
name = "bearing of the whirl tests"
[bearing]
bore_mm = 80
outside_diameter_mm = 140
width_mm = 26
pitch_diameter_mm = 110
[roller]
count = 14
diameter_mm = 14
length_mm = 14
[cage]
outer_diameter_mm = 120
inner_diameter_mm = 100
base_ring_thickness_mm = 4
cover_thickness_mm = 4
guidance = "outer_ring"
[cage.closure]
kind = "steel_rivet"
diameter_mm = 3
[clearance]
radial_um = -6
pocket_um = 600
guidance_um = 400
[lubricant]
viscosity_mPas = 10
oil_fraction = 0.0
land_film = "none"
[duty]
speed_rpm = 3000
duration_s = 1
settle_s = 0.01
radial_load_kN = 0.0
gravity = false
"""


class Settled(NamedTuple):
    """Means over the second half of a run, SI units.

    `rolling` is the whirl speed at which the cage rolls on its guide without slip: both surfaces
    meet at one speed, omega_ring (e + R) - omega_cage R = Omega e, R counted from the cage centre
    to the contact and negative where it lies opposite to the eccentricity (guide inside). `creep`
    is the force along the orbit over the speed at which a roller gives way to it on both raceways,
    D = (mu/s)(Q_inner + Q_outer), mean of all rollers, N s/m.
    """

    whirl: float
    cage_speed: float
    rolling_cage_speed: float
    ring_speed: float
    radius: float
    rolling: float
    land_force: float
    pocket_forces: float
    cage_mass: float
    roller_surface: float
    creep: float
    imbalance: float

    @property
    def ratio(self):
        """Whirl speed over cage speed."""
        return self.whirl / self.cage_speed

    @property
    def centripetal(self):
        """Force that keeps the cage on its circle."""
        return self.cage_mass * self.radius * self.whirl**2


def without_pockets(model):
    """The model without pockets, films in them and drag: the land alone acts on the cage."""
    pocket = model.pocket._replace(half_clearance=1.0, film=0.0)
    drag = model.drag._replace(**dict.fromkeys(model.drag._fields, 0.0))
    return model._replace(pocket=pocket, drag=drag)


def thrown(ratio, radius=0.98, duration=0.3, change=None, **changes):
    """Run a cage that starts at `radius` (in clearances) and whirls at `ratio` cage speeds.

    A dot in a key of `changes` is written as two underscores.
    """
    values = {key.replace("__", "."): value for key, value in changes.items()}
    built = build_model(changed_case(parse_case(TEXT, "whirl test"), values))
    model = change(built.model) if change else built.model
    z, c = model.count, cage_offset(model.count)
    start = bench.centred(built)
    start[c : c + 2] = radius * model.land.gap, 0.0
    start[c + 3 : c + 5] = 0.0, ratio * built.cage_speed * radius * model.land.gap
    problem = bench.make_problem(built, change=change, start=start)
    samples, _ = bench.record(problem, duration, interval=5e-5)
    late = samples.times > 0.5 * duration
    states, out = samples.states[late], samples.outputs[late]
    place = states[:, c] + 1j * states[:, c + 1]
    cage_speed, e = float(states[:, c + 5].mean()), float(np.abs(place).mean())
    duty = built.case.duty
    inside = built.case.cage.guidance == "inner_ring"
    ring = (duty.speed_rpm if inside else duty.outer_speed_rpm) * math.pi / 30.0
    arm, law = model.land.arm, model.inner.traction
    return Settled(
        whirl=whirl_speed(place, states[:, c + 3] + 1j * states[:, c + 4]),
        cage_speed=cage_speed,
        rolling_cage_speed=built.cage_speed,
        ring_speed=ring,
        radius=e,
        rolling=(ring * (e + arm) - cage_speed * arm) / e,
        land_force=float(out[:, 8 * z : 8 * z + 2].sum(axis=1).mean()),
        pocket_forces=float(out[:, 2 * z : 4 * z].sum(axis=1).mean()),
        cage_mass=model.cage.mass,
        roller_surface=model.pocket.radius * abs(float(built.roller_spin) - built.cage_speed),
        creep=float(out[:, : 2 * z].sum(axis=1).mean()) / z * law.friction / law.slip_scale,
        imbalance=model.cage.mass * math.hypot(*model.offset),
    )
