"""Oscillators of the cage: one step, samples inside a step, energy, loads in the cage's frame."""

import math
from types import SimpleNamespace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from rollsim.kernels.cage_loads import (
    land_share,
    load_count,
    loads_of_channels,
    loads_of_output,
)
from rollsim.kernels.layout import output_size
from rollsim.kernels.modes import (
    LONGEST,
    advance,
    advance_modes,
    ramp_series,
    rest_modes,
    sample_modes,
    series,
    static_share,
)
from rollsim.kernels.step import Workspace
from rollsim.simulation.mode_bank import mode_bank

COUNT = 7


def modes_of(frequencies, damping, count=COUNT):
    """Modes with a participation that is different everywhere."""
    shape = (load_count(count), len(frequencies))
    participation = np.random.default_rng(4).uniform(-1.0, 1.0, shape)
    return SimpleNamespace(
        frequencies=np.array(frequencies), damping=damping, participation=participation
    )


def _moving(bank):
    """Arrays of a bank that a step changes."""
    return bank.place, bank.pace, bank.start, bank.middle, bank.end


@pytest.mark.parametrize("damping", [0.0, 0.01, 0.4])
@pytest.mark.parametrize("x", [1e-4, 0.1, LONGEST])
def test_series_are_the_closed_forms(way, damping, x):
    """s = exp(-z x) sin(b x)/b, r = 1 - s' - 2 z s, R = x - 2 z r - s with b^2 = 1 - z^2."""
    ramp, step = ramp_series(damping)
    b = math.sqrt(1.0 - damping**2)
    blow = math.exp(-damping * x) * math.sin(b * x) / b
    slope = math.exp(-damping * x) * math.cos(b * x) - damping * blow
    by_step = 1.0 - slope - 2.0 * damping * blow
    assert way(series)(step, x) * x**2 == pytest.approx(by_step, rel=1e-12, abs=1e-15)
    by_ramp = x - 2.0 * damping * by_step - blow
    assert way(series)(ramp, x) * x**3 == pytest.approx(by_ramp, rel=1e-11, abs=1e-15)


@pytest.mark.parametrize("pace", [0.05, 0.5, 4.0])
def test_linear_forces_are_answered_exactly(way, pace):
    """Against scipy's integration of each oscillator to 11 digits; pace is w h of the highest."""
    modes = modes_of([100.0, 310.0], 0.02)
    bank = mode_bank(modes, COUNT, 1)
    step = pace / bank.speed[-1]
    first, last = np.array([1.0, -2.0]), np.array([-0.5, 3.0])
    place, pace_now = np.array([0.3, 0.1]), np.array([-0.2, 0.7])
    for k, w in enumerate(bank.speed):

        def rates(t, y, k=k, w=w):
            force = first[k] + (last[k] - first[k]) * t / step
            return [w * y[1], w * (force - y[0] - 2.0 * 0.02 * y[1])]

        start = [place[k], pace_now[k]]
        found = solve_ivp(rates, (0.0, 0.7 * step), start, rtol=1e-11, atol=1e-14).y[:, -1]
        mine = place.copy(), pace_now.copy()
        way(advance)(*mine, first, last, bank, step, 0.7)
        assert [mine[0][k], mine[1][k]] == pytest.approx(list(found), rel=1e-9)


def test_free_vibration_keeps_its_energy(way):
    """(q'^2 + w^2 q^2)/2 over many steps of changing length."""
    bank = mode_bank(modes_of([200.0, 9000.0], 0.0), COUNT, 1)
    bank.place[:], bank.pace[:] = [1.0, 0.0], [0.0, 2.0]
    for step in np.random.default_rng(1).uniform(1e-7, 3e-5, 2000):
        way(advance_modes)(step, bank)
    assert bank.place**2 + bank.pace**2 == pytest.approx([1.0, 4.0], rel=1e-10)


def test_damped_vibration_decays_as_it_should(way):
    bank = mode_bank(modes_of([500.0], 0.05), COUNT, 1)
    bank.place[:] = 1.0
    b = math.sqrt(1.0 - 0.05**2)
    duration = 2.0 * math.pi / (b * bank.speed[0])
    for _ in range(50):
        way(advance_modes)(duration / 50.0, bank)
    assert bank.place[0] == pytest.approx(math.exp(-0.05 * 2.0 * math.pi / b), rel=1e-10)


@pytest.mark.parametrize("x", [0.0, 0.2, 0.5, 0.8, 1.0])
def test_samples_lie_on_the_motion_of_the_step(way, x):
    """The force bends in the middle of the step; a sample leaves the bank as it was."""
    bank = mode_bank(modes_of([300.0, 5000.0], 0.01), COUNT, 1)
    values = np.random.default_rng(2).uniform(-1.0, 1.0, (5, 2))
    for target, own in zip(_moving(bank), values, strict=True):
        target[:] = own
    step = 4e-5

    ends = values[2:]

    def rates(t, y):
        force = [np.interp(t, [0.0, 0.5 * step, step], ends[:, k]) for k in (0, 1)]
        return [*(bank.speed * y[2:]), *(bank.speed * (force - y[:2] - 0.02 * y[2:]))]

    way(sample_modes)(x, step, 0, bank)
    expected = np.array([*values[0], *values[1]])
    # Each half by itself: an integrator would trip over the bend.
    for begin, end in ((0.0, min(x, 0.5)), (0.5, x)):
        if end > begin:
            span = (begin * step, end * step)
            expected = solve_ivp(rates, span, expected, rtol=1e-11, atol=1e-14).y[:, -1]
    assert bank.samples[0] == pytest.approx(expected, rel=1e-8, abs=1e-11)
    assert np.array_equal(bank.place, values[0]) and np.array_equal(bank.start, values[2])
    if x == 1.0:
        way(advance_modes)(step, bank)
        assert [*bank.place, *bank.pace] == pytest.approx(expected, rel=1e-8, abs=1e-11)
        assert np.array_equal(bank.start, values[4])


def test_without_modes_nothing_is_looked_at(way):
    bank = mode_bank(None, COUNT, 100)
    way(advance_modes)(1e-5, bank)
    way(sample_modes)(0.5, 1e-5, 0, bank)
    assert bank.samples.size == 0


def test_participation_of_another_cage_is_refused():
    with pytest.raises(ValueError, match="participation of 57 loads and 2 modes"):
        mode_bank(modes_of([1.0, 2.0], 0.0), COUNT + 1, 1)


def some_output():
    """Contact output with every pocket face and both lands loaded."""
    out = np.zeros(output_size(COUNT))
    out[2 * COUNT : 6 * COUNT] = np.random.default_rng(3).uniform(1.0, 9.0, 4 * COUNT)
    out[8 * COUNT + 2 : 8 * COUNT + 6] = [3.0, -1.0, 2.0, 5.0]
    return out


def test_pocket_loads_by_hand(way):
    out = some_output()
    loads = np.full(load_count(COUNT), 99.0)
    way(loads_of_output)(out, 0.3, -20.0, 0, COUNT, loads)
    leading, trailing, base, cover = out[2 * COUNT : 6 * COUNT].reshape(4, COUNT)
    assert loads[:COUNT] == pytest.approx(cover)
    assert loads[COUNT : 2 * COUNT] == pytest.approx(base)
    assert loads[2 * COUNT : 3 * COUNT] == pytest.approx(leading - np.roll(trailing, -1))
    assert loads[-1] == pytest.approx(400.0)


@pytest.mark.parametrize("inside", [0, 1])
@pytest.mark.parametrize("way_of_force", np.linspace(-3.0, 3.0, 9))
def test_a_land_pushes_on_the_right_side_with_the_right_force(way, inside, way_of_force):
    """Sum of the shares in the housing frame; all radial shares push into or out of the ring."""
    angle, size, first = 12.4, 7.0, 3 * COUNT
    force = size * np.array([math.cos(way_of_force), math.sin(way_of_force)])
    loads = np.zeros(load_count(COUNT))
    way(land_share)(*force, angle, inside, first, COUNT, loads)
    radial, tangential = loads[first : first + 2 * COUNT].reshape(2, COUNT)
    assert np.count_nonzero(radial) in (1, 2) and not loads[:first].any()
    place = angle + 2.0 * math.pi * np.arange(COUNT) / COUNT
    out = np.array([np.cos(place), np.sin(place)])
    ahead = np.array([-out[1], out[0]])
    assert out @ radial + ahead @ tangential == pytest.approx(force, abs=1e-12)
    assert np.all(radial >= 0.0) if inside else np.all(radial <= 0.0)
    # The moment about the axis is that of the pitch to the third power at most.
    assert abs(tangential.sum()) < size * (2.0 * math.pi / COUNT) ** 3 / 8.0


def test_channels_give_the_loads_of_the_output(way):
    out, z = some_output(), COUNT
    expected = np.zeros(load_count(z))
    way(loads_of_output)(out, 0.3, 20.0, 1, z, expected)
    pocket = np.stack([out[k * z : (k + 1) * z] for k in range(2, 6)], axis=1)
    land = np.array([[out[8 * z + 2 + s], out[8 * z + 4 + s], 0.0] for s in (0, 1)])
    found = np.full((3, load_count(z)), 7.0)
    many = [np.array([values] * 3) for values in (pocket, land, 0.3, 20.0)]
    way(loads_of_channels)(*many, 1, found)
    assert found == pytest.approx(np.array([expected] * 3), rel=1e-14)


@pytest.mark.parametrize("guidance", ["outer_ring", "inner_ring"])
def test_static_share_is_participation_over_stiffness(way, bench, guidance):
    """At rest under the forces of the first instant; the carrier's turning counts."""
    inner = {"clearance__guidance_um": 400} if guidance == "inner_ring" else {}
    model = bench.make_built(cage__guidance=guidance, **inner).model
    model = model._replace(duty=model.duty._replace(carrier_speed=11.0))
    z = model.count
    modes = modes_of([300.0, 800.0, 4000.0], 0.02, z)
    bank = mode_bank(modes, z, 1)
    out = np.zeros(output_size(z))
    out[2 * z : 8 * z + 6] = np.random.default_rng(6).uniform(0.0, 50.0, 6 * z + 6)
    out[3 * z : 6 * z : 2] = 0.0
    state = np.zeros(5 * z + 23)
    state[5 * z + 2], state[5 * z + 5] = 0.7, 31.0
    loads = np.zeros(load_count(z))
    loads_of_output(out, 0.7, 42.0, int(guidance == "inner_ring"), z, loads)
    expected = loads @ modes.participation / bank.speed**2
    way(static_share)(out, state, bank, model, bank.end)
    assert bank.end == pytest.approx(expected, rel=1e-12)
    empty = np.zeros(1)
    work = Workspace(state, empty, empty, np.zeros((7, 1)), out, out, out, empty, empty)
    way(rest_modes)(work, bank, model)
    assert np.array_equal(bank.place, bank.start) and not bank.pace.any()
    assert bank.place == pytest.approx(expected, rel=1e-12)
