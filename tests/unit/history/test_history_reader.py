"""Reading finished and unfinished histories, and what is said about files that cannot be read."""

import shutil

import h5py
import numpy as np
import pytest
from synthetic_history import write_synthetic_history

from rollsim.errors import HistoryError
from rollsim.history import SegmentWriter, open_history
from rollsim.history.segments import parts_folder
from rollsim.history.store import FileStore, SegmentStore


def test_history_unfinished_run_is_readable(make_run, assert_same):
    path, blocks = make_run(3, finish=False)
    for name in (path, str(path), parts_folder(path)):
        with open_history(name) as history:
            assert history.status == "running"
            assert_same(history, blocks)
            np.testing.assert_array_equal(
                history.checkpoint()["state"], blocks[-1].checkpoint["state"]
            )


@pytest.mark.parametrize("finish", [True, False])
def test_history_window_and_settled_follow_the_times(make_run, finish):
    path, blocks = make_run(3, finish=finish)
    whole = np.concatenate([block.history["pocket_force"] for block in blocks])
    peaks = np.concatenate([block.peak["pocket_force"] for block in blocks])
    with open_history(path) as history:
        # Samples lie at 0.001, 0.002 ... 0.300 s.
        assert history.settled == slice(149, 300)
        assert history.time[history.settled][0] == pytest.approx(0.15)
        assert history.samples(0.095, 0.205) == slice(94, 204)
        part = history.window("pocket_force", 0.095, 0.205)
        np.testing.assert_array_equal(part, whole[94:204])
        part = history.window("pocket_force", 0.2, 9.0, group="peak")
        np.testing.assert_array_equal(part, peaks[199:])
        assert history.window("pocket_force", 5.0, 6.0).shape == (0, 4, 4)
        assert history.window("pocket_force", 0.2, 0.1).shape == (0, 4, 4)
        assert history.channel("pocket_force").dtype == np.float64


@pytest.mark.parametrize("store", [FileStore, SegmentStore])
def test_history_window_reads_no_more_than_it_needs(make_run, monkeypatch, store):
    path, _ = make_run(3, finish=store is FileStore)
    asked = []
    read = store.read

    def listening(self, group, name, start=0, stop=None):
        asked.append((name, start, stop))
        return read(self, group, name, start, stop)

    monkeypatch.setattr(store, "read", listening)
    with open_history(path) as history:
        assert asked == []
        history.window("cage_position", 0.1005, 0.1505)
    assert asked == [("time", 0, None), ("cage_position", 100, 150)]


def test_history_unknown_channel_names_those_there_are(make_run):
    path, _ = make_run(1)
    with (
        open_history(path) as history,
        pytest.raises(HistoryError, match=r"'cage_mood'.*cage_tilt"),
    ):
        history.channel("cage_mood")


def test_history_closed_file_says_so(make_run):
    path, _ = make_run(1)
    with open_history(path) as history:
        pass
    with pytest.raises(HistoryError, match="closed already"):
        history.channel("time")


def test_history_reader_of_a_run_that_finishes_meanwhile_is_told(make_run):
    path, blocks = make_run(2, finish=False)
    history = open_history(path)
    with SegmentWriter.continue_run(path) as writer:
        writer.finish()
    with pytest.raises(HistoryError, match="finished meanwhile: open it again"):
        history.channel("cage_angle")
    with open_history(path) as again:
        assert len(again.time) == 100 * len(blocks)


def _not_there(path, good):
    """Leave nothing under the path."""


def _empty(path, good):
    path.write_bytes(b"")


def _text(path, good):
    path.write_text("time;force\n0.0;1.0\n" * 200)


def _foreign(path, good):
    with h5py.File(path, "w") as file:
        file["history"] = [1.0]


def _newer(path, good):
    shutil.copy(good, path)
    with h5py.File(path, "r+") as file:
        file.attrs["format_version"] = 99


def _cut(path, good):
    path.write_bytes(good.read_bytes()[:-1000])


def _cut_short(path, good):
    path.write_bytes(good.read_bytes()[:100])


def _stripped(path, good):
    shutil.copy(good, path)
    with h5py.File(path, "r+") as file:
        del file["impacts"]
        del file.attrs["status"]


def _folder(path, good):
    path.mkdir()


def _no_block(path, good):
    parts_folder(path).mkdir()


@pytest.mark.parametrize(
    ("prepare", "words"),
    [
        (_not_there, "does not exist"),
        (_empty, "is empty"),
        (_text, "not an HDF5 file"),
        (_foreign, "not a history written by rollsim"),
        (_newer, "format version 99; this rollsim reads version 1"),
        (_cut, "cut short"),
        (_cut_short, "cut short|damaged"),
        (_stripped, "incomplete: status, impacts missing"),
        (_folder, "is a folder"),
        (_no_block, "no block of it is finished"),
    ],
)
def test_history_file_that_cannot_be_read_is_explained(make_run, tmp_path, prepare, words):
    good, _ = make_run(1)
    path = tmp_path / "other.h5"
    prepare(path, good)
    with pytest.raises(HistoryError, match=words) as caught:
        open_history(path)
    assert "other.h5" in str(caught.value)
    assert caught.value.exit_code == 2


def test_history_flipped_byte_in_a_finished_file_is_noticed(make_run):
    path, blocks = make_run(1, rows=1000)
    with h5py.File(path) as file:
        place = file["history/pocket_force"].id.get_chunk_info(0).byte_offset
    raw = bytearray(path.read_bytes())
    raw[place + 200] ^= 1
    path.write_bytes(raw)
    with open_history(path) as history:
        with pytest.raises(HistoryError, match="damaged"):
            history.channel("pocket_force")
        np.testing.assert_array_equal(
            history.channel("cage_position"), blocks[0].history["cage_position"]
        )


def test_history_opens_with_xarray_by_name_and_unit(make_run):
    xarray = pytest.importorskip("xarray")
    pytest.importorskip("h5netcdf")
    path, blocks = make_run(3)
    options = {"engine": "h5netcdf"}
    with xarray.open_dataset(path, group="history", **options) as data:
        force = data["pocket_force"]
        assert force.dims == ("time", "roller", "face")
        assert force.attrs["units"] == "N"
        assert data["roller_position"].dims == ("time", "roller", "axis")
        assert data["cage_tilt"].dims == ("time", "transverse")
        assert data["land_force"].dims == ("time", "land", "axis")
        assert data["time"].attrs["units"] == "s"
        chosen = force.sel(face="trailing", roller=2).sel(time=slice(0.1005, 0.2005))
        np.testing.assert_array_equal(chosen, blocks[1].history["pocket_force"][:, 2, 1])
    with xarray.open_dataset(path, group="peak", **options) as data:
        assert data["raceway_force"].dims == ("time", "roller", "ring")
        assert list(data["ring"].values) == ["outer", "inner"]
        assert data.sizes["time"] == 300
    with xarray.open_dataset(path, group="impacts", **options) as data:
        assert data["impulse"].dims == ("episode",)
        assert data["impulse"].attrs["units"] == "N s"
        assert data.sizes["episode"] == 21
    with xarray.open_dataset(path, group="quality", **options) as data:
        assert data["energy_residual"].dims == ("block",)
        assert data.sizes["block"] == 3
    with xarray.open_dataset(path, **options) as data:
        assert data.attrs["case_name"] == "small"


def test_history_keeps_its_case(tmp_path):
    write_synthetic_history(tmp_path / "run.h5", roller_count=7, duration_s=0.2)
    with open_history(tmp_path / "run.h5") as history:
        assert history.case.roller.count == 7
        assert history.case.text == history.attributes["case_text"]
        assert history.case is history.case


def test_history_synthetic_content_is_what_its_truth_says(tmp_path):
    truth = write_synthetic_history(
        tmp_path / "run.h5", duration_s=0.2, rate_Hz=50_000, whirl_ratio=1.5, peak_spread=0.5
    )
    with open_history(tmp_path / "run.h5") as history:
        time, position = history.time, history.channel("cage_position")
        np.testing.assert_allclose(np.hypot(*position.T[:2]), truth.whirl_radius, rtol=1e-12)
        turned = np.unwrap(np.arctan2(position[:, 1], position[:, 0]))
        speed = (turned[-1] - turned[0]) / (time[-1] - time[0])
        assert speed == pytest.approx(1.5 * truth.cage_speed, rel=1e-9)
        forces = history.channel("pocket_force")
        sampled = forces[:, :, 0].sum(axis=0) * (time[1] - time[0])
        np.testing.assert_allclose(sampled, truth.impulses.sum(axis=1), rtol=1e-3)
        peaks = history.peak("pocket_force")
        assert np.all(peaks >= forces)
        np.testing.assert_allclose(peaks.max(axis=(0, 2)), truth.peaks.max(axis=1), rtol=1e-6)
        table = history.impacts()
    assert len(table["peak"]) == truth.peaks.size
    for roller in range(6):
        np.testing.assert_array_equal(table["peak"][table["roller"] == roller], truth.peaks[roller])
    assert np.all(np.diff(table["start"]) >= 0.0)
