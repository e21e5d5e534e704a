"""Stiffness behind the pocket faces: what is given, what is computed, what a run is told."""

import numpy as np
import pytest

from rollsim.case.change import changed_case
from rollsim.model.build import build_model
from rollsim.model.elasticity import (
    Backing,
    CageElasticity,
    CageModesData,
    backing_in_force,
    elasticity_assumptions,
    given_backing,
    modes_wanted,
)
from rollsim.model.stiffness import cage_bar_stiffness

BAR, ENDS = "cage.bar_stiffness_N_per_um", "cage.end_stiffness_N_per_um"
MODES = "cage.elastic_modes"


@pytest.fixture
def elasticity(model_case):
    """Stiffnesses that no formula gives, N/m, the same in every pocket."""
    values = (2e7, 3e7, 4e7)
    return CageElasticity(Backing(*(np.full(model_case().roller.count, v) for v in values)))


def _told(case, elasticity=None):
    """Value and reason of both keys as far as they are assumptions."""
    backing = backing_in_force(case, elasticity)
    found = elasticity_assumptions(case, backing, elasticity)
    return {item.key: (item.value, item.why) for item in found}


def test_without_elasticity_a_built_in_bar_counts_and_the_user_is_told(model_case):
    case = model_case()
    backing = backing_in_force(case)
    assert np.all(backing.bar == cage_bar_stiffness(case)) and np.all(backing.cover == 50e6)
    told = _told(case)
    assert "built in at both ends" in told[BAR][1] and "no source" in told[ENDS][1]


def test_elasticity_of_the_cage_reaches_the_model_and_the_list(model_case, elasticity):
    case = model_case()
    built = build_model(case, 0.01, elasticity=elasticity)
    assert built.model.pocket.backing == pytest.approx(2e7)
    told = {item.key: (item.value, item.why) for item in built.assumptions}
    assert told[BAR][0] == 20.0 and told[ENDS][0] == "30.0 (cover), 40.0 (base)"
    assert all("frame model of this cage" in told[key][1] for key in (BAR, ENDS))


def test_given_values_win_and_are_no_assumptions(model_case, elasticity):
    case = changed_case(model_case(), {BAR: 11.0, ENDS: 12.0, MODES: 0})
    assert given_backing(case) == {"bar": 11e6, "cover": 12e6, "base": 12e6}
    for own in (None, elasticity):
        backing = backing_in_force(case, own)
        assert [float(each[0]) for each in backing] == [11e6, 12e6, 12e6]
        assert _told(case, own) == {}


@pytest.mark.parametrize(("motion", "usual"), [("planar", 0), ("spatial", 80)])
def test_a_verdict_that_needs_modes_has_them(model_case, motion, usual):
    """Spatial runs follow them where nothing is said; a given number wins."""
    case = changed_case(model_case(), {"solver.motion": motion})
    assert modes_wanted(case) == usual
    for given in (0, 7):
        assert modes_wanted(changed_case(case, {MODES: given})) == given


def test_modes_in_force_are_told(model_case, elasticity):
    modes = CageModesData(np.ones(5), 0.01, np.ones((43, 5)), np.ones((5, 4, 6)))
    assert _told(model_case(), elasticity._replace(modes=modes))[MODES][0] == 5
    assert _told(model_case(), elasticity)[MODES][0] == 0
    value, why = _told(model_case())[MODES]
    assert value == 0 and "no frame model" in why


def test_bars_that_differ_are_told_by_their_span(model_case, elasticity):
    bars = elasticity.backing.bar.copy()
    bars[3] = 5e6
    own = CageElasticity(elasticity.backing._replace(bar=bars))
    assert _told(model_case(), own)[BAR][0] == "5 to 20"


def test_every_face_has_the_bar_and_the_ring_that_it_touches(model_case, elasticity):
    """The bar ahead of pocket 4 carries its leading and the trailing face of pocket 5."""
    bars, covers = elasticity.backing.bar.copy(), elasticity.backing.cover.copy()
    bars[3], covers[5] = 5e6, 8e6
    own = CageElasticity(elasticity.backing._replace(bar=bars, cover=covers))
    model = build_model(model_case(), 0.01, elasticity=own).model
    behind = model.pocket.backing * model.tables.bar_share.reshape(2, -1)
    assert np.argwhere(behind != 2e7).tolist() == [[0, 3], [1, 4]]
    assert behind[0, 3] == behind[1, 4] == pytest.approx(5e6)
    base, cover = 2.0 * model.ends.stiffness * model.tables.end_share.reshape(2, -1)
    assert base == pytest.approx(4e7) and np.delete(cover, 5) == pytest.approx(3e7)
    assert cover[5] == pytest.approx(8e6)
