"""Section forces of closures: symmetry, order of magnitude, ordering of executions."""

import numpy as np
import pytest
from cage_cases import cage_case

from rollsim.errors import RollsimError
from rollsim.structure.closure import closure_model
from rollsim.structure.cover_frame import build_cover_frame
from rollsim.structure.design import bar_period, cage_design
from rollsim.structure.hot_spots import hot_spots

PUSH = np.full(18, 1000.0)
REST = np.zeros(18)


@pytest.fixture(scope="module")
def models():
    """Responses of the four executions."""
    cases = {
        "free": cage_case(fit="free"),
        "tight": cage_case(fit="tight"),
        "tenon": cage_case("tenon"),
        "one_piece": cage_case("one_piece"),
    }
    return {name: closure_model(cage_design(case)) for name, case in cases.items()}


def nominal(model, name):
    """Largest nominal stress in MPa at a spot for 1 kN from every roller on the cover."""
    (spot,) = [s for s in hot_spots(model.design) if s.name == name]
    forces = model.section_forces(PUSH, REST).at(spot.place)[spot.bars]
    return spot.stress(forces, notched=False).max() / 1e6


def local(model, name):
    """The same with notch factors."""
    (spot,) = [s for s in hot_spots(model.design) if s.name == name]
    forces = model.section_forces(PUSH, REST).at(spot.place)[spot.bars]
    return spot.stress(forces).max() / 1e6


def test_one_kilonewton_on_the_cover_gives_plausible_stress(models):
    # Common practice, no source: several hundred MPa in the rivets, a tenth of a millimetre or two
    # of deformation, about half the stress in integral tenons; order of magnitude and order only.
    free, tight = (nominal(models[k], "rivet at interface") for k in ("free", "tight"))
    tenon = nominal(models["tenon"], "tenon root")
    assert 150.0 < tight < free < 600.0
    assert 0.3 < tenon / free < 0.7
    lift = {name: model.cover_lift.max() * 1e6 for name, model in models.items()}
    assert 0.05 < lift["free"] < 0.25
    assert lift["one_piece"] < lift["tenon"] < lift["free"]
    assert lift["tight"] < lift["free"]
    assert 150.0 < local(models["tenon"], "tenon root") < 600.0


def test_load_radius_matters_much(models):
    near = closure_model(cage_design(cage_case(load=188.0)))
    ratio = nominal(models["free"], "rivet at interface") / nominal(near, "rivet at interface")
    assert 1.6 < ratio < 3.5


def test_equal_push_gives_equal_closures_without_tangential_parts(models):
    for model in models.values():
        forces = model.section_forces(PUSH, REST).interface
        assert forces == pytest.approx(np.tile(forces[0], (18, 1)), rel=1e-5, abs=1e-4)
        assert forces[:, [2, 3, 4]] == pytest.approx(np.zeros((18, 3)), abs=1e-4)


def test_one_piece_passes_exactly_the_push(models):
    forces = models["one_piece"].section_forces(PUSH, REST)
    assert forces.interface[:, 0] == pytest.approx(PUSH)
    assert forces.bar_root[:, 0] == pytest.approx(PUSH)


def test_bar_force_backward_is_the_mirror_of_forward(models):
    mirror = np.array([1.0, 1.0, -1.0, -1.0, -1.0, 1.0])
    for model in models.values():
        forward = model.bar_forward[0]
        backward = model.bar_backward[0]
        order = -np.arange(18) % 18
        scale = np.abs(forward).max(axis=(0, 1))
        assert backward[:, order] * mirror == pytest.approx(forward, abs=2e-4 * scale.max())


def test_cover_force_between_two_bars_loads_them_alike(models):
    forces = models["tight"].cover[0][0]
    # Pocket 0 lies between bar 17 and bar 0.
    assert forces[0, 0] == pytest.approx(forces[17, 0], rel=1e-6)
    assert forces[0, 4] == pytest.approx(-forces[17, 4], rel=1e-6)
    assert forces[0, 0] == pytest.approx(forces[:, 0].max())


def test_sum_of_single_pushes_is_the_even_push(models):
    model = models["free"]
    frame = build_cover_frame(model.design)
    motion, _ = frame.solve(frame.cover_load(PUSH))
    summed = model.section_forces(PUSH, REST)
    assert summed.head == pytest.approx(frame.section_forces(motion)[1], rel=1e-6, abs=1e-6)


def test_forces_follow_the_roller_that_pushes(models):
    model = models["tight"]
    one = model.section_forces(500.0 * np.eye(18)[3], REST)
    other = model.section_forces(500.0 * np.eye(18)[11], REST)
    assert np.roll(one.interface, 8, axis=0) == pytest.approx(other.interface)
    many = model.section_forces(np.tile(500.0 * np.eye(18)[3], (4, 1)), REST)
    assert many.interface.shape == (4, 18, 6)
    assert many.interface[2] == pytest.approx(one.interface)


def test_half_the_rivets_carry_twice_the_load():
    model = closure_model(cage_design(cage_case(fit="tight", more="count = 9")))
    forces = model.section_forces(PUSH, REST)
    assert np.all(forces.interface[1::2] == 0.0)
    assert np.all(forces.interface[0::2, 0] > 2000.0)
    (spot,) = [s for s in hot_spots(model.design) if s.name == "rivet at interface"]
    assert spot.bars.tolist() == list(range(0, 18, 2))


@pytest.mark.parametrize(
    ("cover", "words"), [(np.zeros(17), "18 rollers"), (np.full(18, -1.0), "pull the cover")]
)
def test_unusable_forces_are_refused(models, cover, words):
    with pytest.raises(RollsimError, match=words):
        models["tight"].section_forces(cover, np.zeros(cover.shape))


def test_period_of_a_bar_agrees_with_its_middle_deflection():
    # Rayleigh's quotient with the sag x^2 (L - x)^2 under its own weight: w^2 = 630/480 g/sag.
    design = cage_design(cage_case())
    bar, metal = design.bar, design.material
    rigidity = metal.youngs_modulus * bar.about_r
    weight = 9.81 * metal.density * bar.area * design.bar_length
    sag = weight * design.bar_length**3 / (384.0 * rigidity)
    expected = 2.0 * np.pi / np.sqrt(630.0 / 480.0 * 9.81 / sag)
    assert bar_period(design) == pytest.approx(expected, rel=5e-3)
