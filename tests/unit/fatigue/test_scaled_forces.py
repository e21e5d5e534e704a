"""Section forces at scaled loads against the full recovery, and what is kept in memory."""

from types import SimpleNamespace

import numpy as np
import pytest

from rollsim.fatigue.evaluate import NORMAL, spot_streams
from rollsim.fatigue.kept_pieces import SCRATCH_BYTES, KeptPieces
from rollsim.fatigue.opening import opening_factors
from rollsim.fatigue.recovered import ForceSource
from rollsim.fatigue.scaled_forces import ScaledForces, changing
from rollsim.fatigue.sn_curve import case_sn_curve
from rollsim.kernels.face_settling import WITH_OPEN
from rollsim.structure.hot_spots import hot_spots
from rollsim.structure.recovery import cage_recovery

INSTANTS = 60


class _Loads(ForceSource):
    """A source that is handed its loads."""

    def load_pieces(self, block):
        for loads in self.history.pieces[block]:
            yield loads, None


@pytest.fixture(scope="module")
def source(repository):
    from rollsim.case.read import load_case

    case = load_case(repository / "cases" / "dewatering_screen_riveted.toml")
    recovery = cage_recovery(case)
    rng = np.random.default_rng(5)
    loads = np.zeros((INSTANTS, recovery.load_count))
    struck = rng.integers(0, 18, INSTANTS)
    loads[np.arange(INSTANTS), struck] = rng.uniform(0.0, 300.0, INSTANTS)
    loads[7] = loads[6]
    history = SimpleNamespace(pieces=[[loads[:25], loads[25:40]], [loads[40:]]], case=case)
    parts = [np.arange(40) / 3.0, np.arange(40, 60) / 3.0]
    return _Loads(history, parts, recovery, ("head", "interface"))


def _stream(source):
    case = source.history.case
    (spot,) = [
        own for own in hot_spots(source.recovery.frame.design, case.fatigue.notch_factor)
        if own.field == "head"
    ]  # fmt: skip
    return spot_streams(spot, case_sn_curve(spot.material, case.fatigue), source.recovery.preload)


@pytest.mark.parametrize("factor", [0.5, 1.0, 8.0, 40.0])
def test_forces_are_those_of_the_full_recovery(source, factor):
    scaled = ScaledForces(source, _stream(source))
    found = np.concatenate(list(scaled.pieces(factor, range(2))))
    loads = np.concatenate([piece for block in source.history.pieces for piece in block])
    # Each piece begins anew, so that only the repeated state within one is left out.
    kept = np.delete(np.arange(INSTANTS), 7)
    before = source.log.counts[WITH_OPEN]
    wanted = source.recovery.section_forces(factor * loads, source.log).head[kept]
    bars = _stream(source).spot.bars
    scale = np.abs(wanted).max(axis=(0, 1))[NORMAL]
    assert np.all(np.abs(found - wanted[:, bars][..., NORMAL]) <= 1e-6 * scale)
    if factor == 40.0:
        assert source.log.counts[WITH_OPEN] > before


def test_the_factor_that_opens_the_joint_opens_it(source):
    factors = opening_factors(source)
    assert np.all(factors > 0.0) and np.all(np.isfinite(factors))
    for block, factor in enumerate(factors):
        loads = np.concatenate(source.history.pieces[block])
        for share, opened in ((0.999, False), (1.001, True)):
            contact = source.recovery.contact(share * factor * loads)
            assert bool(np.any(contact != 0.0)) is opened


def test_only_states_that_change_close_cycles():
    loads = np.array([[1.0], [1.0], [2.0], [2.0]])
    assert changing(loads, None).tolist() == [True, False, True, False]
    shaken = np.array([[0.0], [1.0], [1.0], [1.0]])
    assert changing(loads, shaken).tolist() == [True, True, True, False]


def test_pieces_are_made_once_where_they_find_room():
    made = []

    def make():
        for k in range(3):
            made.append(k)
            yield np.full(10, float(k))

    kept = KeptPieces(room=300, scratch=0)
    for _ in range(2):
        assert [piece[0] for piece in kept.through("one", make)] == [0.0, 1.0, 2.0]
    assert made == [0, 1, 2]
    # 60 bytes are left: the next stretch is made again and again.
    for _ in range(2):
        assert [piece[0] for piece in kept.through("two", make)] == [0.0, 1.0, 2.0]
    assert made == [0, 1, 2] * 3
    assert list(kept.held) == ["one"]


def _counted(made, count=5):
    """Function that makes pieces of several sorts and notes when."""

    def make():
        for k in range(count):
            made.append(k)
            yield np.full(10, float(k)), (np.full((2, 3), k, dtype=np.float32), None)

    return make


def test_what_finds_no_memory_goes_to_disk_and_comes_back_the_same():
    made, kept = [], KeptPieces(room=150)
    make = _counted(made)
    for _ in range(3):
        found = list(kept.through("one", make))
        for k, (one, (two, nothing)) in enumerate(found):
            assert nothing is None
            assert (one.dtype, two.dtype) == (np.float64, np.float32)
            np.testing.assert_array_equal(one, np.full(10, float(k)))
            np.testing.assert_array_equal(two, np.full((2, 3), k))
    assert made == [0, 1, 2, 3, 4]
    assert kept.room == 150
    assert kept.scratch < SCRATCH_BYTES
    # Two readers at once do not disturb each other.
    pairs = zip(kept.through("one", make), kept.through("one", make), strict=True)
    assert [(a[0][0], b[0][0]) for a, b in pairs] == [(k, k) for k in range(5)]


@pytest.mark.parametrize(
    ("scratch", "often", "free"), [(300, True, 1e9), (10**9, False, 1e9), (10**9, True, 1e3)]
)
def test_what_finds_no_room_on_disk_is_made_again(monkeypatch, scratch, often, free):
    monkeypatch.setattr(
        "rollsim.fatigue.kept_pieces.shutil.disk_usage", lambda _: SimpleNamespace(free=free)
    )
    made, kept = [], KeptPieces(room=150, scratch=scratch)
    for _ in range(2):
        assert [piece[0][0] for piece in kept.through("one", _counted(made), often)] == [
            0, 1, 2, 3, 4,
        ]  # fmt: skip
    assert made == 2 * [0, 1, 2, 3, 4]
    assert not kept.held
    assert kept.scratch == scratch


def test_a_full_disk_costs_time_only(monkeypatch):
    def full(*_, **__):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("rollsim.fatigue.kept_pieces.pickle.dump", full)
    made, kept = [], KeptPieces(room=150)
    for _ in range(2):
        assert len(list(kept.through("one", _counted(made)))) == 5
    assert made == 2 * [0, 1, 2, 3, 4]
    assert not kept.held


def test_a_stretch_that_is_left_early_is_not_kept():
    kept = KeptPieces()
    pieces = kept.through("one", lambda: iter([np.zeros(1), np.ones(1)]))
    next(pieces)
    pieces.close()
    assert not kept.held


def test_what_evaluations_share_is_made_by_the_first_of_them():
    kept, made = KeptPieces(), []
    for _ in range(3):
        assert kept.once("frame", lambda: made.append(1) or "made") == "made"
    assert kept.once("other", lambda: None) is None
    assert made == [1]
