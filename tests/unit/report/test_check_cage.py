"""What `rollsim check` says of the stiffness behind the pocket faces."""

from pathlib import Path

import numpy as np
import pytest

from rollsim.case.change import changed_case
from rollsim.case.read import parse_case
from rollsim.kernels.line_contact import series_line_force
from rollsim.report.check_cage import contact_stiffness, stiffness_warnings
from rollsim.report.check_text import check_case, check_text
from rollsim.structure.elasticity import cage_elasticity

CASE = (Path(__file__).parents[2] / "data" / "case_six_rollers.toml").read_text("utf-8")
BAR, ENDS = "cage.bar_stiffness_N_per_um", "cage.end_stiffness_N_per_um"


@pytest.fixture
def case():
    """Six rollers, six rivets."""
    return parse_case(CASE)


def test_stiffness_of_the_frame_and_its_source(case):
    found = check_case(case, trial=False)
    backing = cage_elasticity(case).backing
    for face in ("bar", "cover", "base"):
        value = found["cage"][f"stiffness_behind_{face}_N_per_um"]
        assert value == pytest.approx(1e-6 * getattr(backing, face)[0])
    assert found["cage"]["source_of_stiffness"] == "bar, cover, base: frame model of this cage"
    text = check_text(found)
    assert "softest" not in text and "leading" not in text
    assert "from the frame model of this cage" in text


def test_given_stiffness_is_told_as_given(case):
    found = check_case(changed_case(case, {BAR: 31.0}), trial=False)["cage"]
    assert found["stiffness_behind_bar_N_per_um"] == pytest.approx(31.0)
    assert found["source_of_stiffness"].startswith("bar: given in the case; cover, base: frame")
    found = check_case(changed_case(case, {BAR: 31.0, ENDS: 9.0}), trial=False)["cage"]
    assert found["source_of_stiffness"] == "bar, cover, base: given in the case"


def test_pockets_beside_a_missing_rivet_are_listed_one_by_one(case):
    weak = changed_case(case, {"cage.closure.stiffness_factors": [[3, 0.0]]})
    found = check_case(weak, trial=False)
    rows = found["pocket_stiffness"]
    leading, trailing = (
        [row[f"{side}_N_per_um"] for row in rows] for side in ("leading", "trailing")
    )
    # Bar 3 lies ahead of pocket 3 and behind pocket 4.
    assert np.argmin(leading) == 2 and np.argmin(trailing) == 3
    softest = found["cage"]["stiffness_behind_softest_bar_N_per_um"]
    assert softest == pytest.approx(min(leading)) and softest < 0.5 * max(leading)
    text = check_text(found).splitlines()
    head = next(k for k, line in enumerate(text) if "N/um, pocket" in line)
    assert [line.split()[0] for line in text[head + 1 : head + 7]] == list("123456")


def test_whole_stiffness_is_that_of_the_law_of_the_pockets():
    constant, backing, force = 1.3e9, 2.4e7, 800.0
    approach = force / contact_stiffness(constant, backing, force)
    assert series_line_force(approach, constant, backing)[0] == pytest.approx(force, rel=1e-9)


def test_given_stiffness_far_from_the_frame_is_warned_of(case):
    """More than a factor of two to either side; the frame's own values and near ones pass."""
    bar, cover, base = (1e-6 * own[0] for own in cage_elasticity(case).backing)
    assert stiffness_warnings(case) == []
    assert stiffness_warnings(changed_case(case, {BAR: 1.9 * bar})) == []
    (line,) = stiffness_warnings(changed_case(case, {BAR: 2.1 * bar}))
    assert line.startswith("cage.bar_stiffness_N_per_um") and "behind the bar" in line
    soft = changed_case(case, {ENDS: 0.4 * min(cover, base)})
    assert [line.partition("behind the ")[2][:5] for line in stiffness_warnings(soft)] == [
        "cover",
        "base ",
    ]
    assert stiffness_warnings(soft)[0] in check_case(soft, trial=False)["warnings"]
