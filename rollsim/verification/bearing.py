"""A small bearing for the checks that need contacts, bodies or a march, and the march."""

from functools import cache

import numpy as np

from rollsim.case.change import changed_case
from rollsim.case.read import parse_case
from rollsim.model.build import build_model
from rollsim.model.initial import error_scales
from rollsim.simulation.marches import march_of
from rollsim.simulation.problem import Problem
from rollsim.simulation.recording import Recording

#: Tolerance at which a method has to come out right to many digits; that of a case is larger.
TIGHT = 1e-9

TEXT = """
[case]
name = "bearing of the published checks"
seed = 3
[bearing]
bore_mm = 130
outside_diameter_mm = 230
width_mm = 64
pitch_diameter_mm = 182
[roller]
count = 18
diameter_mm = 26
length_mm = 44
[cage]
outer_diameter_mm = 198
inner_diameter_mm = 178
base_ring_thickness_mm = 5
cover_thickness_mm = 4.5
guidance = "outer_ring"
[cage.closure]
kind = "steel_rivet"
diameter_mm = 5
circle_diameter_mm = 190
[clearance]
radial_um = 60
pocket_um = 300
guidance_um = 400
[duty]
speed_rpm = 1200
duration_s = 1
settle_s = 0.01
radial_load_kN = 20
"""


@cache
def small_bearing(motion="planar", extra=()):
    """Model of a bearing of 182 mm pitch diameter with 18 rollers, 20 kN, 1200 rpm.

    Parameters
    ----------
    motion : str
        "planar" or "spatial".
    extra : tuple of (str, value)
        Keys of the case that are given other values.

    Returns
    -------
    BuiltModel
        Built once each.
    """
    case = parse_case(TEXT, "bearing of the published checks")
    return build_model(changed_case(case, {"solver.motion": motion, **dict(extra)}))


def problem(built, model, start, tolerance=TIGHT):
    """Initial value problem with steps of at most 4 us.

    Parameters
    ----------
    built : BuiltModel
        Of which the model is.
    model : Model
        Constants, changed or not.
    start : ndarray
        Initial state.
    tolerance : float
        Share of the physical error scales.

    Returns
    -------
    Problem
        For a march.
    """
    return Problem(model, start, error_scales(built, tolerance), 4e-6)


def march(given, solver, duration, interval):
    """March a problem with a compiled method.

    Parameters
    ----------
    given : Problem
        Where to start.
    solver : str
        Name of the method.
    duration : float, s
        How far.
    interval : float, s
        Between samples; the first stands one interval after the start.

    Returns
    -------
    tuple of ndarray
        States and contact outputs at the samples.
    """
    rows = round(duration / interval) + 1
    recording = Recording(given.model.count, interval, rows, 1.0, given.longest_step)
    running = march_of(solver, given, recording, duration)
    states, outputs = [], []
    while running.next_sample < rows:
        recording.start_block(running.next_sample)
        failure = running.advance()
        block = recording.take(running.next_sample)
        if failure or not len(block.times):
            raise RuntimeError(f"the march stopped: {failure or 'no progress'}")
        states.append(block.states.copy())
        outputs.append(block.outputs.copy())
    return np.concatenate(states), np.concatenate(outputs)


def without_losses(model):
    """The model without friction, damping, films and drag.

    Parameters
    ----------
    model : Model
        Constants of the kernels.

    Returns
    -------
    Model
        Contacts that only store energy.
    """
    names = ("outer", "inner", "land", "pocket", "ends", "outer_flange", "inner_flange")
    pairs = {name: _smooth(getattr(model, name)) for name in names}
    film = model.land_film._replace(squeeze=0.0, couette=0.0)
    drag = model.drag._replace(**dict.fromkeys(model.drag._fields, 0.0))
    return model._replace(land_film=film, drag=drag, **pairs)


def _smooth(pair):
    """A contact pair without friction and damping, and without a film where it has one."""
    changes = {"traction": pair.traction._replace(law=0, friction=0.0), "damping": 0.0}
    if "film" in pair._fields:
        changes["film"] = 0.0
    return pair._replace(**changes)
