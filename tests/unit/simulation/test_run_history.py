"""What a finished run leaves behind."""

import json

import numpy as np
import pytest

from rollsim.simulation.run import preview_duration, run


def test_samples_lie_on_the_output_grid(six_rollers, run_case):
    history = run_case(six_rollers())
    assert history.status == "finished"
    assert np.allclose(history.time, np.arange(1, 301) / 5000.0, rtol=0, atol=1e-12)
    assert np.array_equal(history.time, history.peak("time"))


def test_every_channel_is_finite_and_filled(six_rollers, run_case):
    history = run_case(six_rollers())
    for group in ("history", "peak"):
        for name in history.names(group):
            assert np.all(np.isfinite(history.window(name, 0, np.inf, group))), name
    for name in ("pocket_force", "land_force", "raceway_force"):
        assert history.peak(name).max() > 10.0, name
    assert len(history.impacts()["peak"]) > 20


def test_block_maxima_are_not_below_the_samples(six_rollers, run_case):
    history = run_case(six_rollers())
    for name in ("pocket_force", "raceway_force", "flange_force"):
        assert np.all(history.peak(name) >= history.channel(name) - 1e-3), name
    magnitude = np.linalg.norm(history.channel("land_force"), axis=2)
    # The maxima are those of contact and film pressure; the samples hold friction of 0.1 too, and
    # beside a film force across the line of centres it may have the direction of the whole.
    assert np.all(history.peak("land_force") * 1.1 >= magnitude - 1e-2)
    assert history.peak("pocket_force").max() > history.channel("pocket_force").max()


def test_impacts_agree_with_the_peaks(six_rollers, run_case):
    history = run_case(six_rollers())
    table, peaks = history.impacts(), history.peak("pocket_force")
    in_pocket = table["roller"] >= 0
    # A contact may still be open at the end: its peak is in the maxima only.
    assert table["peak"][in_pocket].max() <= peaks.max() * (1.0 + 1e-6)
    assert np.all(table["duration"] > 0.0)
    assert np.all(table["impulse"] <= table["peak"] * table["duration"] * (1.0 + 1e-9))
    assert np.all(table["peak"] >= 1.0)
    assert set(np.unique(table["face"])) <= {0, 1, 4, 5}
    assert np.array_equal(table["roller"] == -1, table["face"] >= 4)


def test_quality_has_one_row_a_block(six_rollers, run_case):
    quality = run_case(six_rollers()).quality()
    assert np.allclose(quality["end_time"], np.arange(1, 7) / 100.0, atol=4e-4)
    assert np.all(quality["steps"] > 100)
    assert np.all(quality["evaluations"] >= (quality["steps"] + quality["rejected"]))
    assert np.all(quality["wall_time"] > 0.0)


def test_energy_is_kept_within_a_small_share_of_the_heat(six_rollers, run_case):
    quality = run_case(six_rollers()).quality()
    assert quality["heat"][-1] > 0.0
    assert np.abs(quality["energy_residual"]).max() < 0.01 * quality["heat"][-1]


def test_attributes_tell_what_was_run(six_rollers, run_case):
    case = six_rollers()
    found = run_case(case, seed=8, duration=0.03).attributes
    assert found["case_text"] == case.text
    assert (found["seed"], found["duration_s"], found["settle_s"]) == (8, 0.03, 0.01)
    assert (found["solver"], found["motion"], found["roller_count"]) == (
        "leapfrog",
        "planar",
        6,
    )
    assert found["pocket_clearance_m"] == pytest.approx(300e-6)
    assert found["guidance_clearance_m"] == pytest.approx(200e-6)
    keys = [item["key"] for item in json.loads(found["assumptions"])]
    assert len(keys) == len(set(keys)) > 50


def test_xarray_opens_a_run_with_named_dimensions_and_units(six_rollers, run_case):
    xarray = pytest.importorskip("xarray")
    pytest.importorskip("h5netcdf")
    path = run_case(six_rollers()).path
    with xarray.open_dataset(path, engine="h5netcdf", group="history") as data:
        assert data["pocket_force"].dims == ("time", "roller", "face")
        assert data["pocket_force"].sizes["roller"] == 6
        assert data["pocket_force"].attrs["units"] == "N"
        assert list(data["face"].values.astype(str)) == ["leading", "trailing", "base", "cover"]
        assert float(data["time"][-1]) == pytest.approx(0.06)


def test_same_seed_gives_the_same_numbers(six_rollers, run_case, same_results):
    first = run_case(six_rollers(), "first.h5", duration=0.03)
    same_results(first, run_case(six_rollers(), "second.h5", duration=0.03))


def test_size_of_the_blocks_does_not_change_the_numbers(six_rollers, run_case):
    long = run_case(six_rollers(), "long.h5", duration=0.03)
    short = run_case(six_rollers(output__segment_s=0.0042), "short.h5", duration=0.03)
    assert len(short.quality()["steps"]) > len(long.quality()["steps"])
    for name in long.names():
        assert np.array_equal(long.channel(name), short.channel(name)), name
    assert np.array_equal(long.impacts()["impulse"], short.impacts()["impulse"])


def test_another_seed_gives_another_motion(six_rollers, run_case):
    first = run_case(six_rollers(), "first.h5", duration=0.03)
    second = run_case(six_rollers(), "second.h5", duration=0.03, seed=4)
    assert not np.array_equal(
        first.channel("base_acceleration"), second.channel("base_acceleration")
    )
    assert not np.array_equal(
        first.channel("roller_azimuth")[0], second.channel("roller_azimuth")[0]
    )


def test_seed_of_the_call_is_that_of_the_case(six_rollers, run_case):
    """A seed given to the run does the same as the seed written in the case."""
    called = run_case(six_rollers(), "called.h5", duration=0.03, seed=9)
    written = run_case(six_rollers(case__seed=9), "written.h5", duration=0.03)
    for name in called.names():
        assert np.array_equal(called.channel(name), written.channel(name)), name


@pytest.mark.parametrize("duration", [0.03013, 0.0299, 0.02991, 0.0201])
def test_a_duration_between_two_samples_ends_at_the_last_whole_one(six_rollers, run_case, duration):
    history = run_case(six_rollers(), duration=duration)
    assert history.status == "finished"
    assert history.time[-1] <= duration
    assert history.time[-1] > duration - 1.0 / 5000.0 - 1e-12


def test_an_odd_output_rate_is_met(six_rollers, run_case):
    history = run_case(six_rollers(output__rate_Hz=3333.3, output__segment_s=0.007))
    assert len(history.time) == int(0.06 * 3333.3)
    assert np.allclose(np.diff(history.time), 1.0 / 3333.3, rtol=1e-9)


def test_an_output_interval_shorter_than_a_step_is_filled(six_rollers, run_case):
    case = six_rollers(output__rate_Hz=5e5, output__segment_s=0.002, duty__settle_s=0.001)
    history = run_case(case, duration=0.006)
    assert len(history.time) == 3000
    assert np.all(np.diff(history.channel("cage_angle")) > 0.0)


def test_preview_runs_the_preview_duration(six_rollers, run_case):
    case = six_rollers(duty__preview_s=0.02)
    assert preview_duration(case) == 0.02
    assert preview_duration(six_rollers()) == 0.06
    assert preview_duration(six_rollers(duty__duration_s=5.0)) == 1.0
    assert run_case(case, preview=True).time[-1] == pytest.approx(0.02)


def test_a_run_says_nothing_unless_asked(six_rollers, tmp_path, capfd):
    run(six_rollers(), tmp_path / "quiet.h5", duration=0.02)
    assert capfd.readouterr() == ("", "")


def test_a_case_may_be_given_as_a_file(case_file, tmp_path):
    assert run(str(case_file), str(tmp_path / "deep" / "out.h5"), duration=0.02).is_file()


def test_zero_threshold_lists_every_contact(six_rollers, run_case):
    all_of_them = run_case(six_rollers(output__episode_threshold_N=0.0), "all.h5").impacts()
    strong = run_case(six_rollers(output__episode_threshold_N=50.0), "strong.h5").impacts()
    assert len(all_of_them["peak"]) > len(strong["peak"]) > 0
    assert strong["peak"].min() >= 50.0


def test_a_full_episode_table_loses_no_contact(six_rollers, run_case, same_results, monkeypatch):
    usual = run_case(six_rollers(), "usual.h5")
    # Room for the contacts of one step and one more row: the march returns after every episode.
    monkeypatch.setattr("rollsim.simulation.recording.EPISODE_ROWS", 4 * 6 + 2 + 1)
    same_results(usual, run_case(six_rollers(), "small.h5"))
