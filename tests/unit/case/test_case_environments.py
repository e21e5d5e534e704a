"""Integration of spectra and the table of environments."""

import math

import pytest

from rollsim.case.environments import (
    ENVIRONMENTS,
    READ,
    RECALLED,
    overall_level,
    points_in_si,
)
from rollsim.case.read import parse_case


def test_slope_of_minus_one_integrates_to_a_logarithm():
    # S = 1/f from 1 Hz to e Hz has the mean square 1
    assert overall_level([(1.0, 1.0), (math.e, 1.0 / math.e)]) == pytest.approx(1.0, rel=1e-12)


def test_slope_near_minus_one_is_smooth():
    near = overall_level([(1.0, 1.0), (math.e, (1.0 + 1e-7) / math.e)])
    assert near == pytest.approx(1.0, rel=1e-7)


def test_rising_line_integrates_like_its_power_law():
    # S = f^2 from 1 to 4: (64 - 1) / 3 = 21
    assert overall_level([(1.0, 1.0), (4.0, 16.0)]) ** 2 == pytest.approx(21.0, rel=1e-12)


def test_level_adds_up_over_breakpoints_on_one_line():
    whole = overall_level([(10.0, 2.0), (1000.0, 2.0)])
    parts = overall_level([(10.0, 2.0), (57.0, 2.0), (300.0, 2.0), (1000.0, 2.0)])
    assert parts == pytest.approx(whole, rel=1e-12)


def test_si_density_of_a_spectrum_in_g():
    assert points_in_si([(10.0, 1.0)], "g2/Hz")[0][1] == pytest.approx(96.1703842, rel=1e-8)
    assert points_in_si([(10.0, 1.0)], "(m/s2)2/Hz") == ((10.0, 1.0),)


@pytest.mark.parametrize("name", ENVIRONMENTS)
def test_environment_states_source_and_basis(name):
    item = ENVIRONMENTS[name]
    assert item.name == name
    assert item.source
    assert item.basis in (READ, RECALLED)
    frequencies = [frequency for frequency, _ in item.points]
    assert frequencies == sorted(set(frequencies))
    assert all(density > 0 for _, density in item.points)


@pytest.mark.parametrize("name", ENVIRONMENTS)
def test_case_takes_an_environment_by_name(good_text, name):
    head = good_text.split("[[vibration]]")[0]
    text = f'{head}[[vibration]]\nkind = "psd"\naxis = "x"\nenvironment = "{name}"\n'
    assert parse_case(text).vibration[0].environment == name
    assert parse_case(text).environments[name] is ENVIRONMENTS[name]
