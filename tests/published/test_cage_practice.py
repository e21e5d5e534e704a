"""Deformation and stress of a riveted cage and one with tenons: common practice, no source.

Values for 1 kN of every roller on the cover of a brass cage of about 1 kg (18 rollers 26 x 44 mm,
ring radii 89 to 99 mm, rivets of 5 mm): largest deformation 0.05 mm and 250 MPa with a tight rivet,
0.11 mm and 470 MPa with a free one, 0.048 mm and 350 MPa with a filleted tenon. Order of magnitude
and ordering only.
"""

from pathlib import Path

import pytest

from rollsim.case.read import parse_case
from rollsim.structure.sector_detail import sector_detail

pytest.importorskip("skfem")
CASES = Path(__file__).parents[2] / "cases"


def solved(name, old="", new=""):
    """Largest deformation in mm and stress in MPa of a shipped cage, by the solid sector."""
    file = CASES / f"dewatering_screen_{name}.toml"
    text = file.read_text("utf-8").replace(old, new) if old else file.read_text("utf-8")
    found = sector_detail(parse_case(text, file.name), 1000.0, refine=0.5)
    peak = max(found.fillet_stress_Pa, found.closure_stress_Pa)
    return 1e3 * found.deflection_m, 1e-6 * peak


def test_closures_rank_as_in_common_practice(tmp_path, monkeypatch):
    monkeypatch.setenv("ROLLSIM_CACHE", str(tmp_path))
    free = solved("riveted")
    tight = solved("riveted", 'hole_fit = "free"', 'hole_fit = "tight"')
    tenon = solved("tenon")
    for found, lift, stress in ((free, 0.11, 470.0), (tight, 0.05, 250.0), (tenon, 0.048, 350.0)):
        assert 0.5 * lift < found[0] < 2.0 * lift
        assert 0.5 * stress < found[1] < 2.0 * stress
    # Softest and worst where the shank is free.
    assert free[0] > 1.3 * max(tight[0], tenon[0])
    assert free[1] > 1.2 * tenon[1]
