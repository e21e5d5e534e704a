"""Friction torque of a concentric film: 2 pi eta Omega R^3 L / c (Petroff 1883)."""

import importlib.util
import math

import pytest

from rollsim.kernels.land_contact import film_planar
from rollsim.kernels.types import Disc


@pytest.fixture(scope="module")
def bench(repository):
    """The module tests/support/planar_case.py."""
    path = repository / "tests" / "support" / "planar_case.py"
    spec = importlib.util.spec_from_file_location("planar_case_for_petroff", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_printed_torque(bench):
    """20 mPas, 314.16 rad/s, R = 50 mm, L = 25 mm (two lands of 12.5), c = 100 um: 1.2337 N m."""
    built = bench.make_built(
        bearing__bore_mm=60.0, bearing__outside_diameter_mm=125.0, bearing__width_mm=44.0,
        bearing__pitch_diameter_mm=92.0, roller__count=14, roller__diameter_mm=14.0,
        roller__length_mm=16.0, cage__outer_diameter_mm=100.0, cage__inner_diameter_mm=86.0,
        cage__base_ring_thickness_mm=13.0, cage__cover_thickness_mm=13.0,
        cage__land_width_mm=12.5, clearance__guidance_um=200.0, lubricant__viscosity_mPas=20.0,
        lubricant__oil_fraction=1.0, cage__closure__diameter_mm=3.0,
        cage__closure__circle_diameter_mm=93.0, cage__pocket_side_angle_deg=0.0,
    )  # fmt: skip
    cage, ring = Disc(0.0, 0.0, 0.0, 0.0, 314.16), Disc(0.0, 0.0, 0.0, 0.0, 0.0)
    film, _ = film_planar(cage, ring, built.model.land_film)
    assert -film.moment == pytest.approx(1.2337, abs=1e-4)
    assert film.reaction == -film.moment
    assert film.heat == pytest.approx(1.2337 * 314.16, rel=1e-4)
    assert film.fx == film.fy == 0.0


@pytest.mark.parametrize("guidance", ["outer_ring", "inner_ring", "roller"])
def test_torque_of_the_small_bearing(bench, guidance):
    """Radius of the guided surface, both land widths, oil share; none where rollers guide."""
    case = {"cage__guidance": guidance, "lubricant__oil_fraction": 0.4}
    if guidance == "roller":
        case["cage__pocket_side_angle_deg"] = 5.0
    built = bench.make_built(**case)
    radius = {"outer_ring": 0.099, "inner_ring": 0.089, "roller": 0.0}[guidance]
    expected = 2.0 * math.pi * 0.02 * 0.4 * radius**3 * 0.0095 / 200e-6
    assert built.model.land_film.couette == pytest.approx(expected, rel=1e-9)
