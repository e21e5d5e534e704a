"""A run that fails leaves its last milliseconds at every internal step, and no body out of place
passes as a result."""

from dataclasses import replace

import numpy as np
import pytest

from rollsim.errors import HistoryError, RunError
from rollsim.history import open_history, status_summary
from rollsim.history.black_box import black_box_path, read_black_box
from rollsim.kernels.layout import cage_offset
from rollsim.model.build import build_model
from rollsim.simulation import run as run_module
from rollsim.simulation.blocks import BlockMaker
from rollsim.simulation.plausibility import impossible_place
from rollsim.simulation.run import run

BROKEN_AT = 0.0315


@pytest.fixture
def broken(monkeypatch):
    """A vibration that is not a number from an instant on."""

    def build(*arguments):
        built = build_model(*arguments)
        shaking = built.model.shaking
        samples = shaking.samples.copy()
        samples[int(BROKEN_AT / shaking.tracks[0, 2]) :, 1] = np.nan
        return replace(built, model=built.model._replace(shaking=shaking._replace(samples=samples)))

    monkeypatch.setattr(run_module, "build_model", build)


@pytest.mark.parametrize("solver", ["leapfrog", "dormand_prince", "RK45", "LSODA"])
def test_a_failed_run_leaves_its_last_steps(six_rollers, tmp_path, broken, solver):
    path = tmp_path / "out.h5"
    with pytest.raises(RunError, match=r"internal steps are in .*out_blackbox\.h5: rollsim blackb"):
        run(six_rollers(), path, solver=solver)
    box = read_black_box(path)
    time, length = box.steps["time"], box.steps["length"]
    with open_history(path) as history:
        assert "a number stopped being finite" in box.attributes["reason"]
        assert history.status == f"stopped: {box.attributes['reason']}"
        last = history.time[-1]
        # Every sample of the history lies between two internal steps; forces at the same time of
        # the same run agree to what interpolation leaves.
        inside = (history.time > time[0]) & (history.time < time[-1])
        assert inside.sum() > 10
        for name in ("roller_position", "cage_position"):
            values = history.channel(name)[inside].reshape(inside.sum(), -1)
            steps = box.channels[name].reshape(len(time), -1)
            for column in range(values.shape[1]):
                near = np.interp(history.time[inside], time, steps[:, column])
                assert np.allclose(values[:, column], near, rtol=0.0, atol=2e-6)
    np.testing.assert_allclose(np.diff(time), length[1:], rtol=0.0, atol=1e-15)
    assert last - 1e-12 <= time[-1] <= BROKEN_AT + 1e-4
    assert 0.009 < time[-1] - time[0] <= 0.010
    assert len(time) > 3 * inside.sum()
    assert status_summary(path)["black_box"] == str(black_box_path(path))


def test_the_black_box_of_an_early_block_reaches_into_the_block_before(
    six_rollers, tmp_path, broken
):
    path = tmp_path / "out.h5"
    with pytest.raises(RunError):
        run(six_rollers(output__segment_s=0.005), path)
    time = read_black_box(path).steps["time"]
    assert time[0] < 0.03 - 1e-3


def test_a_replay_changes_no_bit(six_rollers, tmp_path, broken):
    """The last steps of two runs whose blocks differ are the same."""
    boxes = []
    for segment in (0.01, 0.04):
        path = tmp_path / f"{segment}.h5"
        with pytest.raises(RunError):
            run(six_rollers(output__segment_s=segment), path)
        boxes.append(read_black_box(path))
    first, second = boxes
    assert np.array_equal(first.steps["time"], second.steps["time"])
    for name, values in first.channels.items():
        assert np.array_equal(values, second.channels[name], equal_nan=True), name


def test_a_failure_before_the_first_sample_has_a_black_box_too(six_rollers, tmp_path, monkeypatch):
    def build(*arguments):
        built = build_model(*arguments)
        shaking = built.model.shaking
        samples = shaking.samples.copy()
        samples[int(3e-4 / shaking.tracks[0, 2]) :, 1] = np.nan
        return replace(built, model=built.model._replace(shaking=shaking._replace(samples=samples)))

    monkeypatch.setattr(run_module, "build_model", build)
    path = tmp_path / "out.h5"
    with pytest.raises(RunError, match="No sample was finished before"):
        run(six_rollers(output__rate_Hz=2000.0), path)
    assert 0.0 < read_black_box(path).steps["time"][-1] < 5e-4
    assert not path.exists()


def test_a_new_run_takes_the_old_black_box_away(six_rollers, tmp_path, broken, monkeypatch):
    path = tmp_path / "out.h5"
    with pytest.raises(RunError):
        run(six_rollers(), path)
    monkeypatch.setattr(run_module, "build_model", build_model)
    run(six_rollers(), path, overwrite=True)
    assert not black_box_path(path).exists()
    with pytest.raises(HistoryError, match="left by a run that failed"):
        read_black_box(path)


def test_a_black_box_is_no_history_and_a_torn_one_is_said(six_rollers, tmp_path, broken):
    path = tmp_path / "out.h5"
    with pytest.raises(RunError):
        run(six_rollers(), path)
    box = black_box_path(path)
    with pytest.raises(HistoryError, match="black box of a failed run, not a history"):
        open_history(box)
    content = box.read_bytes()
    box.write_bytes(content[: len(content) // 2])
    with pytest.raises(HistoryError, match="cut short, damaged"):
        read_black_box(path)


def test_a_disk_too_full_for_the_black_box_still_tells_the_failure(
    six_rollers, tmp_path, broken, monkeypatch
):
    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("rollsim.history.black_box.write_whole", full)
    with pytest.raises(RunError, match=r"stopped being finite.*black box could not be written"):
        run(six_rollers(), tmp_path / "out.h5")


@pytest.fixture
def pushed(monkeypatch):
    """Function that moves entries of the state after a number of blocks."""

    def install(move, after=2):
        genuine = BlockMaker.next

        def moving(self):
            self.count = getattr(self, "count", 0) + 1
            if self.count == after + 1:
                move(self._march.solver.work.y)
            return genuine(self)

        monkeypatch.setattr(BlockMaker, "next", moving)

    return install


RADIUS, COUNT = 0.013, 6


def _out(y):
    """Roller 3 moves outwards by 1.5 of its radius."""
    factor = 1.0 + 1.5 * RADIUS / np.hypot(y[2], y[COUNT + 2])
    y[2] *= factor
    y[COUNT + 2] *= factor


def _ahead(y):
    """The cage turns back by 30 degrees: every roller stands in the bar ahead of it."""
    y[cage_offset(COUNT) + 2] -= np.pi / 6.0


@pytest.mark.parametrize(
    ("move", "words"),
    [
        (_out, r"roller 3 is 18\.[5-9] mm deep in the outer raceway, more than the radius of a"),
        (_ahead, r"has escaped from its pocket: it is .* mm deep in the bar ahead of it"),
    ],
)
def test_a_roller_where_none_can_be_stops_the_run(six_rollers, tmp_path, pushed, move, words):
    pushed(move)
    path = tmp_path / "out.h5"
    with pytest.raises(RunError, match=words) as problem:
        run(six_rollers(), path)
    assert problem.value.exit_code == 1
    with open_history(path) as history:
        assert history.status.startswith("stopped: roller")
        assert len(history.time) >= 100
        assert history.time[-1] < 0.0225
        assert impossible_place(_channels(history), build_model(six_rollers()).model) == (None, "")
        starts = history.impacts()["start"] + history.impacts()["duration"]
        assert starts.max() <= history.time[-1] + 1e-3


def _channels(history):
    """All sampled channels."""
    return {name: history.channel(name) for name in history.names()}


def test_places_are_looked_at_axially_and_behind_too(six_rollers, run_case):
    model = build_model(six_rollers()).model
    with run_case(six_rollers()) as history:
        channels = _channels(history)
    assert impossible_place(channels, model) == (None, "")
    for name, change, words in (
        ("roller_position", (7, 4, 2, 0.02), "in the cover of the cage"),
        ("roller_position", (7, 4, 2, -0.02), "in the base of the cage"),
    ):
        row, roller, axis, by = change
        moved = {**channels, name: channels[name].copy()}
        moved[name][row, roller, axis] += by
        found, text = impossible_place(moved, model)
        assert found == row
        assert text.startswith(f"roller {roller + 1} has escaped from its pocket: it is ")
        assert words in text
    turned = {**channels, "cage_angle": channels["cage_angle"] + np.pi / 6.0}
    assert "in the bar behind it" in impossible_place(turned, model)[1]
    sunk = {**channels, "inner_position": channels["inner_position"] + np.array([0.015, 0, 0])}
    assert "in the inner raceway" in impossible_place(sunk, model)[1]
    slid = {**channels, "inner_position": channels["inner_position"].copy()}
    slid["inner_position"][5:, 2] -= 0.025
    found, text = impossible_place(slid, model)
    assert found == 5
    assert text.startswith("the inner ring has slid out of the bearing: it is 25 mm off along the")
    assert "flanges on both rings hold it" in text
    slid["inner_position"][5:, 2] += 0.004
    assert impossible_place(slid, model) == (None, "")


def test_steps_that_become_too_short_stop_the_run(six_rollers, tmp_path, monkeypatch):
    """The shortest step is set so high that the first contact cannot be resolved."""
    monkeypatch.setattr("rollsim.simulation.leapfrog.SHORTEST_STEP", 9e-6)
    path = tmp_path / "out.h5"
    with pytest.raises(RunError, match=r"step length fell below .* the greatest error is in"):
        run(six_rollers(solver__tolerance=1e-6), path)
