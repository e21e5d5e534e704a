"""The commands reproduce and quality."""

import json

import h5py


def test_a_finished_run_is_the_same_to_the_bit(rollsim, finished):
    folder, _ = finished
    answer = rollsim("reproduce", "six.h5", folder=folder)
    assert answer.code == 0
    assert "Same to the bit" in answer.out
    assert "version, libraries, machine and inputs are those of the stored run" in answer.out


def test_a_difference_ends_with_exit_code_1(rollsim, finished, tmp_path):
    path = tmp_path / "six.h5"
    path.write_bytes((finished[0] / "six.h5").read_bytes())
    with h5py.File(path, "r+") as file:
        file["history/cage_speed"][10] += 1.0
    answer = rollsim("reproduce", "six.h5", "--json", folder=tmp_path)
    assert answer.code == 1
    found = json.loads(answer.out)
    assert found["same"] is False
    assert [item["name"] for item in found["sameness"]["differences"]] == ["cage_speed"]
    assert "did not come out the same" in answer.err


def test_what_cannot_be_repeated_ends_with_exit_code_2(rollsim, finished, tmp_path):
    (tmp_path / "no.h5").write_text("text", "utf-8")
    for name, words in (("no.h5", "not an HDF5 file"), ("none.h5", "does not exist")):
        answer = rollsim("reproduce", name, folder=tmp_path)
        assert answer.code == 2 and words in answer.err


def test_quality_says_fit_and_where_the_checks_are(rollsim, finished):
    answer = rollsim("quality", "six.h5", folder=finished[0])
    assert answer.code == 0
    assert answer.out.startswith("Quality of the run: fit for use as far as checked")
    assert "--check tolerance" in " ".join(answer.out.split())


def test_peaks_and_fatigue_show_the_quality(rollsim, finished, tmp_path):
    path = tmp_path / "six.h5"
    path.write_bytes((finished[0] / "six.h5").read_bytes())
    with h5py.File(path, "r+") as file:
        file["quality/energy_residual"][...] = 1.0
    for command in ("peaks", "fatigue"):
        answer = rollsim(command, "six.h5", folder=tmp_path)
        assert answer.code == 0
        assert answer.out.startswith("!! UNFIT for use: energy balance")
        assert "rule: at most 1 % of the heat" in " ".join(answer.out.split())
        found = json.loads(rollsim(command, "six.h5", "--json", folder=tmp_path).out)
        assert found["quality"]["fit"] is False


def test_a_span_without_a_check_is_refused(rollsim, finished):
    answer = rollsim("quality", "six.h5", "--span", "1", folder=finished[0])
    assert answer.code == 2 and "--check" in answer.err
