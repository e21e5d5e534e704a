"""Shear of a film under Hertz pressure: R.-T. Lee & B. J. Hamrock, J. Tribology 112 (1990), the
"circular" law tau = tau_L x/sqrt(1 + x^2) (value from memory), summed over the contact.
"""

import math

import numpy as np
import pytest

from rollsim.kernels.traction import friction_over_slip, grip
from rollsim.kernels.types import OilFilm, Traction, TractionLaw
from rollsim.model.film_formulas import DOWSON_HIGGINSON, LubricatedContact, kernel_film

LIMIT, SLOPE, VISCOSITY, PIEZO, SPEED = 3e6, 0.06, 0.05, 1.8e-8, 8.0
CONTACT = LubricatedContact(10e-3, 20e-3, 2.28e11, VISCOSITY, PIEZO)


def summed_friction(load, slip):
    """Friction coefficient: shear stress at the local pressure over the whole contact."""
    half = math.sqrt(8.0 * load / CONTACT.length * CONTACT.radius / (math.pi * CONTACT.modulus))
    highest = 2.0 * load / (math.pi * half * CONTACT.length)
    angle = (np.arange(20000) + 0.5) / 20000 * math.pi  # x = half cos(angle)
    pressure = highest * np.sin(angle)
    film = CONTACT.radius * DOWSON_HIGGINSON.thickness(CONTACT.groups(SPEED, load))
    limit = LIMIT + SLOPE * pressure
    x = VISCOSITY * np.exp(PIEZO * pressure) * slip / (film * limit)
    stress = limit * x / np.sqrt(1.0 + x * x)
    area = half * CONTACT.length * np.sin(angle) * math.pi / 20000
    return np.sum(stress * area) / load


def model_friction(load, slip):
    """Friction coefficient of the kernel on surfaces without asperities."""
    given = OilFilm(by_roughness=1e15, limit=LIMIT, limit_slope=SLOPE, least_scale=1e-9)
    oil = kernel_film(CONTACT, DOWSON_HIGGINSON, 1.0, given)
    law = Traction(int(TractionLaw.EHL), 0.1, 0.1, 0.0, 0.0, 0.0, 0.0, oil)
    return slip * friction_over_slip(slip, law, grip(load, SPEED, law))


@pytest.mark.parametrize("load", [100.0, 1000.0, 10000.0])
def test_full_slip_gives_the_limiting_stress(load):
    """tau_0 over the mean pressure plus Lambda, whatever the distribution of pressure."""
    half = math.sqrt(8.0 * load / CONTACT.length * CONTACT.radius / (math.pi * CONTACT.modulus))
    expected = LIMIT * 2.0 * half * CONTACT.length / load + SLOPE
    assert summed_friction(load, 1e6) == pytest.approx(expected, rel=1e-3)
    assert model_friction(load, 1e6) == pytest.approx(expected, rel=1e-3)


@pytest.mark.parametrize("slip", [1e-3, 0.1, 1.0, 10.0, 100.0])
def test_mean_pressure_stands_for_the_distribution_at_light_load(slip):
    """alpha p up to 0.8: the viscosity hardly varies over the contact."""
    assert PIEZO * CONTACT.mean_pressure(10.0) < 0.8
    assert model_friction(10.0, slip) == pytest.approx(summed_friction(10.0, slip), rel=0.06)


@pytest.mark.parametrize("slip", [0.3, 1.0, 5.0])
def test_mean_pressure_under_heavy_load(slip):
    """alpha p = 12: the film slides at its limit; both ways agree within 10 %."""
    assert PIEZO * CONTACT.mean_pressure(4000.0) > 9.0
    assert model_friction(4000.0, slip) == pytest.approx(summed_friction(4000.0, slip), rel=0.1)


def test_without_pressure_effects_the_film_is_newtonian():
    """Rigid, isoviscous limit: eta s/h over the area."""
    load, slip = 50.0, 1e-3
    given = OilFilm(by_roughness=1e15, limit=1e12, limit_slope=0.0, least_scale=1e-9)
    oil = kernel_film(CONTACT, DOWSON_HIGGINSON, 1.0, given)._replace(piezo=0.0)
    law = Traction(int(TractionLaw.EHL), 0.1, 0.1, 0.0, 0.0, 0.0, 0.0, oil)
    film = CONTACT.radius * DOWSON_HIGGINSON.thickness(CONTACT.groups(SPEED, load))
    area = load / CONTACT.mean_pressure(load)
    found = load * slip * friction_over_slip(slip, law, grip(load, SPEED, law))
    assert found == pytest.approx(VISCOSITY * slip / film * area, rel=1e-9)
