"""From [lubricant] to viscosity, film and traction constants."""

import importlib.util
import math

import pytest

from rollsim.kernels.traction import grip
from rollsim.kernels.types import TractionLaw
from rollsim.model.lubrication import raceway_film
from rollsim.model.pairs import film_viscosity, raceway_pairs
from rollsim.model.viscosity import running_viscosity, viscosity_at

GRADE = {"lubricant__grade_iso_vg": 68.0, "lubricant__temperature_C": 70.0}


@pytest.fixture(scope="module")
def bench(repository):
    """The module tests/support/planar_case.py."""
    path = repository / "tests" / "support" / "planar_case.py"
    spec = importlib.util.spec_from_file_location("planar_case_for_lubrication", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def _assumptions(built):
    return {item.key: item for item in built.assumptions}


def test_viscosity_of_a_grade_reaches_every_film(bench):
    """VG 68 at 70 degrees C: 19.85 mm2/s times 848.5 kg/m3 (D341 by hand)."""
    walther = [math.log10(math.log10(nu + 0.7)) for nu in (68.0, 8.53)]
    share = math.log10(343.15 / 313.15) / math.log10(373.15 / 313.15)
    kinematic = 10 ** (10 ** (walther[0] + share * (walther[1] - walther[0]))) - 0.7
    expected = 1e-6 * kinematic * 880.0 * (1.0 - 6.5e-4 * 55.0)
    built = bench.make_built(**GRADE, lubricant__raceway_traction="ehl")
    assert running_viscosity(built.case) == pytest.approx(expected, rel=1e-3)
    assert film_viscosity(built.case) == pytest.approx(0.3 * expected, rel=1e-3)
    plain = bench.make_built()
    share = running_viscosity(built.case) / 0.02
    assert built.model.pocket.film / plain.model.pocket.film == pytest.approx(share)
    films = [model.model.land_film.couette for model in (built, plain)]
    assert films[0] / films[1] == pytest.approx(share)
    assert built.model.outer.traction.oil.viscosity == running_viscosity(built.case)


def test_a_curve_needs_no_index(bench):
    built = bench.make_case(
        lubricant__viscosity_40C_mm2_per_s=68.0, lubricant__viscosity_100C_mm2_per_s=8.7,
        lubricant__temperature_C=40.0, lubricant__density_15C_kg_per_m3=900.0,
    )  # fmt: skip
    assert running_viscosity(built) == pytest.approx(68e-6 * 900.0 * (1.0 - 6.5e-4 * 25.0))
    assert viscosity_at(40.0, 68.0, 8.7) == pytest.approx(68.0)


def test_law_of_the_raceways(bench):
    """Reduced radius of each raceway, boundary friction, switch of the rolling resistance."""
    outer, inner = raceway_pairs(bench.make_case(lubricant__raceway_traction="ehl"))
    assert outer.traction.law == inner.traction.law == TractionLaw.EHL
    for pair in (outer, inner):
        roller, reach = pair.arm, pair.side * pair.gap + pair.arm
        oil = pair.traction.oil
        assert oil.radius == pytest.approx(1.0 / abs(1.0 / roller - 1.0 / reach), rel=1e-12)
        assert pair.traction.friction == 0.12
        assert oil.rolling > 0.0
    off = raceway_pairs(
        bench.make_case(lubricant__raceway_traction="ehl", lubricant__rolling_resistance=False)
    )
    assert off[0].traction.oil.rolling == off[1].traction.oil.rolling == 0.0
    assert raceway_pairs(bench.make_case())[0].traction.law == TractionLaw.COULOMB


def test_grease_starves_the_raceways_and_says_so(bench):
    oil, grease = (bench.make_built(lubricant__kind=kind) for kind in ("oil", "grease"))
    films = [raceway_film(built) for built in (oil, grease)]
    assert films[1].inner.thickness / films[0].inner.thickness == pytest.approx(0.7)
    assert films[1].inner.ratio / films[0].inner.ratio == pytest.approx(0.7)
    key = "lubricant.starvation_factor"
    assert (_assumptions(oil)[key].value, _assumptions(grease)[key].value) == (1.0, 0.7)
    assert "common practice, no source" in _assumptions(grease)[key].why
    given = bench.make_built(lubricant__kind="grease", lubricant__starvation_factor=0.4)
    assert raceway_film(given).inner.thickness == pytest.approx(0.4 * films[0].inner.thickness)
    assert key not in _assumptions(given)


def test_pressure_viscosity_is_an_assumption_with_its_value(bench):
    built = bench.make_built()
    found = _assumptions(built)["lubricant.pressure_viscosity_per_GPa"]
    assert found.value == pytest.approx(10.0 * (0.6 + 0.965 * math.log10(20.0)), abs=1e-4)
    given = bench.make_built(lubricant__pressure_viscosity_per_GPa=30.0)
    assert raceway_film(given).pressure_viscosity == pytest.approx(30e-9)
    ratio = raceway_film(given).outer.thickness / raceway_film(built).outer.thickness
    assert ratio == pytest.approx((30.0 / found.value) ** 0.54, rel=1e-4)


def test_film_at_the_static_load_is_what_the_kernel_takes(bench):
    """Thickness and lambda of both raceways through the share of the asperities."""
    built = bench.make_built(lubricant__raceway_traction="ehl", lubricant__thermal_factor=0.9)
    films = raceway_film(built)
    for film, pair in ((films.outer, built.model.outer), (films.inner, built.model.inner)):
        held = grip(film.load, film.entrainment, pair.traction)
        assert held.friction == pytest.approx(0.12 / (1.0 + film.ratio) ** 2, rel=1e-6)
        assert 0.2e-6 < film.thickness < 1.0e-6
        assert film.least == film.thickness
        assert 0.4e9 < film.pressure < 0.7e9
    assert films.inner.thickness < films.outer.thickness
    assert films.inner.load == built.statics.inner_force.max()
    assert films.warnings == ()


def test_entrainment_of_both_raceways(bench):
    """(D^2 - d^2)/(4 D) times the relative speed, both raceways alike but for the clearance."""
    films = raceway_film(bench.make_built(duty__speed_rpm=-600.0, duty__outer_speed_rpm=600.0))
    expected = (0.182**2 - 0.026**2) / (4.0 * 0.182) * 2.0 * 600.0 * math.pi / 30.0
    assert films.outer.entrainment == pytest.approx(expected, rel=1e-3)
    assert films.inner.entrainment == pytest.approx(expected, rel=1e-3)


def test_pan_hamrock_tells_the_least_film_too(bench):
    films = raceway_film(bench.make_built(lubricant__film_formula="pan_hamrock"))
    assert 1.0 < films.inner.thickness / films.inner.least < 1.4


def test_nothing_rolls_no_film(bench):
    films = raceway_film(bench.make_built(duty__speed_rpm=0.0))
    assert films.outer is None and films.inner is None


def test_use_outside_the_range_of_a_formula_is_told(bench):
    slow = raceway_film(bench.make_built(duty__speed_rpm=0.5, **GRADE))
    assert any("inner raceway: speed parameter U" in text for text in slow.warnings)
    light = raceway_film(bench.make_built(duty__radial_load_kN=0.2))
    assert any("outer raceway: load parameter W" in text for text in light.warnings)
    thin = bench.make_built(lubricant__grade_iso_vg=10.0, lubricant__temperature_C=160.0)
    assert any("ASTM D341" in text for text in raceway_film(thin).warnings)
