"""Impulse, friction work, sliding and smearing channels against other ways to the numbers."""

import math

import numpy as np
import pytest

from rollsim.analysis.slip import slip
from rollsim.analysis.wear import wear
from rollsim.history import open_history
from rollsim.history.layout import CHANNELS
from rollsim.model.smearing import pressure_factors
from rollsim.simulation.run import run
from rollsim.simulation.wear_channels import QUANTUM, shortened

WORKS = [name for name in CHANNELS["history"] if name.endswith("_friction_work")]
SUMS = [*WORKS, "pocket_impulse", "land_impulse"]
SPATIAL = {"solver__motion": "spatial", "roller__slices": 3, "duty__duration_s": 0.02}


@pytest.mark.parametrize("solver", ["leapfrog", "dormand_prince", "RK45"])
def test_impulses_are_the_integrals_of_the_forces(six_rollers, run_case, solver):
    """Forces sampled at 200 kHz and integrated by the trapezoidal rule give the same impulses."""
    case = six_rollers(output__rate_Hz=200000, duty__duration_s=0.02, output__segment_s=0.02)
    history = run_case(case, solver=solver)
    force, time = history.channel("pocket_force"), history.time
    expected = np.trapezoid(force, time, axis=0)
    found = history.channel("pocket_impulse")
    assert found[-1] - found[0] == pytest.approx(expected, rel=0.01, abs=0.01 * expected.max())
    assert expected.max() > 0.01
    # Land: the sampled force holds friction of mu = 0.1 besides the normal force.
    land = np.linalg.norm(history.channel("land_force"), axis=2)
    found = history.channel("land_impulse")
    carried = np.trapezoid(land, time, axis=0)
    assert found[-1] - found[0] == pytest.approx(carried, rel=0.01)


@pytest.mark.parametrize("changes", [{}, SPATIAL])
def test_sums_never_fall_and_begin_at_nothing(six_rollers, run_case, changes):
    history = run_case(six_rollers(**changes))
    for name in SUMS:
        values = history.channel(name)
        assert np.all(np.diff(values, axis=0) >= 0.0), name
        # Multiples of the quantum: kept from rounding errors that add up.
        assert np.all(values / QUANTUM == np.round(values / QUANTUM)), name
    assert history.channel("pocket_impulse")[0].max() < 1e-2
    assert history.channel("raceway_friction_work")[-1, :, 0].min() > 0.0


def test_friction_works_are_heat_of_the_energy_book(six_rollers, run_case):
    """Without damping, films and drag, friction alone makes heat."""
    case = six_rollers(
        duty__duration_s=0.03,
        lubricant__oil_fraction=0.0,
        lubricant__oil_air_density_kg_per_m3=1e-9,
        contact__raceway_damping_s_per_m=0.0,
        contact__cage_damping_s_per_m=0.0,
        duty__rotor_damping_Ns_per_mm=0.0,
    )
    history = run_case(case)
    works = sum(float(history.channel(name)[-1].sum()) for name in WORKS)
    assert works == pytest.approx(float(history.quality()["heat"][-1]), rel=1e-3)


def test_smearing_is_pressure_times_sliding_speed(six_rollers, run_case):
    """The interval maxima reach the product of sampled force and sliding speed, closely."""
    case = six_rollers(output__rate_Hz=50000, duty__duration_s=0.02, output__segment_s=0.02)
    history = run_case(case)
    force, speed = history.channel("raceway_force"), history.channel("raceway_sliding_speed")
    product = np.sqrt(force) * np.array(pressure_factors(case)) * np.abs(speed)
    peak = history.peak("raceway_smearing")
    assert np.all(peak >= product * (1.0 - 1e-3))
    assert peak.max() == pytest.approx(product.max(), rel=0.05)
    assert np.all(speed[force == 0.0] == 0.0)


def test_sliding_speed_is_that_of_the_sampled_motion(six_rollers, run_case):
    """Outer raceway at rest: v = orbit speed * pitch radius + spin * roller radius, at w = w."""
    history = run_case(six_rollers(duty__duration_s=0.02))
    place, motion = history.channel("roller_position"), history.channel("roller_velocity")
    radius = np.linalg.norm(place[:, :, :2], axis=2)
    along = place[:, :, 0] * motion[:, :, 1] - place[:, :, 1] * motion[:, :, 0]
    roller = history.attributes["roller_radius_m"]
    expected = along / radius + history.channel("roller_spin_speed") * roller
    touching = history.channel("raceway_force")[:, :, 0] > 0.0
    found = history.channel("raceway_sliding_speed")[:, :, 0]
    assert touching.any()
    assert found[touching] == pytest.approx(expected[touching], abs=2e-5)


def test_pressure_of_a_roller_on_its_raceways(six_rollers):
    """Hertz by half width b: p = 2 Q / (pi b L), b = sqrt(4 Q R / (pi L E'))."""
    case = six_rollers()
    roller, pitch = 0.5e-3 * case.roller.diameter_mm, 0.5e-3 * case.bearing.pitch_diameter_mm
    length = 0.96e-3 * case.roller.length_mm
    modulus, force = 0.5 * 206e9 / (1.0 - 0.3**2), 3000.0
    for factor, curvature in zip(
        pressure_factors(case),
        (1.0 / roller - 1.0 / (pitch + roller), 1.0 / roller + 1.0 / (pitch - roller)),
        strict=True,
    ):
        half_width = math.sqrt(4.0 * force / curvature / (math.pi * length * modulus))
        pressure = 2.0 * force / (math.pi * half_width * length)
        assert factor * math.sqrt(force) == pytest.approx(pressure, rel=0.02)


def test_shortened_numbers_are_close():
    values = np.random.default_rng(2).normal(0.0, 1e3, 500)
    assert shortened(values) == pytest.approx(values, rel=2.0**-13)
    assert not np.array_equal(shortened(values), values)


def test_an_unfinished_run_can_be_evaluated(six_rollers, tmp_path, interrupting):
    """Four whole blocks of 10 ms, the first of them settling."""
    path = tmp_path / "stopped.h5"
    with pytest.raises(KeyboardInterrupt):
        run(six_rollers(), path, progress=interrupting(4))
    with open_history(path) as part:
        assert part.status == "running"
        found, worn = slip(part), wear(part)
        peak = part.peak("raceway_smearing")[part.time > 0.0101]
        growth = np.diff(part.channel("pocket_impulse")[[part.settled.start, -1]], axis=0)[0]
    assert found.smearing.largest == pytest.approx(peak.max(axis=(0, 1)), rel=1e-6)
    assert any("not complete" in note for note in found.notes)
    assert worn.pocket_impulse.mean * worn.duration == pytest.approx(growth)


def test_an_undisturbed_bearing_rolls_in_its_load_zone(still_case, run_case):
    """20 kN and no vibration: loaded rollers roll; unloaded ones are left to cage and drag."""
    found = slip(run_case(still_case))
    assert abs(found.spin_loaded.mean) < 0.005
    assert abs(found.orbit_loaded.mean) < 0.005
    assert 0.0 < found.loaded_share < 0.6
