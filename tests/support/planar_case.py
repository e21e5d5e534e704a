"""Cases, models and states for tests of the kernels: one small bearing, changed where needed.

Loaded by path, as the folders of the tests are no packages.
"""

from dataclasses import replace
from typing import NamedTuple

import numpy as np

from rollsim.case.change import changed_case
from rollsim.case.read import parse_case
from rollsim.kernels.layout import (
    cage_offset,
    cage_tail_offset,
    inner_turn_offset,
    outer_tail_offset,
    output_size,
    planar_size,
    state_size,
)
from rollsim.kernels.rhs import rhs
from rollsim.model.build import build_model
from rollsim.model.initial import error_scales, initial_state
from rollsim.simulation.marches import march_of
from rollsim.simulation.problem import Problem
from rollsim.simulation.recording import Recording, Samples
from rollsim.verification.bearing import TEXT


class Made(NamedTuple):
    """A built model and the initial value problem made of it."""

    built: object
    problem: Problem


def make_case(**changes):
    """The case with values changed; a dot in a key is written as two underscores.

    A roller guided cage gets pocket sides that lean by 5 degrees: parallel ones would not hold it.
    """
    if changes.get("cage__guidance") == "roller":
        changes.setdefault("cage__pocket_side_angle_deg", 5.0)
    case = parse_case(TEXT, "kernel test")
    return changed_case(case, {key.replace("__", "."): value for key, value in changes.items()})


def make_built(**changes):
    """Built model of the changed case."""
    return build_model(make_case(**changes))


def make_problem(built, tolerance=None, change=None, start=None, longest=None):
    """Problem of a built model whose constants are passed through `change`."""
    solver = built.case.solver
    return Problem(
        change(built.model) if change else built.model,
        initial_state(built) if start is None else start,
        error_scales(built, solver.tolerance if tolerance is None else tolerance),
        1e-6 * solver.max_step_us if longest is None else longest,
    )


def without_friction(pair):
    """A contact pair without friction and damping, and without a film where it has one."""
    changes = {"traction": pair.traction._replace(law=0, friction=0.0), "damping": 0.0}
    if "film" in pair._fields:
        changes["film"] = 0.0
    return pair._replace(**changes)


def conservative(model):
    """The model without friction, damping, films and drag."""
    names = ("outer", "inner", "land", "pocket", "ends", "outer_flange", "inner_flange")
    pairs = {name: without_friction(getattr(model, name)) for name in names}
    film = model.land_film._replace(squeeze=0.0, couette=0.0)
    return model._replace(
        land_film=film, drag=model.drag._replace(**dict.fromkeys(model.drag._fields, 0.0)), **pairs
    )


def squeezed(model, overlap=4e-6):
    """The model with negative clearances, so that every face of every contact carries load."""
    return model._replace(
        outer=model.outer._replace(gap=model.outer.gap - 60e-6),
        inner=model.inner._replace(gap=model.inner.gap - 60e-6),
        land=model.land._replace(gap=0.0),
        pocket=model.pocket._replace(half_clearance=-overlap),
        ends=model.ends._replace(half_gap=-overlap),
        outer_flange=model.outer_flange._replace(half_gap=-overlap, base=1.0, cover=1.0),
        inner_flange=model.inner_flange._replace(half_gap=-overlap, base=1.0, cover=1.0),
    )


def centred(built):
    """Initial state with evenly spaced rollers on the pitch circle and a centred inner ring."""
    even = 2.0 * np.pi * np.arange(built.model.count) / built.model.count
    statics = replace(built.statics, displacement=np.zeros(2), radial_offset=np.zeros(len(even)))
    return initial_state(replace(built, azimuths=even, statics=statics))


def disturbed(start, count, seed, length=1e-6, speed=0.05, tilt=2e-5):
    """A state with random motion and tilts added to rollers, cage and inner ring."""
    generator = np.random.default_rng(seed)
    noise = generator.uniform(-1.0, 1.0, len(start))
    p, c, turn = planar_size(count), cage_offset(count), inner_turn_offset(count)
    scale = np.zeros(state_size(count))
    scale[: 2 * count] = length
    scale[2 * count : 4 * count] = speed
    scale[4 * count : 5 * count] = speed / 0.013
    cage = [length, length, length / 0.091, speed, speed, speed / 0.091]
    scale[c:turn] = [*cage, length, length, speed, speed]
    scale[p : p + count] = length
    scale[p + count : p + 3 * count] = tilt
    scale[p + 3 * count : p + 4 * count] = speed
    scale[p + 4 * count : p + 6 * count] = speed / 0.091
    body = [length, tilt, tilt, speed, speed / 0.091, speed / 0.091]
    scale[cage_tail_offset(count) : outer_tail_offset(count)] = [*body, *body]
    return start + scale * noise


def evaluate(model, state, time=0.0):
    """Rates and contact output at a state, as new arrays."""
    rates = np.zeros(state_size(model.count))
    out = np.zeros(output_size(model.count))
    rhs(time, state, rates, out, model)
    return rates, out


def record(problem, duration, interval=1e-3, name="dormand_prince", rows=100000):
    """Samples of a march to `duration`, all blocks joined; and the counters."""
    recording = Recording(problem.model.count, interval, rows, 1.0, problem.longest_step)
    march = march_of(name, problem, recording, duration)
    last = round(duration / interval)
    blocks = []
    while march.next_sample <= last:
        recording.start_block(march.next_sample)
        failure = march.advance()
        blocks.append(recording.take(march.next_sample))
        assert not failure, failure
        assert len(blocks[-1].times), "no progress"
    joined = [np.concatenate([getattr(b, f) for b in blocks]) for f in Samples.__annotations__]
    return Samples(*joined), march.counters()
