"""Options that no run can follow are refused before anything is written."""

import math

import pytest

from rollsim.simulation.output import RefusedRun
from rollsim.simulation.run import RunOptions, run


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"seed": -1}, "seed -1 is not a whole number of 0 to 4294967295"),
        ({"seed": 2**32}, "seed 4294967296"),
        ({"seed": 1.5}, "seed 1.5"),
        ({"duration": 0.0}, "duration 0 s"),
        ({"duration": -1.0}, "duration -1 s"),
        ({"duration": math.nan}, "duration nan s"),
        ({"duration": math.inf}, "duration inf s"),
        ({"duration": 2e5}, "duration 200000 s is not between 0 and 100000 s"),
        ({"duration": 0.01}, "not longer than duty.settle_s = 0.01 s"),
        ({"solver": "Euler"}, "Unknown solver 'Euler'; known: leapfrog, dormand_prince, RK45"),
    ],
)
def test_an_impossible_option_is_refused(six_rollers, tmp_path, options, words):
    with pytest.raises(RefusedRun, match=words) as refusal:
        run(six_rollers(), tmp_path / "out.h5", **options)
    assert refusal.value.exit_code == 2
    assert list(tmp_path.iterdir()) == []


def test_a_run_without_a_sample_is_refused(six_rollers, tmp_path):
    with pytest.raises(RefusedRun, match="one output interval"):
        run(six_rollers(duty__settle_s=0.0), tmp_path / "out.h5", duration=1e-4)


def test_unknown_options_are_a_programming_error(six_rollers, tmp_path):
    with pytest.raises(TypeError, match="durations"):
        run(six_rollers(), tmp_path / "out.h5", durations=1.0)


def test_single_options_go_before_a_set_of_them(six_rollers, run_case):
    history = run_case(six_rollers(), options=RunOptions(seed=7, duration=0.05), duration=0.02)
    assert history.attributes["seed"] == 7
    assert history.time[-1] == pytest.approx(0.02)


def test_a_folder_that_cannot_be_made_is_named(six_rollers, tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(RefusedRun, match="Cannot make the folder"):
        run(six_rollers(), tmp_path / "file" / "below" / "out.h5")
    with pytest.raises(RefusedRun, match="Cannot"):
        run(six_rollers(), tmp_path / "file" / "out.h5")


def test_a_folder_as_output_is_refused(six_rollers, tmp_path):
    (tmp_path / "out.h5").mkdir()
    with pytest.raises(RefusedRun, match="is a folder"):
        run(six_rollers(), tmp_path / "out.h5")
