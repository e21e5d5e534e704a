"""Reading from disk: what is no case file is refused in plain words."""

import pytest

from rollsim.case.read import load_case, parse_case
from rollsim.errors import CaseError


def _refusal(path):
    with pytest.raises(CaseError) as caught:
        load_case(path)
    (problem,) = caught.value.problems
    return str(problem)


def test_missing_file_names_the_nearest_one(tmp_path):
    (tmp_path / "screen.toml").write_text("[case]")
    path = tmp_path / "scren.toml"
    assert _refusal(path) == f"{path}: no such file; did you mean 'screen.toml'?"


def test_missing_file_in_missing_folder(tmp_path):
    path = tmp_path / "nowhere" / "screen.toml"
    assert _refusal(path) == f"{path}: no such file"


def test_folder_is_refused(tmp_path):
    assert _refusal(tmp_path) == f"{tmp_path}: is a folder, not a case file"


@pytest.mark.parametrize("content", ["", "  \n\n", "# only a remark\n"])
def test_empty_file_is_refused(tmp_path, content):
    path = tmp_path / "empty.toml"
    path.write_text(content)
    expected = f"{path}: the file holds no case; `rollsim new FILE` writes a commented one"
    assert _refusal(path) == expected


def test_other_encoding_is_refused_with_its_line(tmp_path):
    path = tmp_path / "latin.toml"
    path.write_bytes('[case]\nname = "Käfig"\n'.encode("latin-1"))
    assert _refusal(path) == f"{path}, line 2: the text is not UTF-8: save the file as UTF-8"


def test_too_large_file_is_refused(tmp_path):
    path = tmp_path / "large.toml"
    path.write_bytes(b"#" * 1_500_000)
    assert _refusal(path) == f"{path}: is too large for a case file: 1.5 MB, at most 1 MB"


def test_impossible_name_is_refused():
    with pytest.raises(CaseError, match=r"no such file|cannot be read"):
        load_case("a\0b.toml")


def test_byte_order_mark_and_windows_lines_are_read(tmp_path, good_text):
    path = tmp_path / "windows.toml"
    path.write_bytes(b"\xef\xbb\xbf" + good_text.replace("\n", "\r\n").encode())
    case = load_case(path)
    assert case.roller.count == 18
    assert case.name == str(path)


def test_lines_are_right_in_a_file_with_windows_lines(good_text):
    text = good_text.replace("count = 18", "count = 1").replace("\n", "\r\n")
    with pytest.raises(CaseError) as caught:
        parse_case(text)
    assert caught.value.problems[0].line == 11


@pytest.mark.parametrize(
    "text",
    [
        "a = " + "[" * 5000 + "]" * 5000,
        "a = " + "9" * 6000,
        "[case]\nname = " + "[" * 200 + "]" * 200,
    ],
)
def test_absurd_texts_end_in_a_plain_error(text):
    with pytest.raises(CaseError):
        parse_case(text)


def test_every_cut_of_a_good_file_is_read_or_refused_plainly(good_text):
    for end in range(0, len(good_text), 7):
        try:
            parse_case(good_text[:end])
        except CaseError as error:
            assert str(error)
