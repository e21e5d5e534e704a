"""Histories of section forces of the floating cage."""

from itertools import pairwise

import numpy as np
import pytest
from cage_cases import cage_case
from scipy.integrate import solve_ivp
from scipy.signal import lfilter
from scipy.sparse.linalg import splu

from rollsim.errors import RollsimError
from rollsim.structure.cage_frame import build_cage_frame
from rollsim.structure.cage_history import cage_recovery, oscillator_filter
from rollsim.structure.cage_influence import cage_influence
from rollsim.structure.cage_solution import pocket_loads


@pytest.fixture(scope="module")
def frame():
    return build_cage_frame(cage_case("tenon"))


@pytest.fixture(scope="module")
def recovery(frame):
    return cage_recovery(frame, cage_influence(frame), 80)


def half_sine(duration, step, last):
    """Half-sine pulse of 1 N, then nothing."""
    time = np.arange(0.0, last, step)
    return np.where(time < duration, np.sin(np.pi * time / duration), 0.0)


def on_bar(recovery, history):
    """History on bar 0 alone."""
    amounts = np.zeros((len(history), len(recovery.participation)))
    amounts[:, recovery.influence.columns("bar")[0]] = history
    return amounts


def marched(frame, history, step):
    """The same by a direct march of all motions: mean acceleration method, undamped."""
    load = pocket_loads(frame, bars=np.eye(18)[0]).ravel()
    stiffness, mass = frame.stiffness, frame.mass
    factors = splu((stiffness + 4.0 / step**2 * mass).tocsc())
    place = np.zeros(len(load))
    speed, acceleration = np.zeros_like(place), splu(mass.tocsc()).solve(load * history[0])
    places = [place]
    for force in history[1:]:
        push = mass @ (4.0 / step**2 * place + 4.0 / step * speed + acceleration)
        new = factors.solve(load * force + push)
        newer = 4.0 / step**2 * (new - place) - 4.0 / step * speed - acceleration
        speed = speed + 0.5 * step * (acceleration + newer)
        place, acceleration = new, newer
        places.append(place)
    ends = frame.beams.end_forces(np.array(places).reshape(len(history), -1, 6))
    return -ends[:, [frame.beams.where(f"bar {j}")[0] for j in range(18)], :6]


def error(found, wanted):
    """Root mean square of the error over that of the history, for the moments of bar 0."""
    size = np.sqrt(np.mean(wanted[:, 0, 4] ** 2))
    return np.sqrt(np.mean((found[:, 0, 4] - wanted[:, 0, 4]) ** 2)) / size


@pytest.mark.parametrize(("duration", "bound"), [(0.3e-3, 0.1), (1e-3, 0.05)])
def test_modes_with_static_share_follow_a_direct_march(frame, recovery, duration, bound):
    step = 5e-6
    history = half_sine(duration, step, 2.5e-3)
    amounts = on_bar(recovery, history)
    wanted = marched(frame, history, step)
    own = error(recovery.history("bar_base", amounts, step, 0.0), wanted)
    assert own < bound
    # As if at rest it is several times worse.
    resting = recovery.history("bar_base", amounts, step, 0.0, "quasi_static")
    assert error(resting, wanted) > 3.0 * own


def test_slow_loads_are_quasi_static(recovery):
    step = 1e-4
    slow = on_bar(recovery, 0.5 - 0.5 * np.cos(2.0 * np.pi * np.arange(0.0, 0.2, step) / 0.2))
    assert recovery.difference("bar_base", slow, step, 0.01) < 0.02
    short = on_bar(recovery, half_sine(0.5e-3, 1e-5, 4e-3))
    assert recovery.difference("bar_base", short, 1e-5, 0.01) > 0.2


def test_loads_that_have_stood_for_ever_ring_nothing(recovery):
    amounts = np.ones((50, len(recovery.participation)))
    assert recovery.vibration(amounts, 1e-4, 0.01) == pytest.approx(np.zeros((50, 80)), abs=1e-18)


@pytest.mark.parametrize("pace", [0.05, 1.0, 4.0])
def test_oscillator_filter_is_exact_for_linear_pieces(pace):
    speed, damping = 300.0, 0.02
    step = pace / speed
    force = np.array([0.0, 1.0, -0.5, 2.0, 2.0, 0.0, 0.0, 1.0])
    found = lfilter(*oscillator_filter(speed, damping, step), force)
    # Second route: the differential equation, integrated to 11 digits, step by step.
    state, expected = np.zeros(2), [0.0]
    for one, two in pairwise(force):

        def rates(t, y, one=one, two=two):
            pull = one + (two - one) * t / step
            return [y[1], pull - 2.0 * damping * speed * y[1] - speed**2 * y[0]]

        state = solve_ivp(rates, (0.0, step), state, rtol=1e-11, atol=1e-16).y[:, -1]
        expected.append(state[0])
    assert found == pytest.approx(expected, rel=1e-7, abs=1e-14)


def test_what_does_not_fit_is_refused(recovery):
    good = np.zeros((3, len(recovery.participation)))
    with pytest.raises(RollsimError, match="bar_base"):
        recovery.history("elbow", good, 1e-4, 0.01)
    with pytest.raises(RollsimError, match="quasi_static"):
        recovery.history("head", good, 1e-4, 0.01, "fast")
    with pytest.raises(RollsimError, match="loads"):
        recovery.history("head", good[:, 1:], 1e-4, 0.01)
