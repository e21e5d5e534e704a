"""From pocket forces to loads on bars, cover and base ring."""

import numpy as np
import pytest
from force_history import ForceHistory, no_force

from rollsim.errors import RollsimError
from rollsim.fatigue.loads import bar_states, end_states, force_pieces, settled_span
from rollsim.structure.cage_influence import KINDS


def test_bar_takes_leading_face_behind_and_trailing_face_in_front():
    peak, sample = no_force(1), no_force(1)
    peak[0, 4, 0], peak[0, 9, 1] = 70.0, 50.0
    states = bar_states(peak, sample)
    assert states.shape == (3, 18)
    assert states[:, 4].tolist() == [70.0, 70.0, 0.0]
    assert states[:, 8].tolist() == [-50.0, -50.0, 0.0]
    assert np.count_nonzero(states) == 4


def test_both_sides_in_one_interval_give_both_extremes():
    peak, sample = no_force(1), no_force(1)
    peak[0, 17, 0], peak[0, 0, 1] = 70.0, 50.0
    sample[0, 17, 0], sample[0, 0, 1] = 20.0, 5.0
    assert bar_states(peak, sample)[:, 17].tolist() == [70.0, -50.0, 15.0]


def test_cover_takes_its_own_roller():
    peak, sample = no_force(2), no_force(2)
    peak[:, 3, 3], sample[1, 3, 3] = [100.0, 200.0], 30.0
    cover, base = end_states(peak, sample)
    assert cover[:, 3].tolist() == [100.0, 100.0, 0.0, 200.0, 200.0, 30.0]
    assert not base.any()


def test_both_ends_of_a_pocket_in_one_interval_come_in_turn():
    peak, sample = no_force(1), no_force(1)
    peak[0, 3, 2], peak[0, 3, 3], peak[0, 8, 2] = 40.0, 100.0, 60.0
    sample[0, 3, 2], sample[0, 3, 3] = 10.0, 20.0
    cover, base = end_states(peak, sample)
    assert cover[:, 3].tolist() == [100.0, 0.0, 20.0]
    assert base[:, 3].tolist() == [0.0, 40.0, 10.0]
    assert base[:, 8].tolist() == [60.0, 60.0, 0.0]


def columns(kind):
    """Columns of a kind of load."""
    return slice(KINDS.index(kind) * 18, KINDS.index(kind) * 18 + 18)


def test_pieces_join_without_gap_or_overlap():
    forces = no_force(3000)
    forces[:, 0, 3] = np.arange(3000)
    history = ForceHistory(forces, settle=0.1)
    span = settled_span(history)
    joined = np.concatenate(list(force_pieces(history, span.time)))
    assert joined.shape == (3 * 2501, len(KINDS) * 18 + 1)
    assert joined[2::3, 0] == pytest.approx(np.arange(499, 3000))
    assert span.duration == pytest.approx(2501 / 5000)
    assert span.largest_cover == 2999.0 and span.largest_bar == 0.0


def test_every_kind_of_load_has_its_columns():
    forces, land = no_force(400), np.zeros((400, 2, 3))
    forces[:, 2, 0], forces[:, 5, 2], forces[:, 7, 3] = 30.0, 40.0, 50.0
    # The cage leans along x, the outer land pushes it back: at pocket 0.
    land[:, 0, 0] = -60.0
    position = np.zeros((400, 3))
    position[:, 0] = 1e-4
    others = {
        ("history", "land_force"): land,
        ("peak", "land_force"): np.tile([90.0, 0.0], (400, 1)),
        ("history", "cage_position"): position,
        ("history", "cage_speed"): np.full(400, 80.0),
    }
    history = ForceHistory(forces, others=others)
    span = settled_span(history)
    (loads,) = force_pieces(history, span.time)
    kinds = {"bar": (2, 30.0), "base": (5, 40.0), "cover": (7, 50.0)}
    for kind, (pocket, force) in kinds.items():
        assert np.all(loads[:, columns(kind)] == force * np.eye(18)[pocket])
    # Largest forces first, twice; then the sample.
    expected = np.tile([-90.0, -90.0, -60.0], len(span.time))
    assert loads[:, columns("land base radial")][:, 0] == pytest.approx(expected)
    assert np.all(loads[:, -1] == 6400.0)
    assert np.count_nonzero(np.abs(loads).max(axis=0) > 1e-9) == 5
    assert (span.largest_bar, span.largest_base, span.largest_land) == (30.0, 40.0, 90.0)


def test_part_after_a_bad_number_is_left_out():
    forces = no_force(3000)
    forces[2100:, 3, 1] = np.nan
    span = settled_span(ForceHistory(forces))
    assert span.time[-1] == pytest.approx(2100 / 5000)
    assert "not numbers from 0.4202 s" in span.notes[0]


def test_unfinished_run_is_named():
    assert "running" in settled_span(ForceHistory(no_force(), status="running")).notes[0]


@pytest.mark.parametrize(
    "history",
    [
        ForceHistory(no_force(200), settle=0.2),
        ForceHistory(no_force(268)),
        ForceHistory(np.where(np.arange(900)[:, None, None] < 268, 0.0, np.nan * no_force(900))),
    ],
    ids=["ends before", "few left", "bad numbers at once"],
)
def test_history_without_settled_samples_is_refused(history):
    with pytest.raises(RollsimError, match="at least 20 samples after the settling time"):
        settled_span(history)


def test_forces_of_another_cage_are_refused():
    history = ForceHistory(no_force()[:, :17])
    with pytest.raises(RollsimError, match="do not fit"):
        settled_span(history)
