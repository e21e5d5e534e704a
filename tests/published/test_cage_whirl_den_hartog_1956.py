"""Dry whirl: a body that rubs in its guide is driven round it until it rolls without slip.

Den Hartog, Mechanical Vibrations (1956), on a shaft that rubs in its guard, from memory: friction
pushes the shaft against its rotation and it whirls backwards, at most at Omega = -omega R/c. With
a guide that turns: Omega e = omega_ring (e + R) - omega_cage R (`Settled.rolling`).

Gupta, Advanced Dynamics of Rolling Elements (1984), is often quoted with the statement that the
whirl of a cage follows the rotation of the ring that guides it (from memory). Dry friction obeys
that for a guide outside, and turns it round for a guide inside: its surface, which is faster than
the cage, drags the bore of the cage along, at the place opposite to the eccentricity.
"""

import importlib.util

import pytest

INSIDE = {"cage__guidance": "inner_ring"}
INNER = {"duty__speed_rpm": 1000.0, "duty__outer_speed_rpm": 0.0}
OUTER = {"duty__speed_rpm": 0.0, "duty__outer_speed_rpm": 1000.0}
DRY = {"lubricant__land_friction": 0.5, "lubricant__raceway_friction": 0.03}
#: guide, what turns, sense of the rolling whirl against the rotation of the cage
DIRECTIONS = [({}, INNER, -1.0), ({}, OUTER, 1.0), (INSIDE, INNER, -1.0), (INSIDE, OUTER, 1.0)]
NAMES = ["standing ring outside", "turning ring outside", "turning ring inside",
         "standing ring inside"]  # fmt: skip


@pytest.fixture(scope="module")
def cage(repository):
    """The module tests/support/thrown_cage.py."""
    path = repository / "tests" / "support" / "thrown_cage.py"
    spec = importlib.util.spec_from_file_location("thrown_cage_for_den_hartog", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def _slowly_driven(cage, ratio, guide, turning):
    """A cage kept at its speed, alone in its land; slow, so that the land hardly gives way."""
    slow = {key: 0.3 * value for key, value in turning.items()}
    return cage.thrown(
        ratio, 1.0, 0.2, change=cage.without_pockets, solver__locked=["cage_angle"],
        lubricant__land_friction=0.3, lubricant__sliding_slip_scale_m_per_s=0.01,
        clearance__guidance_um=800.0, **guide, **slow,
    )  # fmt: skip


@pytest.mark.parametrize(("guide", "turning", "sense"), DIRECTIONS, ids=NAMES)
def test_a_driven_cage_ends_rolling_on_its_guide(cage, guide, turning, sense):
    found = _slowly_driven(cage, 4.0 * sense, guide, turning)
    assert found.whirl == pytest.approx(found.rolling, rel=5e-3)
    assert sense * found.ratio > 50.0
    assert found.land_force == pytest.approx(found.centripetal, rel=1e-2)


@pytest.mark.parametrize(("guide", "turning", "sense"), DIRECTIONS, ids=NAMES)
def test_friction_brakes_a_whirl_in_the_other_sense(cage, guide, turning, sense):
    found = _slowly_driven(cage, -4.0 * sense, guide, turning)
    assert abs(found.ratio) < 2.0


@pytest.mark.parametrize(("guide", "turning", "sense"), DIRECTIONS[:2], ids=NAMES[:2])
def test_a_cage_among_its_rollers_does_the_same(cage, guide, turning, sense):
    """The speed of the cage gives way, so that it rolls far below -omega R/c of a quiet cage."""
    found = cage.thrown(10.0 * sense, **DRY, **guide, **turning)
    assert 0.8 < found.whirl / found.rolling < 1.02
    assert sense * found.ratio > 15.0
    # Rollers that are carried along push the cage outwards: they add to its mass.
    assert 0.9 < found.land_force / found.centripetal < 1.6


@pytest.mark.long
@pytest.mark.parametrize(("guide", "turning", "sense"), DIRECTIONS[2:], ids=NAMES[2:])
def test_a_cage_guided_by_the_inner_ring_too(cage, guide, turning, sense):
    found = cage.thrown(10.0 * sense, **DRY, **guide, **turning)
    assert 0.8 < found.whirl / found.rolling < 1.02
    assert sense * found.ratio > 15.0
    assert 0.9 < found.land_force / found.centripetal < 1.6


def test_without_friction_a_thrown_cage_is_neither_driven_nor_braked(cage):
    """Nothing at a dry land takes the whirl away: that is what the oil film does."""
    found = cage.thrown(-10.0, 1.0, 0.1, lubricant__land_friction=0.0)
    assert -11.0 < found.ratio < -7.0
    oil = {"lubricant__land_film": "short_bearing", "lubricant__land_oil_fraction": 0.2}
    assert abs(cage.thrown(-10.0, 1.0, 0.1, lubricant__land_friction=0.0, **oil).ratio) < 2.0
