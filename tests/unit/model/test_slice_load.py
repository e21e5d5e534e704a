"""Load along tilted rollers of several profiles, against a quadrature of the slice model."""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

from rollsim.case.change import changed_case
from rollsim.kernels.layout import output_size, planar_size, state_size
from rollsim.kernels.rhs import rhs
from rollsim.model.build import build_model
from rollsim.model.initial import initial_state
from rollsim.model.profile import crowned_drop, logarithmic_drop, slice_centres
from rollsim.model.slice_load import approach_under, slice_forces

LENGTH, DIAMETER, CONSTANT = 0.042, 0.026, 2.0e9
PROFILES = {
    "straight": lambda x: 0.0 * x,
    "logarithmic": lambda x: 0.00035 * DIAMETER * np.log(1.0 / (1.0 - (2.0 * x / LENGTH) ** 2)),
    "crowned": lambda x: 40.0 - np.sqrt(40.0**2 - x**2),
}


def _drop(name, x):
    """Drop of a profile by the functions of the program."""
    if name == "logarithmic":
        return logarithmic_drop(x, LENGTH, DIAMETER)
    return crowned_drop(x, 40.0) if name == "crowned" else np.zeros_like(x)


def _integral(approach, tilt, profile, power=0):
    """Force (power 0) or moment (power 1) by adaptive quadrature, formulas written out here."""

    def density(x):
        depth = max(approach + tilt * x - float(profile(x)), 0.0)
        return CONSTANT / LENGTH * depth ** (10.0 / 9.0) * x**power

    half = LENGTH / 2.0 * (1.0 - 1e-12)
    points = np.linspace(-half, half, 41)[1:-1]
    return quad(density, -half, half, points=points, limit=400, epsrel=1e-10)[0]


@pytest.mark.parametrize("name", PROFILES)
@pytest.mark.parametrize("tilt", [0.0, 0.3e-3, 1.5e-3])
def test_forces_and_moments_of_a_tilted_roller(name, tilt):
    x = slice_centres(LENGTH, 401)
    approach = 15e-6
    forces = slice_forces(CONSTANT, approach, tilt, x, _drop(name, x))
    assert forces.sum() == pytest.approx(_integral(approach, tilt, PROFILES[name]), rel=1e-3)
    moment = _integral(approach, tilt, PROFILES[name], 1)
    assert forces @ x == pytest.approx(moment, rel=2e-3, abs=1e-9)


@pytest.mark.parametrize("name", PROFILES)
def test_approach_carries_the_force(name):
    x = slice_centres(LENGTH, 401)
    approach = approach_under(8000.0, CONSTANT, 0.4e-3, x, _drop(name, x))
    expected = brentq(lambda d: _integral(d, 0.4e-3, PROFILES[name]) - 8000.0, 1e-6, 1e-4)
    assert approach == pytest.approx(expected, rel=2e-3)


def test_a_profile_takes_load_from_the_end_of_a_tilted_roller():
    """8 kN at 0.5 mrad: the end carries most with a straight roller and less with more crown."""
    x = slice_centres(LENGTH, 401)
    ends = []
    for drop in (np.zeros_like(x), crowned_drop(x, 100.0), crowned_drop(x, 40.0),
                 crowned_drop(x, 15.0), _drop("logarithmic", x)):  # fmt: skip
        approach = approach_under(8000.0, CONSTANT, 0.5e-3, x, drop)
        ends.append(slice_forces(CONSTANT, approach, 0.5e-3, x, drop)[-1])
    straight, flat, usual, round_, logarithmic = ends
    assert straight > flat > usual > round_
    assert logarithmic < 0.5 * straight


@pytest.mark.parametrize("profile", ["straight", "logarithmic"])
def test_compiled_raceways_share_the_load_like_the_quadrature(model_case, profile):
    """One roller tilted by 0.4 mrad against the outer raceway, 41 slices, no motion."""
    changes = {"roller.slices": 41, "roller.profile": profile, "roller.effective_length_mm": 42.0}
    built = build_model(changed_case(model_case(), changes), 0.01)
    model, z = built.model, 18
    state = np.zeros(state_size(z))
    state[:] = initial_state(built)
    approach, tilt = 12e-6, 0.4e-3
    # Roller 0 stands at azimuth 0: its axis tilts outwards by u_x.
    state[0], state[z] = model.outer.gap + approach, 0.0
    state[2 * z : 5 * z] = 0.0
    p = planar_size(z)
    state[p + z : p + 3 * z] = 0.0
    state[p + z] = tilt
    out = np.zeros(output_size(z))
    rhs(0.0, state, np.zeros(state_size(z)), out, model)
    law = PROFILES[profile]
    force = _integral(approach, tilt, law) / CONSTANT * model.outer.constant
    assert out[0] == pytest.approx(force, rel=5e-3)
