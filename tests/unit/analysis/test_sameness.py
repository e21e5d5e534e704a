"""Two histories held against each other bit by bit."""

import h5py
import numpy as np
import pytest
from synthetic_history import write_synthetic_history

from rollsim.analysis.sameness import sameness
from rollsim.history import open_history


@pytest.fixture
def twins(tmp_path):
    """Paths of two files with the same numbers."""
    paths = tmp_path / "a.h5", tmp_path / "b.h5"
    for path in paths:
        write_synthetic_history(path, duration_s=0.6, rate_Hz=1000, noise_N=5.0, seed=4)
    return paths


def compared(paths):
    """Their sameness."""
    with open_history(paths[0]) as first, open_history(paths[1]) as second:
        return sameness(first, second)


def test_equal_runs_are_the_same_whatever_the_time_they_took(twins):
    with h5py.File(twins[1], "r+") as file:
        file["quality/wall_time"][...] += 1.0
        file.attrs["created"] = "another day"
    found = compared(twins)
    assert found.same
    assert found.compared > 40
    assert found.differences == found.only_first == found.only_second == found.attributes == ()


@pytest.mark.parametrize(
    ("dataset", "index", "time"),
    [
        ("history/pocket_force", (399, 2, 1), 0.4),
        ("peak/land_force", (10, 1), 0.011),
        ("history/time", (599,), 0.6),
    ],
)
def test_one_changed_number_is_found_with_its_time(twins, dataset, index, time):
    with h5py.File(twins[1], "r+") as file:
        before = file[dataset][index]
        file[dataset][index] = np.nextafter(before, before.dtype.type(np.inf))
    found = compared(twins)
    (difference,) = found.differences
    assert not found.same
    assert f"{difference.group}/{difference.name}" == dataset
    assert (difference.row, *difference.place) == index
    assert difference.count == 1
    assert difference.time == pytest.approx(time, rel=1e-12)
    assert (difference.first, difference.second) == (
        before,
        np.nextafter(before, np.inf, dtype=before.dtype),
    )


def test_the_earliest_difference_comes_first(twins):
    with h5py.File(twins[1], "r+") as file:
        file["history/cage_speed"][500] += 1.0
        file["peak/pocket_force"][20:30] += 1.0
        file["checkpoint/step_size"][()] = 3e-6
    first, second, third = compared(twins).differences
    assert (first.name, first.row, first.count) == ("pocket_force", 20, 10 * 6 * 4)
    assert (second.name, second.row) == ("cage_speed", 500)
    assert (third.group, third.first, third.second) == ("checkpoint", 2e-6, 3e-6)


def test_zeros_of_another_sign_differ_and_equal_nan_do_not(twins):
    for path, value in zip(twins, (0.0, -0.0), strict=True):
        with h5py.File(path, "r+") as file:
            file["history/cage_tilt"][3, 0] = value
            file["history/cage_tilt"][4, 0] = np.nan
    (difference,) = compared(twins).differences
    assert (difference.row, difference.place, difference.count) == (3, (0,), 1)


def test_missing_rows_channels_and_other_attributes_are_told(twins):
    with h5py.File(twins[1], "r+") as file:
        for name in ("face", "peak", "start"):
            file[f"impacts/{name}"].resize(5, axis=0)
        for name in set(file["impacts"]) - {"face", "peak", "start"}:
            del file[f"impacts/{name}"]
        del file["history/cage_speed"]
        file.attrs["pitch_radius_m"] = 0.1
    found = compared(twins)
    assert "history/cage_speed" in found.only_first and "impacts/roller" in found.only_first
    assert found.only_second == ()
    assert found.attributes == (("pitch_radius_m", 0.091, 0.1),)
    assert [(item.name, item.count) for item in found.differences] == [
        ("face", None), ("start", None), ("peak", None)
    ]  # fmt: skip
    assert {item.group for item in found.differences} == {"impacts"}


def test_the_direction_does_not_matter_for_what_is_missing(twins):
    with h5py.File(twins[0], "r+") as file:
        del file["checkpoint/step_size"]
    assert compared(twins).only_second == ("checkpoint/step_size",)
