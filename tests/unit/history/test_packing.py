"""Packed chunks are those that HDF5's own filters unpack, with any deflate there is."""

import sys

import h5py
import numpy as np
import pytest

from rollsim.history.layout import CHANNELS
from rollsim.history.packing import packed_rows
from rollsim.history.segments import create_table, write_rows
from rollsim.kernels import packing as kernels


@pytest.fixture(params=["isal", "zlib"])
def deflate(request, monkeypatch):
    """The fast deflate, where it is installed, and that of Python's own library."""
    if request.param == "isal":
        pytest.importorskip("isal")
    else:
        monkeypatch.setitem(sys.modules, "isal", None)


@pytest.mark.parametrize("name", ["time", "pocket_force"])
@pytest.mark.parametrize("rows", [0, 1, 999, 1000, 2600])
def test_hdf5_reads_what_was_packed_without_it(tmp_path, deflate, name, rows):
    channel = CHANNELS["history"][name]
    shape = (rows,) if name == "time" else (rows, 5, 4)
    values = np.random.default_rng(rows).normal(size=shape).astype(channel.dtype)
    with h5py.File(tmp_path / "a.h5", "w") as file:
        write_rows(create_table(file, channel, shape, 1000), 0, packed_rows(values, 1000))
    with h5py.File(tmp_path / "a.h5") as file:
        read = file[name]
        assert (read.compression, read.shuffle, read.fletcher32) == ("gzip", True, True)
        np.testing.assert_array_equal(read[...], values)


def test_a_flipped_bit_is_found_by_hdf5(tmp_path, deflate):
    channel = CHANNELS["history"]["time"]
    packed = packed_rows(np.random.default_rng(1).normal(size=1000))
    mask, content = packed.chunk(0)
    wrong = bytearray(content)
    wrong[len(wrong) // 2] ^= 4
    with h5py.File(tmp_path / "a.h5", "w") as file:
        create_table(file, channel, (1000,), 1000).write_direct_chunk((0,), bytes(wrong), mask)
    with h5py.File(tmp_path / "a.h5") as file, pytest.raises(OSError, match="read"):
        file["time"][...]


@pytest.mark.parametrize("plain", [True, False])
def test_check_sum_of_hdf5(plain):
    """Against HDF5's own sum, of lengths around the folds and of bytes that carry."""
    check = kernels.fletcher32.py_func if plain else kernels.fletcher32
    rng = np.random.default_rng(2)
    contents = [rng.integers(0, 256, size, dtype=np.uint8) for size in (1, 2, 719, 720, 721, 5000)]
    contents += [np.zeros(10, np.uint8), np.full(70_000, 255, np.uint8)]
    for data in contents:
        plan = h5py.h5p.create(h5py.h5p.DATASET_CREATE)
        plan.set_chunk(data.shape)
        plan.set_fletcher32()
        with h5py.File("sums", "w", driver="core", backing_store=False) as file:
            space = h5py.h5s.create_simple(data.shape)
            own = h5py.h5d.create(file.id, b"data", h5py.h5t.NATIVE_UINT8, space, plan)
            own.write(h5py.h5s.ALL, h5py.h5s.ALL, data)
            file.flush()
            _, stored = own.read_direct_chunk((0,))
        assert int(check(data)) == int.from_bytes(stored[-4:], "little")


@pytest.mark.parametrize("plain", [True, False])
def test_shuffled_bytes_stand_by_their_place(plain):
    shuffle = kernels.shuffle_bytes.py_func if plain else kernels.shuffle_bytes
    values = np.arange(24, dtype=np.uint8).reshape(6, 4)
    target = np.empty((4, 6), dtype=np.uint8)
    shuffle(values, target)
    np.testing.assert_array_equal(target, values.T)
