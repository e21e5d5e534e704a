"""A stored run again: same to the bit, or what differs and why."""

import hashlib
import json

import h5py
import numpy as np
import pytest

from rollsim.case.change import changed_case
from rollsim.case.read import load_case
from rollsim.errors import HistoryError
from rollsim.history import open_history, provenance
from rollsim.report.reproduce_text import reproduce_dict, reproduce_text
from rollsim.simulation.output import RefusedRun
from rollsim.simulation.provenance import stored_provenance
from rollsim.sweep.launch import run
from rollsim.sweep.reproduce import ReproduceOptions, reproduce

RECORDING = """
[[vibration]]
kind = "recording"
file = "site.csv"
channels = ["a"]
axis = ["x"]
unit = "g"
rate_Hz = 2000.0
seed_note = ""
""".replace('seed_note = ""\n', "")


@pytest.fixture(scope="module")
def stored(six, tmp_path_factory):
    """A finished run."""
    return run(six, tmp_path_factory.mktemp("stored") / "six.h5", seed=11)


@pytest.fixture
def copy(stored, tmp_path):
    """A copy of it that may be spoilt."""
    path = tmp_path / "six.h5"
    path.write_bytes(stored.read_bytes())
    return path


@pytest.fixture
def recorded(six, tmp_path):
    """A finished run of a case file with a recording beside it."""
    folder = tmp_path / "cases"
    folder.mkdir()
    values = np.random.default_rng(1).normal(0.0, 0.1, 400)
    (folder / "site.csv").write_text("a\n" + "\n".join(f"{v:.6f}" for v in values), "utf-8")
    text = changed_case(six, {"vibration[1].seed": 5}).text + RECORDING
    (folder / "six.toml").write_text(text, "utf-8")
    return run(load_case(folder / "six.toml"), tmp_path / "out.h5")


def test_a_run_comes_out_the_same(stored):
    found = reproduce(stored)
    assert found.same
    assert found.changed == ()
    assert found.stopped is None
    text = reproduce_text(found)
    assert "Same to the bit" in text
    assert "seeds: run 11" in text
    assert json.loads(json.dumps(reproduce_dict(found)))["same"] is True


def test_a_run_with_modes_of_the_cage_comes_out_the_same(six, tmp_path):
    case = changed_case(
        six, {"solver.motion": "spatial", "roller.slices": 3, "cage.elastic_modes": 4}
    )
    path = run(case, tmp_path / "modes.h5", duration=0.012)
    with open_history(path) as history:
        assert len(history.modes()["frequencies"]) == 4
    assert reproduce(path).same


def test_the_file_tells_where_the_run_comes_from(recorded):
    with open_history(recorded) as history:
        found = stored_provenance(history)
        text = history.attributes["case_text"]
        assert history.attributes["case_folder"] == str(recorded.parent / "cases")
    sums = {item["role"]: item["sha256"] for item in found["inputs"]}
    site = (recorded.parent / "cases" / "site.csv").read_bytes()
    assert sums == {
        "case": hashlib.sha256(text.encode()).hexdigest(),
        "recording": hashlib.sha256(site).hexdigest(),
    }
    assert found["seeds"] == {"run": 3, "vibration[1]": 5}
    assert {"numpy", "numba", "llvmlite", "h5py", "HDF5", "python"} <= set(found["software"])
    assert found["machine"]["processor"] and found["machine"]["system"]


def test_a_spoilt_number_is_found_and_what_has_changed_is_told(copy):
    with h5py.File(copy, "r+") as file:
        file["history/cage_speed"][100] += 1.0
        own = json.loads(file.attrs["provenance"])
        own["software"]["numba"], own["machine"]["processor"] = "0.1", "another one"
        file.attrs["provenance"] = json.dumps(own)
    found = reproduce(copy)
    assert not found.same
    assert [item.what for item in found.changed] == ["numba", "processor"]
    text = reproduce_text(found)
    assert "first difference: history/cage_speed at 0.0202 s (row 100)" in text
    assert "numba: 0.1 then" in text
    assert "processor: another one then" in text


def test_another_seed_in_the_file_gives_another_run(copy):
    with h5py.File(copy, "r+") as file:
        file.attrs["seed"] = 12
    found = reproduce(copy)
    assert not found.same
    assert len(found.sameness.differences) > 20


def test_files_without_provenance_are_run_all_the_same(copy):
    with h5py.File(copy, "r+") as file:
        del file.attrs["provenance"]
        file.attrs["rollsim_version"] = "0.0.1"
    found = reproduce(copy)
    assert found.same
    assert [item.what for item in found.changed] == ["rollsim"]
    assert "does not tell what computed it" in reproduce_text(found)


def test_recordings_are_found_where_the_case_was(recorded):
    assert reproduce(recorded).same


def test_recordings_are_found_beside_the_history_or_where_the_user_says(recorded):
    folder = recorded.parent / "cases"
    away = recorded.parent / "elsewhere"
    folder.rename(away)
    with pytest.raises(RefusedRun) as refused:
        reproduce(recorded)
    assert "site.csv" in str(refused.value) and "--inputs" in str(refused.value)
    assert refused.value.exit_code == 2
    assert reproduce(recorded, ReproduceOptions(inputs=away)).same
    (recorded.parent / "site.csv").write_bytes((away / "site.csv").read_bytes())
    assert reproduce(recorded).same


def test_a_changed_recording_is_refused_and_named_or_run_anyway(recorded):
    site = recorded.parent / "cases" / "site.csv"
    before = hashlib.sha256(site.read_bytes()).hexdigest()
    site.write_text(site.read_text("utf-8").replace("0.0", "0.1", 5), "utf-8")
    now = hashlib.sha256(site.read_bytes()).hexdigest()
    with pytest.raises(RefusedRun, match=f"site.csv: SHA-256 {before} then, {now} now"):
        reproduce(recorded)
    found = reproduce(recorded, ReproduceOptions(anyway=True))
    assert not found.same
    assert [(item.what, item.then, item.now) for item in found.changed] == [
        ("recording site.csv", before, now)
    ]


def test_the_new_history_is_kept_where_the_user_says(stored, tmp_path):
    kept = tmp_path / "again.h5"
    found = reproduce(stored, ReproduceOptions(output=kept))
    assert found.same and found.again == kept
    with pytest.raises(RefusedRun, match="exists already"):
        reproduce(stored, ReproduceOptions(output=kept))
    assert reproduce(stored, ReproduceOptions(output=kept, overwrite=True)).same
    with pytest.raises(RefusedRun, match="the stored run itself"):
        reproduce(kept, ReproduceOptions(output=kept, overwrite=True))


@pytest.mark.parametrize(
    ("name", "words"),
    [("solver", "lacks solver"), ("cage_backing_N_per_m", "lacks cage_backing_N_per_m")],
)
def test_files_that_lack_something_cannot_be_run_again(copy, name, words):
    with h5py.File(copy, "r+") as file:
        del file.attrs[name]
    with pytest.raises(HistoryError, match=words):
        reproduce(copy)


def test_no_commit_is_told_where_the_package_is_in_no_checkout(tmp_path, monkeypatch):
    (tmp_path / "__init__.py").write_text("", "utf-8")
    monkeypatch.setattr(provenance, "_PACKAGE", tmp_path)
    assert provenance._checkout.__wrapped__() == (None, None)


def test_the_commit_is_that_of_the_checkout(tmp_path, monkeypatch):
    monkeypatch.setattr(provenance, "_PACKAGE", tmp_path)
    if provenance._git("--version") is None:
        pytest.skip("git is not installed")
    file = tmp_path / "__init__.py"
    file.write_text("", "utf-8")
    names = ("-c", "user.name=a", "-c", "user.email=a@example.org")
    for arguments in (("init",), ("add", "."), (*names, "commit", "-m", "first")):
        assert provenance._git(*arguments) is not None
    commit, modified = provenance._checkout.__wrapped__()
    assert len(commit) == 40 and modified is False
    file.write_text("1", "utf-8")
    assert provenance._checkout.__wrapped__() == (commit, True)
