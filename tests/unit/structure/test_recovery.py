"""Section forces from histories of loads: the contact of every instant is that of `solve_cage`."""

import numpy as np
import pytest
from cage_cases import cage_case

from rollsim.errors import RollsimError
from rollsim.kernels.face_settling import SEARCHED, UNSETTLED, WITH_OPEN
from rollsim.structure.cage_influence import KINDS, unit_loads
from rollsim.structure.cage_solution import solve_cage
from rollsim.structure.interface import ContactLog
from rollsim.structure.recovery import PLACES, cage_recovery

COUNT = 18
BESIDE = 'position = "beside_bars"\nboss_diameter_mm = 7.0\ncount = 10\n'
CAGES = {
    "free rivets": {"fit": "free"},
    "free rivets with preload": {"fit": "free", "more": "preload_N = 500.0"},
    "tight rivets": {"fit": "tight"},
    "tenons": {"closure": "tenon"},
    "round tenons": {"closure": "round"},
    "one piece": {"closure": "one_piece"},
    "a rivet on every third bar": {"fit": "tight", "more": "count = 6\npreload_N = 2000.0"},
    "rivets beside the bars": {"fit": "tight", "more": BESIDE},
    "distance pieces beside the bars": {
        "fit": "free",
        "more": BESIDE + 'boss_joint = "separate"\npreload_N = 300.0\n'
        "stiffness_factors = [[4, 0.0]]",
    },
    "weak and missing rivets": {
        "fit": "free",
        "more": "preload_N = 300.0\nstiffness_factors = [[3, 0.0], [7, 0.4]]",
    },
}


@pytest.fixture(scope="module", params=CAGES)
def recovery(request):
    return cage_recovery(cage_case(**CAGES[request.param]))


def mixtures(recovery, count, size=1.0):
    """Random mixtures of all loads, a third of them at work."""
    rng = np.random.default_rng(4)
    loads = rng.uniform(-500.0, 500.0, (count, recovery.load_count))
    loads[:, : 2 * COUNT] = 3.0 * np.abs(loads[:, : 2 * COUNT])
    loads *= rng.uniform(size=loads.shape) < 0.3
    loads[:, -1] = rng.uniform(0.0, 150.0, count) ** 2
    return size * loads


def worst_error(found, instant, solution):
    """Largest difference over the largest force or moment of each place."""
    worst = 0.0
    for place in PLACES:
        wanted = getattr(solution.forces, place) - getattr(solution.preload, place)
        for own in (slice(0, 3), slice(3, 6)):
            off = np.abs(getattr(found, place)[instant][..., own] - wanted[..., own]).max()
            worst = max(worst, off / max(np.abs(wanted[..., own]).max(), 1e-12))
    return worst


def test_every_instant_is_the_solution_of_its_loads(recovery):
    loads = mixtures(recovery, 4)
    found = recovery.section_forces(loads)
    units = unit_loads(recovery.frame)
    for instant, amounts in enumerate(loads):
        solution = solve_cage(recovery.frame, np.tensordot(amounts, units, axes=1))
        assert worst_error(found, instant, solution) < 1e-5


def test_no_load_leaves_the_tightened_state(recovery):
    found = recovery.section_forces(np.zeros((2, recovery.load_count)))
    for place in PLACES:
        scale = max(np.abs(getattr(recovery.preload, place)).max(), 1.0)
        assert np.abs(getattr(found, place)).max(initial=0.0) < 1e-9 * scale


@pytest.fixture(scope="module")
def preloaded():
    return cage_recovery(cage_case(**CAGES["free rivets with preload"]))


def test_pieces_give_what_the_whole_gives(preloaded):
    loads = mixtures(preloaded, 12)
    whole, log = preloaded.section_forces(loads), ContactLog()
    pieces = [preloaded.section_forces(loads[k : k + 5], log) for k in (0, 5, 10)]
    for place in ("interface", "bar_base"):
        joined = np.concatenate([getattr(piece, place) for piece in pieces])
        wanted = getattr(whole, place)
        assert joined == pytest.approx(wanted, abs=1e-6 * np.abs(wanted).max())
    assert log.counts[WITH_OPEN] == 12 and log.counts[UNSETTLED] == 0
    assert log.counts[SEARCHED] == 0 and log.residual < 1e-7


def test_linear_part_and_contact_make_the_whole(preloaded):
    loads = mixtures(preloaded, 3)
    contact = preloaded.contact(loads)
    whole = preloaded.section_forces(loads, places=("head",))
    both = preloaded.linear_part("head", loads) + preloaded.contact_part("head", contact)
    assert whole.head == pytest.approx(both)
    assert whole.interface.shape == (3, 0, 6)
    assert np.abs(preloaded.contact_part("head", contact)).max() > 1.0


def test_small_loads_leave_a_preloaded_interface_alone(preloaded):
    log = ContactLog()
    contact = preloaded.contact(mixtures(preloaded, 5, size=1e-3), log)
    assert not contact.any() and not log.counts.any()


def test_open_springs_push_harder_than_a_bonded_face_would(preloaded):
    # All rollers push the cover: a rivet with an interface that opens carries several times what a
    # bonded interface leaves to it.
    loads = np.zeros((1, preloaded.load_count))
    loads[0, :COUNT] = 3000.0
    whole = preloaded.section_forces(loads, places=("interface",)).interface
    bonded = preloaded.linear_part("interface", loads)
    assert np.abs(whole[..., 5]).max() > 2.0 * np.abs(bonded[..., 5]).max()


def test_loads_of_another_number_are_refused(preloaded):
    with pytest.raises(RollsimError, match=str(len(KINDS) * COUNT + 1)):
        preloaded.section_forces(np.zeros((3, 5)))


def test_a_solver_that_gives_up_is_told(preloaded, monkeypatch):
    monkeypatch.setattr("rollsim.structure.interface.TOLERANCE", -1.0)
    with pytest.raises(RollsimError, match="did not settle"):
        preloaded.contact(mixtures(preloaded, 2))


def test_turning_the_loads_by_a_pocket_turns_the_answer():
    recovery = cage_recovery(cage_case("tenon"))
    loads = np.zeros((2, recovery.load_count))
    kinds = np.random.default_rng(3).uniform(0.0, 400.0, (len(KINDS), COUNT))
    loads[0, :-1] = kinds.ravel()
    loads[1, :-1] = np.roll(kinds, 5, axis=1).ravel()
    found = recovery.section_forces(loads, places=("interface",)).interface
    turned = np.roll(found[0], 5, axis=0)
    assert found[1] == pytest.approx(turned, abs=1e-6 * np.abs(turned).max())
