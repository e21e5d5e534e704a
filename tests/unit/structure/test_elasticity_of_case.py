"""Elasticity of the cage of a case: from its frame unless the case gives it."""

import numpy as np
import pytest

from rollsim.case.change import changed_case
from rollsim.case.read import load_case
from rollsim.structure import elasticity
from rollsim.structure.cage_frame import build_cage_frame
from rollsim.structure.cage_influence import FACES, cage_influence
from rollsim.structure.elasticity import NoFrame, cage_elasticity

BAR, ENDS = "cage.bar_stiffness_N_per_um", "cage.end_stiffness_N_per_um"
MODES = "cage.elastic_modes"
#: Bars without metal inside the circle of their rivets.
BROKEN = {"cage.pocket_side_angle_deg": -28.0, "cage.inner_diameter_mm": 168.0}


@pytest.fixture(scope="module")
def screen(request):
    """The screen with the riveted cage."""
    return load_case(request.config.rootpath / "cases" / "dewatering_screen_riveted.toml")


def test_frame_gives_what_the_case_leaves_open(screen):
    found = cage_elasticity(screen).backing
    influence = cage_influence(build_cage_frame(screen))
    for face in FACES:
        own = getattr(found, face)
        assert own.shape == (screen.roller.count,)
        assert own * influence.local_compliance(face) == pytest.approx(1.0, rel=1e-5)


def test_given_values_need_no_frame(screen, monkeypatch):
    def forbidden(case):
        raise AssertionError("no frame is needed")

    monkeypatch.setattr(elasticity, "build_cage_frame", forbidden)
    found = cage_elasticity(changed_case(screen, {BAR: 31.0, ENDS: 32.0, MODES: 0})).backing
    assert np.all(found.bar == 31e6) and np.all(found.cover == 32e6) and np.all(found.base == 32e6)


def test_one_given_value_leaves_the_others_to_the_frame(screen):
    plain = cage_elasticity(screen).backing
    found = cage_elasticity(changed_case(screen, {BAR: 31.0})).backing
    assert np.all(found.bar == 31e6)
    assert np.array_equal(found.cover, plain.cover) and np.array_equal(found.base, plain.base)


def test_cage_that_cannot_be_made_is_refused_with_the_way_out(screen):
    # The leaning pocket sides meet below the circle of rivets; the checks of the case look there.
    broken = changed_case(screen, BROKEN)
    with pytest.raises(NoFrame, match="no metal left") as refusal:
        cage_elasticity(broken)
    assert all(key in str(refusal.value) for key in (BAR, ENDS, f"{MODES} = 0"))
    assert refusal.value.exit_code == 2
    given = changed_case(broken, {BAR: 31.0, ENDS: 32.0})
    with pytest.raises(NoFrame, match=f"modes of the cage .* {MODES} = 0"):
        cage_elasticity(given)
    assert cage_elasticity(changed_case(given, {MODES: 0})).modes is None


def test_spatial_runs_have_modes_unless_told_otherwise(screen):
    assert cage_elasticity(screen).modes.frequencies.shape == (80,)
    assert cage_elasticity(changed_case(screen, {MODES: 0})).modes is None
