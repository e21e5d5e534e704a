"""Solid model of a sector beside the frame: words, plain data, picture."""

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from rollsim.case.read import load_case

pytest.importorskip("skfem")
CASES = Path(__file__).parents[3] / "cases"


@pytest.fixture(scope="module")
def found(tmp_path_factory):
    """Riveted cage of the shipped cases on two coarse meshes."""
    from rollsim.structure.sector_compare import compare_sector

    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("ROLLSIM_CACHE", str(tmp_path_factory.mktemp("sector")))
        case = load_case(CASES / "dewatering_screen_riveted.toml")
        return compare_sector(case, 1000.0, refines=(0.4, 0.5))


def test_words(found):
    from rollsim.report.sector_text import sector_text

    text = sector_text(found)
    for words in (
        "1000 N axially of every roller on the cover",
        "stiffness of the cover N/um",
        "Frame and solid agree within 15 %.",
        "notch factor of the formula",
        "Convergence",
        "radial play",
        "licensed engineer",
    ):
        assert words in text
    assert all(len(line) <= 100 for line in text.splitlines())
    far = replace(found.values[0], frame=2.0 * found.values[0].solid)
    apart = sector_text(replace(found, values=(far, *found.values[1:])))
    assert "More than 15 % apart: stiffness of the cover." in apart


def test_plain_data(found):
    from rollsim.report.sector_text import sector_dict

    content = json.loads(json.dumps(sector_dict(found), allow_nan=False))
    names = [own["name"] for own in content["compared"]]
    assert names == ["stiffness of the cover", "axial force", "shear force, radial", "moment"]
    assert [own["unknowns"] for own in content["meshes"]] == [own.unknowns for own in found.meshes]
    assert content["notch"]["place"] == "rivet head fillet"


def test_picture_shows_every_piece(found, tmp_path):
    from rollsim.report.sector_figures import _outline, _pieces, draw_sector

    picture = draw_sector(found, tmp_path / "sector.png")
    assert Path(picture.path).stat().st_size > 20000
    pieces = _pieces(found)
    assert len(pieces) == 3 and np.all(np.sum(pieces, axis=0) == 1)
    # Outline of the cover's two parts: as long as their sides.
    edges = _outline(found.cut.places[pieces[2]] * 1e3)
    length = np.linalg.norm(edges[:, 0] - edges[:, 1], axis=1).sum()
    assert length == pytest.approx(4 * 4.5 + 2 * (10.0 - 5.0), rel=0.02)
