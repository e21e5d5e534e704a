"""Friction of the cage above a critical coefficient turns a quiet cage into a whirling one.

Kingsbury and Walker, Motions of an unstable retainer in an instrument ball bearing, ASME J. of
Tribology 116 (1994), and Gupta, Advanced Dynamics of Rolling Elements (1984): the trend, from
memory; they speak of balls, the coefficients are not comparable. The force and the bounds are
closed forms of our own.

Friction in the pockets: a cage displaced by e along n is met by its rollers at both ends of the
diameter across n, which push it back along -n with sum(F) = m e Omega^2; the surfaces of rollers
that spin against the cage rub it along +n turned by 90 degrees: the whirl is fed in the sense
against the spin of the rollers, at most until it is as fast as their surfaces, Omega e = r |spin|.
Rollers that give way on the raceways, at the speed F/D under a force F, brake it: with one roller
at each end the balance mu sum(F) e Omega = sum(F^2)/D gives Omega = 2 mu D/m, a bound because
impacts brake as well.
"""

import importlib.util

import pytest

from rollsim.analysis.whirl import whirl
from rollsim.case.change import changed_case
from rollsim.case.read import load_case
from rollsim.history.reader import open_history
from rollsim.simulation.run import run

TIGHT = {"clearance__pocket_um": 150.0, "clearance__guidance_um": 800.0}
OUTER = {"duty__speed_rpm": 0.0, "duty__outer_speed_rpm": 3000.0}


@pytest.fixture(scope="module")
def cage(repository):
    """The module tests/support/thrown_cage.py."""
    path = repository / "tests" / "support" / "thrown_cage.py"
    spec = importlib.util.spec_from_file_location("thrown_cage_for_kingsbury", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def _quiet(found):
    """It stays with its rollers and hardly pushes them."""
    assert found.whirl == pytest.approx(found.cage_speed, rel=0.2)
    assert found.pocket_forces < 3.0


def _whirls(found, friction):
    """It overtakes its rollers and they hold it on its circle."""
    bound = 2.0 * friction * found.creep / found.cage_mass
    assert 0.25 < found.whirl / bound < 1.0
    assert found.ratio > 3.0
    assert found.pocket_forces > 4.0
    assert found.pocket_forces == pytest.approx(found.centripetal, rel=0.3)
    assert found.whirl * found.radius < found.roller_surface


@pytest.mark.parametrize("friction", [0.1, 0.5])
def test_friction_in_the_pockets_makes_a_quiet_cage_whirl(cage, friction):
    """The critical coefficient of this bearing lies between 0.20 and 0.25."""
    found = cage.thrown(0.5, 0.17, lubricant__pocket_friction=friction, **TIGHT)
    if friction < 0.3:
        _quiet(found)
    else:
        _whirls(found, friction)


@pytest.mark.long
@pytest.mark.parametrize("friction", [0.0, 0.05, 0.15, 0.3, 0.4, 0.7])
def test_critical_friction_in_the_pockets(cage, friction):
    found = cage.thrown(0.5, 0.17, lubricant__pocket_friction=friction, **TIGHT)
    if friction < 0.2:
        _quiet(found)
    else:
        _whirls(found, friction)


@pytest.mark.long
@pytest.mark.parametrize(("scale", "friction"), [(0.02, 0.2), (0.3, 0.5)])
def test_the_critical_coefficient_rises_with_the_creep_of_the_rollers(cage, scale, friction):
    """Rollers that creep little let a cage whirl that stays quiet otherwise, and the other way."""
    found = cage.thrown(
        0.5, 0.17, lubricant__pocket_friction=friction,
        lubricant__raceway_slip_scale_m_per_s=scale, **TIGHT,
    )  # fmt: skip
    if scale < 0.1:
        assert found.ratio > 3.0
        assert found.pocket_forces == pytest.approx(found.centripetal, rel=0.3)
    else:
        _quiet(found)


def test_the_whirl_goes_against_the_spin_of_the_rollers(cage):
    """Seen from the cage rollers spin backwards if the inner ring turns, forwards if the outer."""
    friction = {"lubricant__pocket_friction": 0.5, **TIGHT}
    backward = cage.thrown(-6.0, 0.17, **friction, **OUTER)
    assert backward.ratio < -3.0
    assert backward.pocket_forces == pytest.approx(backward.centripetal, rel=0.3)
    assert -backward.whirl * backward.radius < backward.roller_surface


@pytest.mark.long
@pytest.mark.parametrize(("throw", "turning"), [(-6.0, {}), (6.0, OUTER)])
def test_a_throw_in_the_other_sense_is_braked(cage, throw, turning):
    found = cage.thrown(throw, 0.17, lubricant__pocket_friction=0.5, **TIGHT, **turning)
    assert 0.0 < found.ratio < 1.5
    assert found.pocket_forces < 3.0


@pytest.mark.long
@pytest.mark.parametrize(("friction", "found"), [(0.05, "quiet"), (0.5, "whirls")])
def test_friction_at_the_land_of_a_shaken_cage(cases_folder, tmp_path, friction, found):
    """Critical between 0.25 and 0.3 in this case; sense and bound: rolling on the land."""
    case = load_case(cases_folder / "planer_spindle_dry_land.toml")
    file = run(changed_case(case, {"lubricant.land_friction": friction}), tmp_path / "cage.h5")
    with open_history(file) as history:
        result = whirl(history)
    surface = 0.5e-3 * case.cage.outer_diameter_mm * result.cage_speed
    if found == "quiet":
        assert abs(result.whirl_ratio) < 1.0
        assert result.verdict.name != "regular circular"
        assert result.cage_slip.mean < 0.05
    else:
        assert result.verdict.name == "regular circular"
        assert 0.8 < -result.whirl_speed * result.mean_radius / surface < 1.0
        assert result.cage_slip.mean > 0.5


@pytest.mark.long
def test_oil_at_the_land_keeps_the_shaken_cage_down(cases_folder, tmp_path):
    case = load_case(cases_folder / "planer_spindle_wet_land.toml")
    with open_history(run(case, tmp_path / "cage.h5")) as history:
        result = whirl(history)
    assert abs(result.whirl_ratio) < 0.5
    assert result.roundness.offset > 0.7
    assert result.cage_slip.mean < 0.05
