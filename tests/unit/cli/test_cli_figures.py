"""Options that all commands with figures share: format and width on paper."""

import re

import pytest

DRAWING = ("peaks", "whirl", "slip", "fatigue", "vibration", "cage", "compare", "sensitivity")


def test_format_and_width_reach_the_files(rollsim, finished, tmp_path):
    options = ("-o", tmp_path / "paper", "--format", "svg", "--width-mm", "85")
    answer = rollsim("whirl", finished[0] / "six.h5", *options, folder=tmp_path)
    assert answer.code == 0, answer.err
    picture = tmp_path / "paper" / "whirl.svg"
    assert 'width="85.000mm"' in re.search(r"<svg[^>]*>", picture.read_text("utf-8"))[0]
    assert f"wrote {picture}" in answer.out
    assert f"wrote {picture.with_suffix('.txt')}" in answer.out
    assert not list((tmp_path / "paper").glob("*.png"))


def test_a_width_that_no_paper_has_is_refused(rollsim, finished, tmp_path):
    answer = rollsim("peaks", finished[0] / "six.h5", "--width-mm", "5", folder=tmp_path)
    assert answer.code == 2 and "60" in answer.err


@pytest.mark.parametrize("command", ["peaks", "whirl", "slip", "fatigue"])
@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("--width-mm", "-5"), "60"),
        (("--width-mm", "wide"), "not a valid float"),
        (("--format", "bmp"), "'png', 'svg', 'pdf'"),
        (("-o", "file/within"), "folder"),
        (("-o", "file"), "is a file"),
    ],
)
def test_a_picture_that_cannot_be_is_refused(rollsim, finished, tmp_path, command, options, words):
    (tmp_path / "file").write_text("no folder")
    answer = rollsim(command, finished[0] / "six.h5", *options, folder=tmp_path)
    assert (answer.code, answer.out) == (2, "")
    assert words in answer.err
    assert "Traceback" not in answer.err
    assert [path.name for path in tmp_path.iterdir()] == ["file"]


@pytest.mark.parametrize("suffix", ["png", "svg", "pdf"])
def test_every_format_is_written_at_its_width(rollsim, finished, tmp_path, suffix):
    options = ("-o", tmp_path, "--format", suffix, "--width-mm", "85")
    assert rollsim("peaks", finished[0] / "six.h5", *options, folder=tmp_path).code == 0
    content = (tmp_path / f"pocket_map.{suffix}").read_bytes()
    starts = {"png": b"\x89PNG", "svg": b"<?xml", "pdf": b"%PDF"}
    assert content.startswith(starts[suffix])
    if suffix == "pdf":
        box = re.search(rb"/MediaBox \[ 0 0 ([\d.]+)", content)
        assert float(box[1]) == pytest.approx(85.0 / 25.4 * 72.0, abs=0.1)


@pytest.mark.parametrize("command", DRAWING)
def test_every_command_that_draws_has_the_options(rollsim, tmp_path, command):
    text = rollsim(command, "--help", folder=tmp_path).out
    assert "--format" in text and "--width-mm" in text
