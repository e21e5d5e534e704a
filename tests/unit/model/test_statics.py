"""Static equilibrium: any azimuths and loads, centrifugal force, preload, refusals."""

import numpy as np
import pytest
from scipy.optimize import minimize

from rollsim.errors import RunError
from rollsim.model.statics import (
    StaticContacts,
    load_zone_parameter,
    sjovall_radial_integral,
    static_equilibrium,
)

OUTER, INNER = 3.2e9, 2.5e9


def _azimuths(count, first=0.1):
    """Even spacing from a first roller."""
    return first + 2.0 * np.pi * np.arange(count) / count


def _contact_laws_hold(contacts, azimuths, result):
    """Check every roller of a result against the contact laws, from its position alone."""
    approach = np.cos(azimuths) * result.displacement[0] + np.sin(azimuths) * result.displacement[1]
    gap = 0.25 * contacts.clearance
    inner = np.maximum(approach - result.radial_offset - gap, 0.0)
    outer = np.maximum(result.radial_offset - gap, 0.0)
    scale = result.inner_force.max() + contacts.centrifugal
    np.testing.assert_allclose(
        contacts.inner * inner**contacts.exponent, result.inner_force, atol=1e-8 * scale
    )
    np.testing.assert_allclose(
        contacts.outer * outer**contacts.exponent, result.outer_force, atol=1e-8 * scale
    )


def test_random_bearings_come_to_rest():
    """Any clearance, preload, stiffness, load and centrifugal force: forces balance the load."""
    random = np.random.default_rng(4)
    for _ in range(150):
        count = random.integers(3, 40)
        azimuths = _azimuths(count, random.uniform(0, 6)) + random.normal(0, 0.02, count)
        size, direction = 10 ** random.uniform(0, 6), random.uniform(0, 2 * np.pi)
        contacts = StaticContacts(
            *(10 ** random.uniform(8, 10, 2)),
            clearance=random.choice([0.0, 1.0, 1.0, -1.0]) * 10 ** random.uniform(-6, -3.5),
            centrifugal=random.choice([0.0, 1.0]) * 10 ** random.uniform(0, 4),
        )
        load = size * np.array([np.cos(direction), np.sin(direction)])
        result = static_equilibrium(contacts, azimuths, load)
        assert result.residual <= 1e-9 * (size + result.inner_force.sum())
        _contact_laws_hold(contacts, azimuths, result)


def test_outer_ring_carries_the_centrifugal_force_too():
    """Outer force = inner force + F_c on every roller; unloaded ones lean on the outer ring."""
    contacts = StaticContacts(OUTER, INNER, 60e-6, 250.0)
    result = static_equilibrium(contacts, _azimuths(18), [0.0, -20e3])
    np.testing.assert_allclose(result.outer_force - result.inner_force, 250.0, rtol=1e-12)
    unloaded = result.inner_force == 0.0
    assert 5 < unloaded.sum() < 18
    rest = 15e-6 + (250.0 / OUTER) ** 0.9
    np.testing.assert_allclose(result.radial_offset[unloaded], rest, rtol=1e-12)


def test_equilibrium_is_the_lowest_potential():
    """A general minimiser of the stored energy finds the same place."""
    contacts = StaticContacts(OUTER, INNER, 40e-6)
    azimuths, load = _azimuths(14), np.array([3000.0, -5000.0])
    pair = (OUTER**-0.9 + INNER**-0.9) ** (-10.0 / 9.0)

    def potential(place):
        """Energy less work of the load, J; place in um."""
        u = 1e-6 * place
        approach = np.cos(azimuths) * u[0] + np.sin(azimuths) * u[1] - 20e-6
        squeezed = np.maximum(approach, 0.0)
        return pair * np.sum(squeezed ** (19.0 / 9.0)) * 9.0 / 19.0 - load @ u

    free = minimize(
        potential, [20.0, -30.0], method="Nelder-Mead", options={"xatol": 1e-7, "fatol": 1e-16}
    )
    result = static_equilibrium(contacts, azimuths, load)
    np.testing.assert_allclose(1e6 * result.displacement, free.x, atol=1e-4)


def test_turning_everything_turns_the_result():
    """Azimuths and load turned together give the same forces."""
    contacts = StaticContacts(OUTER, INNER, 50e-6, 30.0)
    straight = static_equilibrium(contacts, _azimuths(16), [9000.0, 0.0])
    turned = static_equilibrium(
        contacts, _azimuths(16) + 0.7, 9000.0 * np.array([np.cos(0.7), np.sin(0.7)])
    )
    np.testing.assert_allclose(turned.inner_force, straight.inner_force, rtol=1e-8, atol=1e-6)


def test_many_rollers_follow_sjovall():
    """With 300 rollers the largest load is F/(Z J_r(eps)) of the continuum."""
    contacts = StaticContacts(OUTER, INNER, 30e-6)
    result = static_equilibrium(contacts, _azimuths(300, 0.0), [1e6, 0.0])
    zone = load_zone_parameter(result.displacement[0], contacts.clearance)
    assert 0.2 < zone < 0.5
    expected = 1e6 / (300 * sjovall_radial_integral(zone))
    assert result.inner_force.max() == pytest.approx(expected, rel=2e-4)


def test_load_on_one_roller_of_three():
    """A single roller under the load carries it all."""
    result = static_equilibrium(StaticContacts(OUTER, INNER, 20e-6), _azimuths(3, 0.0), [100.0, 0])
    np.testing.assert_allclose(result.inner_force, [100.0, 0.0, 0.0], atol=1e-7)


def test_no_load():
    """Without load the ring stays centred; preload loads all rollers evenly."""
    loose = static_equilibrium(StaticContacts(OUTER, INNER, 20e-6), _azimuths(9), [0.0, 0.0])
    np.testing.assert_allclose(loose.inner_force, 0.0)
    tight = static_equilibrium(StaticContacts(OUTER, INNER, -20e-6), _azimuths(9), [0.0, 0.0])
    np.testing.assert_allclose(tight.displacement, 0.0, atol=1e-12)
    np.testing.assert_allclose(tight.inner_force, tight.inner_force[0], rtol=1e-9)
    assert tight.inner_force[0] > 100.0


def test_rollers_on_the_wrong_side_are_refused():
    """Rollers above cannot hold a load that points down."""
    azimuths = np.linspace(0.3, np.pi - 0.3, 6)
    with pytest.raises(RunError, match="cannot carry"):
        static_equilibrium(StaticContacts(OUTER, INNER, 20e-6), azimuths, [0.0, -100.0])


def test_negative_centrifugal_force_is_refused():
    """The force acts outward."""
    with pytest.raises(ValueError, match="negative"):
        static_equilibrium(StaticContacts(OUTER, INNER, 0.0, -1.0), _azimuths(9), [1.0, 0.0])
