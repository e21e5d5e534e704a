"""The live view of a run: readable at any time, true to the blocks, gone with the finished run."""

import h5py
import numpy as np
import pytest

from rollsim.errors import HistoryError
from rollsim.history import SegmentWriter, open_history, status_summary
from rollsim.history.live import BLOCKS, ROWS, latest, live_path, read_live, thinned
from rollsim.report.watch_text import watch_text, watched
from rollsim.simulation.run import run
from rollsim.simulation.stopping import RunStopped

#: Forces are kept in single precision in a history.
SHORT = 1e-6


@pytest.fixture
def begun(six_rollers, tmp_path):
    """A run with a live view, stopped after five of its six blocks."""
    path = tmp_path / "six.h5"
    left = iter(range(4, 0, -1))

    def stop():
        if live_path(path).exists():
            read_live(path)
        return None if next(left, 0) else "by the test"

    with pytest.raises(RunStopped):
        run(six_rollers(), path, live=True, stop=stop)
    return path


def test_largest_values_survive_thinning():
    rows = 10 * ROWS + 3
    force = np.zeros((rows, 4, 4))
    force[[7, rows - 1], 2, 1] = 900.0, 50.0
    place = np.zeros((rows, 3))
    place[[5, 6], [0, 1]] = 3e-4, -4e-4
    found = thinned(
        {"time": np.arange(rows) / 1e3, "cage_position": place}, {"pocket_force": force}
    )
    assert len(found["time"]) <= ROWS and found["time"][-1] == (rows - 1) / 1e3
    assert found["pocket_force"].max(axis=0).tolist() == [0.0, 900.0, 0.0, 0.0]
    assert found["pocket_force"][-1, 1] == 50.0
    assert found["cage_eccentricity"].max() == 4e-4


def test_the_view_holds_the_latest_blocks(begun):
    attributes, rows = read_live(begun)
    with open_history(begun) as history:
        ends = history.quality()["end_time"]
        start = ends[-BLOCKS - 1] if len(ends) > BLOCKS else 0.0
        wanted = history.window("pocket_force", start, np.inf, "peak")
        assert attributes["created"] == history.attributes["created"]
        np.testing.assert_allclose(
            rows["pocket_force"].max(axis=0), wanted.max(axis=(0, 1)), rtol=SHORT
        )
        assert rows["time"][-1] == history.time[-1]
    last = latest(begun)[1]
    count = len(last["time"])
    for name, values in last.items():
        np.testing.assert_allclose(values, rows[name][-count:], rtol=SHORT)
    with h5py.File(live_path(begun)) as file:
        assert file["cage_position"].attrs["units"] == "m"
    with pytest.raises(HistoryError, match="is the live view of a run"):
        open_history(live_path(begun))


def test_the_last_block_is_the_same_from_blocks_and_file(begun, six_rollers):
    SegmentWriter.continue_run(begun).finish()
    merged = latest(begun)[1]
    begun.unlink()
    with pytest.raises(RunStopped):
        left = iter(range(4, 0, -1))
        run(six_rollers(), begun, stop=lambda: None if next(left, 0) else "by the test")
    for name, values in latest(begun)[1].items():
        np.testing.assert_array_equal(values, merged[name])


def test_the_view_goes_with_the_finished_run(begun, six_rollers):
    run(six_rollers(), begun, live=True)
    assert begun.exists() and not live_path(begun).exists()


def test_what_a_terminal_shows(begun):
    found = status_summary(begun)
    view = watched(begun, found)
    text = watch_text("six.h5", found, view)
    assert "83.3 %" in text and "interrupted: stopped by the test" in text
    assert "latest, " in text and "% of the guidance clearance" in text
    with open_history(begun) as history:
        peak = history.peak("pocket_force").max(axis=(0, 1))
    assert list(view["pocket_force_N"].values()) == pytest.approx(peak.tolist(), rel=SHORT)


@pytest.mark.parametrize("spoilt", [b"", b"no file of ours", None])
def test_a_spoilt_or_outdated_view_does_not_mislead(begun, spoilt, six_rollers):
    own = live_path(begun)
    if spoilt is None:  # the run goes on without a view
        with pytest.raises(RunStopped):
            run(six_rollers(), begun.with_name("two.h5"),
                live=True, stop=lambda: "early")  # fmt: skip
        live_path(begun.with_name("two.h5")).replace(own)
    else:
        own.write_bytes(spoilt)
        with pytest.raises(HistoryError):
            read_live(begun)
    found = watched(begun, status_summary(begun))
    with open_history(begun) as history:
        last = history.peak("pocket_force")[history.time > history.quality()["end_time"][-2]]
    assert list(found["pocket_force_N"].values()) == last.max(axis=(0, 1)).tolist()


def test_a_disk_that_refuses_the_view_does_not_end_the_run(six_rollers, tmp_path):
    live_path(tmp_path / "six.h5").mkdir()
    run(six_rollers(), tmp_path / "six.h5", live=True)
    with open_history(tmp_path / "six.h5") as history:
        assert history.status == "finished"
