"""Rows unpacked beside HDF5: the same to the bit, or left to HDF5."""

import h5py
import numpy as np
import pytest

from rollsim.errors import HistoryError
from rollsim.history.reader import open_history
from rollsim.history.store import FileStore
from rollsim.history.unpacking import unpacked_rows

ROWS, CHUNK = 2500, 1000


@pytest.fixture
def dataset(tmp_path):
    """Function that writes an array with the given filters and opens it as a dataset."""
    files = []

    def write(values, **filters):
        file = h5py.File(tmp_path / f"{len(files)}.h5", "w")
        files.append(file)
        own = {"chunks": (CHUNK, *values.shape[1:])} | filters
        data = file.create_dataset("values", data=values, **own)
        file.flush()
        return data

    yield write
    for file in files:
        file.close()


OURS = {"shuffle": True, "compression": "gzip", "compression_opts": 1, "fletcher32": True}


@pytest.mark.parametrize("dtype", ["f4", "f8", "i4", "u1"])
@pytest.mark.parametrize("shape", [(), (3,), (6, 2)])
@pytest.mark.parametrize(
    ("start", "stop"), [(0, ROWS), (1, 2499), (999, 1300), (1000, 2000), (2000, ROWS)]
)
def test_rows_are_those_of_hdf5(dataset, dtype, shape, start, stop):
    values = (1000 * np.random.default_rng(1).normal(size=(ROWS, *shape))).astype(dtype)
    found = unpacked_rows(dataset(values, **OURS), start, stop)
    assert found.dtype == values.dtype
    np.testing.assert_array_equal(found, values[start:stop])
    assert found.flags.c_contiguous
    assert found.flags.writeable


@pytest.mark.parametrize(
    ("dtype", "filters"),
    [
        ("f4", {}),
        ("f4", {"compression": "gzip", "fletcher32": True}),
        ("f4", OURS | {"compression": "lzf", "compression_opts": None}),
        ("f4", OURS | {"chunks": (CHUNK, 1)}),
        ("f4", OURS | {"chunks": (100, 3)}),
        (">f4", OURS),
    ],
)
def test_what_is_stored_otherwise_is_left_to_hdf5(dataset, dtype, filters):
    values = np.ones((ROWS, 3), dtype=dtype)
    assert unpacked_rows(dataset(values, **filters), 0, ROWS) is None


def test_few_rows_are_left_to_hdf5(dataset):
    assert unpacked_rows(dataset(np.ones((ROWS, 3)), **OURS), 0, 100) is None


def test_a_chunk_that_was_never_written_is_left_to_hdf5(dataset):
    data = dataset(np.ones((CHUNK, 3)), maxshape=(None, 3), **OURS)
    data.resize(ROWS, axis=0)
    assert unpacked_rows(data, 0, ROWS) is None
    assert data[0:ROWS].sum() == 3 * CHUNK


def test_damage_is_told(make_run, tmp_path):
    path, _ = make_run(1, rows=1000)
    with h5py.File(path) as file:
        place = file["history/pocket_force"].id.get_chunk_info(0)
        assert unpacked_rows(file["history/pocket_force"], 0, 1000) is not None
    content = bytearray(path.read_bytes())
    content[place.byte_offset + place.size // 2] ^= 0xFF
    other = tmp_path / "damaged.h5"
    other.write_bytes(content)
    with h5py.File(other) as file:
        assert unpacked_rows(file["history/pocket_force"], 0, 1000) is None
    with open_history(other) as history, pytest.raises(HistoryError, match="damaged"):
        history.channel("pocket_force")


def test_a_history_is_read_this_way(make_run, monkeypatch):
    path, blocks = make_run(3, rows=1000)
    read = []

    def noted(data, start, stop):
        found = unpacked_rows(data, start, stop)
        read.append(found is not None)
        return found

    monkeypatch.setattr("rollsim.history.store.unpacked_rows", noted)
    store = FileStore(path)
    for name in ("pocket_force", "cage_angle"):
        whole = np.concatenate([block.history[name] for block in blocks])
        np.testing.assert_array_equal(store.read("history", name), whole)
        np.testing.assert_array_equal(store.read("history", name, -700, -50), whole[-700:-50])
    store.close()
    assert read == [True] * 4
