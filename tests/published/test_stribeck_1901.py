"""Discrete load distribution of a cylindrical roller bearing against the classical results.

Sources: Stribeck 1901 and Sjovall 1933 (4.08 F_r/Z without clearance); inputs of Harris' worked
example of a bearing with 14 rollers (inputs from memory; expected loads are an independent
solution of the equilibrium, a regression value: the loads remembered as printed, 1915 N and
1348 N, miss equilibrium by 2.4 % and are not used).
"""

import numpy as np
import pytest

from rollsim.model.statics import StaticContacts, static_equilibrium
from rollsim.model.stiffness import (
    iso_line_constant,
    palmgren_line_constant,
    single_contact_constant,
)


def _azimuths(count, first=0.0):
    """Even spacing from a first roller."""
    return first + 2.0 * np.pi * np.arange(count) / count


def test_fourteen_rollers_with_clearance():
    """1964.7 N and 1379.2 N at 4450 N, 9.6 mm, 40.6 um clearance, two Palmgren contacts."""
    single = palmgren_line_constant(9.6e-3)
    result = static_equilibrium(StaticContacts(single, single, 40.6e-6), _azimuths(14), [4450, 0])
    expected = [1964.7, 1379.2, 0.0, 0.0]
    np.testing.assert_allclose(result.inner_force[:4], expected, rtol=5e-4, atol=1e-9)
    assert 1e6 * result.displacement[0] == pytest.approx(31.875, abs=0.001)


def test_equilibrium_holds_with_the_iso_constant():
    """sum Q cos psi = F_r to 1e-9, largest load 1956.3 N (independent solution)."""
    single = single_contact_constant(iso_line_constant(9.6e-3))
    azimuths = _azimuths(14)
    result = static_equilibrium(StaticContacts(single, single, 40.6e-6), azimuths, [4450, 0])
    assert result.inner_force @ np.cos(azimuths) == pytest.approx(4450.0, rel=1e-9)
    np.testing.assert_allclose(result.inner_force[:2], [1956.3, 1383.9], rtol=5e-5)
    assert 1e6 * result.displacement[0] == pytest.approx(32.222, abs=0.001)


def test_sixteen_rollers_come_close_to_the_continuum():
    """Q_max near 4.077 F_r/Z = 2548 N; the deflection hardly depends on the roller position."""
    single = single_contact_constant(iso_line_constant(14e-3))
    contacts = StaticContacts(single, single, 0.0)
    under = static_equilibrium(contacts, _azimuths(16), [1e4, 0])
    between = static_equilibrium(contacts, _azimuths(16, np.pi / 16), [1e4, 0])
    assert under.inner_force.max() == pytest.approx(2548.12, rel=0.012)
    assert under.inner_force.max() == pytest.approx(2552.6, abs=0.05)
    assert between.inner_force.max() == pytest.approx(2499.1, abs=0.05)
    assert 1e6 * under.displacement[0] == pytest.approx(11.201, abs=0.001)
    assert 1e6 * between.displacement[0] == pytest.approx(11.205, abs=0.001)
