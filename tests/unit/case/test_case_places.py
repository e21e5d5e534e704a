"""Files that a case names: looked for where the user points and nowhere else, and told."""

import os
from pathlib import Path

import pytest

from rollsim.case.places import elsewhere, named_elsewhere, named_path
from rollsim.case.read import load_case
from rollsim.errors import RollsimError
from rollsim.model.recording.replay import fingerprints

BASE = (Path(__file__).parents[2] / "data" / "case_six_rollers.toml").read_text("utf-8")
SOURCE = """
[[vibration]]
kind = "recording"
file = "{file}"
channels = ["a"]
axis = ["x"]
unit = "g"
rate_Hz = 2000.0
"""


@pytest.fixture
def site(tmp_path):
    """Folder of a case, with a recording in it and another one outside."""
    folder = tmp_path / "site"
    (folder / "records").mkdir(parents=True)
    for place in (folder / "records" / "in.csv", tmp_path / "out.csv"):
        place.write_text("a\n" + "0.1\n-0.1\n" * 200, "utf-8")
    return folder


def _case(folder, file):
    path = folder / "case.toml"
    path.write_text(BASE + SOURCE.format(file=file), "utf-8")
    return load_case(path)


def test_a_path_within_the_folder_is_not_told(site, monkeypatch):
    monkeypatch.chdir(site.parent)
    case = _case(Path("site"), "records/in.csv")
    assert named_elsewhere(case) == [] and "in.csv" in fingerprints(case)
    assert elsewhere(site / "case.toml", "records/../records/in.csv") == ""


def test_only_the_folder_of_the_case_counts(site, monkeypatch):
    monkeypatch.chdir(site / "records")
    with pytest.raises(RollsimError, match="starts at the folder of the case file"):
        fingerprints(_case(site, "in.csv"))


@pytest.mark.parametrize("how", ["absolute", "above", "link"])
def test_a_file_elsewhere_is_read_and_told(site, how):
    outside = site.parent / "out.csv"
    file = {"absolute": outside.as_posix(), "above": "../out.csv", "link": "linked.csv"}[how]
    if how == "link":
        os.symlink(outside, site / "linked.csv")
    case = _case(site, file)
    (told,) = named_elsewhere(case)
    words = {"absolute": "an absolute path", "above": "outside the folder", "link": "a link leads"}
    assert told.startswith(f"{file}: read from {outside.resolve()}") and words[how] in told
    assert "out.csv" in fingerprints(case) or "linked.csv" in fingerprints(case)


def test_links_within_the_folder_and_to_the_folder_are_no_matter(site):
    os.symlink(site / "records" / "in.csv", site / "inner.csv")
    os.symlink(site, site.parent / "also")
    assert elsewhere(site.parent / "also" / "case.toml", "inner.csv") == ""


def test_home_is_the_home_folder(site, monkeypatch):
    monkeypatch.setenv("HOME", str(site.parent))
    assert named_path(site / "case.toml", "~/out.csv") == site.parent / "out.csv"


def test_check_and_run_say_so(site):
    from click.testing import CliRunner

    from rollsim.cli import commands

    _case(site, "../out.csv")
    words = CliRunner().invoke(commands, ["check", str(site / "case.toml"), "--no-trial"]).output
    assert "../out.csv: read from" in " ".join(words.split())
    out = ["-o", str(site / "out.h5"), "--duration", "0.02"]
    words = CliRunner().invoke(commands, ["run", str(site / "case.toml"), *out]).output
    assert "Warning: ../out.csv: read from" in words and (site / "out.h5").is_file()
    text = (
        (site / "case.toml")
        .read_text("utf-8")
        .replace("[case]", '[case]\nenvironments_file = "../e.toml"')
    )
    (site.parent / "e.toml").write_text(
        '[environment.own]\npsd = [[10.0, 0.01], [100.0, 0.01]]\npsd_unit = "g2/Hz"\n'
        'source = "a record"\nbasis = "measured"\n', "utf-8"
    )  # fmt: skip
    (site / "case.toml").write_text(text, "utf-8")
    told = named_elsewhere(load_case(site / "case.toml"))
    assert [line.partition(":")[0] for line in told] == ["../e.toml", "../out.csv"]
