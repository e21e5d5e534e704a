"""A cage in the oil of its land whirls forward at the mean speed of the two surfaces.

Newkirk and Taylor, Shaft whipping due to oil action in journal bearings (1925), from memory: an
unloaded journal in a full film whirls at half its speed. Both surfaces turn here, so that the oil
goes round with (omega_cage + omega_ring)/2, and a film that carries nothing goes round with it;
the whirl lags a little where the film has to be squeezed to hold the cage on its circle.
"""

import importlib.util

import pytest

FILM = {"lubricant__land_film": "short_bearing", "lubricant__land_oil_fraction": 0.2}
INSIDE = {"cage__guidance": "inner_ring"}
OUTER = {"duty__speed_rpm": 0.0, "duty__outer_speed_rpm": 3000.0}
GUIDES = [({}, {}), ({}, OUTER), (INSIDE, {}), (INSIDE, OUTER)]
NAMES = ["standing ring outside", "turning ring outside", "turning ring inside",
         "standing ring inside"]  # fmt: skip


@pytest.fixture(scope="module")
def cage(repository):
    """The module tests/support/thrown_cage.py."""
    path = repository / "tests" / "support" / "thrown_cage.py"
    spec = importlib.util.spec_from_file_location("thrown_cage_for_newkirk", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def _half_speed(found):
    return 0.5 * (found.cage_speed + found.ring_speed)


@pytest.mark.parametrize(("guide", "turning"), GUIDES, ids=NAMES)
def test_a_driven_cage_alone_in_its_film_whirls_at_half_speed(cage, guide, turning):
    found = cage.thrown(
        0.2, 0.3, change=cage.without_pockets, solver__locked=["cage_angle"],
        **FILM, **guide, **turning,
    )  # fmt: skip
    assert found.whirl == pytest.approx(_half_speed(found), rel=0.02)


@pytest.mark.parametrize(("guide", "turning"), GUIDES[1:3], ids=NAMES[1:3])
def test_among_its_rollers_a_cage_on_a_turning_ring_still_does(cage, guide, turning):
    """Faster than the cage and in the sense of the guiding ring, whichever ring that is."""
    found = cage.thrown(0.5, 0.5, **FILM, **guide, **turning)
    assert found.ratio > 1.2
    assert found.whirl == pytest.approx(_half_speed(found), rel=0.06)


@pytest.mark.long
@pytest.mark.parametrize(("guide", "turning"), [GUIDES[0], GUIDES[3]], ids=[NAMES[0], NAMES[3]])
def test_on_a_standing_ring_the_rollers_take_the_cage_along(cage, guide, turning):
    """Between the half speed of the oil and the speed of the rollers, which hold the cage."""
    found = cage.thrown(0.5, 0.5, **FILM, **guide, **turning)
    assert 0.95 * _half_speed(found) < found.whirl < 1.05 * found.cage_speed


@pytest.mark.long
def test_weight_holds_the_cage_down(cage):
    """With the weight across the axis the same film finds a place at which it carries it."""
    found = cage.thrown(0.5, 0.5, duty__gravity=True, **FILM, **INSIDE)
    assert abs(found.ratio) < 0.3
