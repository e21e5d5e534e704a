"""Histories of closure forces and stress in a file of their own."""

import h5py
import numpy as np
import pytest
import xarray
from force_history import ForceHistory, cover_pulses, no_force

from rollsim.errors import RollsimError
from rollsim.fatigue import stress_file as module
from rollsim.fatigue.stress_file import FORMAT, write_stress_file
from rollsim.fatigue.verdict import fatigue
from rollsim.structure.recovery import cage_recovery


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    """A history with pulses between samples, its verdict and its file."""
    sample, peak = no_force(600), cover_pulses(300.0, samples=600)
    sample[259::20, 3, 3] = 120.0
    history = ForceHistory(sample, np.maximum(sample, peak), more="preload_N = 200.0")
    history.attributes["case_text"] = "the case"
    result = fatigue(history)
    path = tmp_path_factory.mktemp("stress") / "s.h5"
    assert write_stress_file(history, result, path) == path
    return history, result, path


def test_names_dimensions_units_and_attributes(written):
    history, result, path = written
    with xarray.open_dataset(path, engine="h5netcdf") as data:
        assert data.closure_force.dims == ("time", "closure", "force_component")
        assert data.stress.dims == data.largest_stress.dims == ("time", "place")
        units = {name: data[name].attrs["units"] for name in data.data_vars}
        assert units == {
            "closure_force": "N",
            "closure_moment": "N m",
            "stress": "Pa",
            "largest_stress": "Pa",
            "least_stress": "Pa",
        }
        assert data.time.values == pytest.approx(history.time[history.settled])
        assert data.closure.values.tolist() == list(range(1, 19))
        assert data.sizes["place"] == sum(len(spot.bars) for spot in result.spots)
        assert str(data.place.values[3]) == "rivet head fillet, bar 4"
        assert data.attrs["format"] == FORMAT and data.attrs["method"] == result.method
        assert data.attrs["case_text"] == "the case"


def test_values_are_those_of_the_loads_at_the_sample(written):
    history, _, path = written
    recovery = cage_recovery(history.case)
    loads = np.zeros((2, recovery.load_count))
    loads[1, 3] = 120.0
    found = recovery.section_forces(loads).interface + recovery.preload.interface
    with h5py.File(path) as file:
        rows = np.searchsorted(file["time"][:], [258.5 / 5000, 259.5 / 5000])
        force, moment = file["closure_force"][rows], file["closure_moment"][rows]
    scale = np.abs(found).max(axis=(0, 1))
    assert np.all(np.abs(force - found[..., :3]).max(axis=(0, 1)) <= 1e-5 * scale[:3].max())
    assert np.all(np.abs(moment - found[..., 3:]).max(axis=(0, 1)) <= 1e-5 * scale[3:].max())
    # No load: the preload alone.
    assert force[0, :, 0] == pytest.approx(np.full(18, 200.0), rel=1e-5)


def test_stress_spans_what_the_verdict_saw(written):
    _, result, path = written
    with h5py.File(path) as file:
        stress, largest, least = (
            file[name][:] for name in ("stress", "largest_stress", "least_stress")
        )
    assert np.all(least <= stress) and np.all(stress <= largest)
    spot = result.spots[0]
    own = largest[:, : len(spot.bars)].max(axis=0)
    # The highest stress may stand at another point than the most damaged one.
    assert np.all(own <= spot.highest_stress * (1.0 + 1e-5))
    assert own == pytest.approx(spot.highest_stress, rel=0.05)
    # The strongest pulses lie between the samples.
    assert own.max() > 1.5 * stress[:, : len(spot.bars)].max()


def test_a_failure_leaves_the_earlier_file_and_nothing_else(written, tmp_path, monkeypatch):
    history, result, _ = written
    path = tmp_path / "s.h5"
    path.write_bytes(b"earlier")

    def broken(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(module, "_make_tables", broken)
    with pytest.raises(RollsimError, match="the disk is full"):
        write_stress_file(history, result, path)
    assert path.read_bytes() == b"earlier" and list(tmp_path.iterdir()) == [path]


def test_the_history_itself_is_not_overwritten(written, tmp_path):
    history, result, _ = written
    with pytest.raises(RollsimError, match="no place for a stress file"):
        write_stress_file(history, result, tmp_path)
    history.path = tmp_path / "run.h5"
    with pytest.raises(RollsimError, match="no place for a stress file"):
        write_stress_file(history, result, tmp_path / "run.h5")
    del history.path
    with pytest.raises(RollsimError, match="folder does not exist"):
        write_stress_file(history, result, tmp_path / "none" / "s.h5")


def test_a_cage_in_one_piece_has_no_closures_but_stress(tmp_path):
    history = ForceHistory(cover_pulses(50.0, samples=400), closure="one_piece")
    path = write_stress_file(history, fatigue(history), tmp_path / "s.h5")
    with xarray.open_dataset(path, engine="h5netcdf") as data:
        assert data.sizes["place"] == 36
        assert float(data.stress.max()) > 0.0
