"""Bouncing contacts of the kernels: restitution, duration and peak of impacts.

Sources: Hunt and Crossley, J. Appl. Mech. 42 (1975) for the force; the exact relation
ln((1 + x)/(1 - e x)) = x (1 + e), x = (3/2) alpha v0 (Marhefka and Orin 1999), which holds for
any exponent; energy balance for the peak.
"""

import importlib.util

import pytest

from rollsim.kernels.pocket import bar_planar
from rollsim.kernels.round_contact import round_planar
from rollsim.kernels.types import Disc
from rollsim.model.damping import alpha_from_restitution, impact_duration_factor
from rollsim.verification.impacts import bounce, exact_restitution


@pytest.fixture(scope="module")
def model(repository):
    """Model of the small bearing of the kernel tests."""
    path = repository / "tests" / "support" / "planar_case.py"
    spec = importlib.util.spec_from_file_location("planar_case_for_hunt_crossley", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module.make_built().model


def _raceway(model, side, damping):
    """Force of a raceway contact on a body that comes straight at it."""
    pair = (model.outer if side > 0.0 else model.inner)._replace(damping=damping)
    ring = Disc(0.0, 0.0, 0.0, 0.0, 0.0)

    def force(depth, rate):
        """Normal force at a depth."""
        body = Disc(side * (pair.gap + depth), 0.0, side * rate, 0.0, 0.0)
        return round_planar(body, ring, pair).normal

    return force


def _bar(model, side, damping, backing):
    """Force of a pocket bar without film on a roller that comes straight at it."""
    pocket = model.pocket._replace(damping=damping, film=0.0, backing=backing)

    def force(depth, rate):
        """Normal force at a depth."""
        at = side * (pocket.half_clearance + depth)
        motion = (at, pocket.pitch_radius, side * rate, 0.0)
        return bar_planar(motion, 0.0, pocket, side, 0.0, 0.0).normal

    return force


CASES = ["outer", "inner", "stiff bar", "soft bar", "trailing bar"]


def _force(model, case, damping):
    """Force law of a named contact, 10/9 power, in series with a spring or nearly linear."""
    if case in ("outer", "inner"):
        return _raceway(model, 1.0 if case == "outer" else -1.0, damping)
    side = -1.0 if case == "trailing bar" else 1.0
    return _bar(model, side, damping, {"stiff bar": 1e14, "soft bar": 1e6}.get(case, 3e7))


@pytest.mark.parametrize("case", CASES)
@pytest.mark.parametrize(("damping", "speed"), [(0.0, 0.1), (0.2, 0.3), (0.5, 1.0), (4.0, 0.5)])
def test_restitution_of_every_contact(model, case, damping, speed):
    """Rebound within 1e-5 of the exact relation, whatever the stiffness law."""
    rebound, _, _ = bounce(_force(model, case, damping), 0.18, speed, 1e-5)
    exact = exact_restitution(1.5 * damping * speed) if damping else 1.0
    assert rebound == pytest.approx(exact, abs=1e-5)


@pytest.mark.parametrize("wanted", [0.9, 0.7, 0.5, 0.3])
def test_wanted_restitution_is_delivered(model, wanted):
    damping = alpha_from_restitution(wanted, 0.25)
    rebound, _, _ = bounce(_raceway(model, 1.0, damping), 0.18, 0.25, 1e-5)
    assert rebound == pytest.approx(wanted, abs=1e-5)


def test_small_damping_loses_alpha_v(model):
    """Hunt and Crossley 1975: e = 1 - alpha v0 for small alpha v0."""
    rebound, _, _ = bounce(_raceway(model, 1.0, 0.05), 0.18, 0.1, 1e-5)
    assert 1.0 - rebound == pytest.approx(0.05 * 0.1, rel=0.01)


def test_peak_pocket_force_by_energy(model):
    """0.1 kg roller at 0.1 m/s on 2e8 N/m^(10/9) and a heavy cage: 231.994 N by energy."""
    stiff = model._replace(pocket=model.pocket._replace(constant=2e8))
    _, _, peak = bounce(_bar(stiff, 1.0, 0.0, 1e14), 0.1, 0.1, 1e-6)
    assert peak == pytest.approx(231.994, rel=2e-4)


def test_duration_of_an_impact(model):
    """T = k d*/v with k = 3.09049 for the exponent 10/9 (closed form)."""
    pair = model.outer
    n = 10.0 / 9.0
    deepest = ((n + 1.0) * 0.18 * 0.2**2 / (2.0 * pair.constant)) ** (1.0 / (n + 1.0))
    _, duration, peak = bounce(_raceway(model, 1.0, 0.0), 0.18, 0.2, deepest)
    assert duration == pytest.approx(3.09049 * deepest / 0.2, rel=1e-4)
    assert impact_duration_factor(n) == pytest.approx(3.09049, abs=1e-5)
    assert peak == pytest.approx(pair.constant * deepest**n, rel=1e-3)
