"""Frames of the player: packed small, true to the history, no peak lost."""

import numpy as np
import pytest

from rollsim.report.document.frames import OVERVIEW, ROUND, plan_frames, read_frames
from rollsim.report.document.impacts import APART_S, top_impacts
from rollsim.report.document.packing import packed, unpacked
from rollsim.report.document.shapes import shapes_of


@pytest.fixture(scope="module")
def history(tmp_path_factory, repository):
    import rollsim

    folder = tmp_path_factory.mktemp("frames")
    case = rollsim.load_case(repository / "tests" / "data" / "case_six_rollers.toml")
    rollsim.run(case, folder / "six.h5")
    with rollsim.open_history(folder / "six.h5") as opened:
        yield opened


def test_packing_keeps_four_digits():
    arrays = {
        "a": np.array([[1.0, -2.0], [3.0, 0.5]]),
        "b": np.array([1e6, -3.2e-1]),
        "c": np.zeros(2),
    }
    back = unpacked(packed(arrays))
    for name, values in arrays.items():
        flat = values.reshape(2, -1)
        assert np.abs(back[name] - flat).max() <= 0.51 * np.abs(flat).max() / 32767


def test_impacts_are_the_hardest_and_apart(history):
    found = top_impacts(history)
    table = history.impacts()
    settled = table["start"] >= float(history.attributes["settle_s"])
    pockets = [one for one in found if one.roller]
    assert pockets[0].peak == table["peak"][settled & (table["face"] < 4)].max()
    assert [one.peak for one in found] == sorted((one.peak for one in found), reverse=True)
    for one in pockets:
        k = int(np.searchsorted(history.time, one.time))
        force = history.peak("pocket_force")[k, one.roller - 1].max()
        assert force == pytest.approx(one.peak, rel=1e-6)
    assert APART_S > 0.0


def test_frames_hold_the_history(history):
    impacts, shapes = top_impacts(history), shapes_of(history)
    plan = plan_frames([history], impacts)
    found = read_frames(history, plan, shapes)
    samples = np.searchsorted(history.time, plan.times - 1e-9)
    assert len(plan.overview) <= OVERVIEW
    assert all(len(own) <= ROUND for own in plan.stretches)
    # The greatest force of all frames is the greatest of the whole run.
    assert found["pocket"].max() == history.peak("pocket_force")[: samples[-1] + 1].max()
    # Places can be put together again.
    angle = found["cage_angle"][:, None] + 2 * np.pi * np.arange(shapes.count) / shapes.count
    r = 1e-3 * shapes.pitch + 1e-6 * found["roller"][:, :, 0]
    t = 1e-6 * found["roller"][:, :, 1]
    x = r * np.cos(angle) - t * np.sin(angle)
    outer = history.channel("outer_position")[samples, 0]
    true = history.channel("roller_position")[samples][:, :, 0] - outer[:, None]
    assert np.abs(x - true).max() < 1e-9


def test_rollers_stay_within_drawn_pockets(history):
    shapes = shapes_of(history)
    found = read_frames(history, plan_frames([history], top_impacts(history)), shapes)
    reach = 1e3 * (shapes.pocket_gap + shapes.land_gap)
    assert np.abs(found["roller"][:, :, 1]).max() < 1.1 * reach


def test_frames_beyond_the_end_are_marked(history, tmp_path, repository):
    import rollsim
    from rollsim.simulation.run import RunOptions

    case = rollsim.load_case(repository / "tests" / "data" / "case_six_rollers.toml")
    rollsim.run(case, tmp_path / "short.h5", RunOptions(duration=0.03))
    with rollsim.open_history(tmp_path / "short.h5") as short:
        plan = plan_frames([short, history], top_impacts(history))
        valid = read_frames(short, plan, shapes_of(short))["valid"]
    assert valid[0] == 1.0
    assert valid[-1] == 0.0
    assert plan.times[valid > 0.5].max() <= 0.03 + 1e-9
