"""A cage out of balance whirls in step with its rotation once its centrifugal force lifts it.

Jeffcott (1919) for the synchronous whirl of an unbalanced rotor, from memory. The cage rests on
its land while the centrifugal force of its imbalance is less than its weight, u omega^2 < m g; far
beyond it turns with the imbalance outwards and presses with (u + m e) omega^2.
"""

import importlib.util

import pytest

G0 = 9.80665


@pytest.fixture(scope="module")
def cage(repository):
    """The module tests/support/thrown_cage.py."""
    path = repository / "tests" / "support" / "thrown_cage.py"
    spec = importlib.util.spec_from_file_location("thrown_cage_for_jeffcott", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize("film", ["none", "short_bearing"])
@pytest.mark.parametrize("imbalance", [20.0, 1500.0])
def test_synchronous_whirl_of_a_cage_out_of_balance(cage, imbalance, film):
    found = cage.thrown(
        0.5, 0.5, cage__imbalance_gmm=imbalance, duty__gravity=True,
        lubricant__land_film=film, lubricant__land_oil_fraction=0.05,
    )  # fmt: skip
    lifted = found.imbalance * found.cage_speed**2 / (found.cage_mass * G0)
    if imbalance < 100.0:
        assert lifted < 0.2
        assert abs(found.ratio) < 0.2
        return
    assert lifted > 5.0
    assert found.ratio == pytest.approx(1.0, abs=0.03)
    force = (found.imbalance + found.cage_mass * found.radius) * found.cage_speed**2
    assert found.land_force == pytest.approx(force, rel=0.15)
