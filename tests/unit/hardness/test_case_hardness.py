"""Spoilt case files: words and exit code 2, never a traceback, a hang or a run."""

import copy
import tomllib
from pathlib import Path

import pytest
from hard import (
    FEW,
    MANY,
    bounded,
    command,
    examples,
    peak_memory,
    sound,
    spoilt_bytes,
    wrong_values,
)
from hypothesis import given
from hypothesis import strategies as st

from rollsim.case.change import toml_text
from rollsim.case.read import load_case
from rollsim.errors import CaseError

CASES = sorted((Path(__file__).resolve().parents[3] / "cases").glob("*.toml"))
CASES.append(CASES[0].parents[1] / "tests" / "data" / "case_six_rollers.toml")


def places(data, path=()):
    """Paths of all tables, lists and values of a case."""
    items = data.items() if isinstance(data, dict) else enumerate(data)
    for key, value in items:
        yield (*path, key)
        if isinstance(value, dict | list):
            yield from places(value, (*path, key))


def at(data, path):
    """Table or list that holds the last step of a path."""
    for step in path[:-1]:
        data = data[step]
    return data


@st.composite
def spoilt_values(draw):
    """Text of a shipped case with keys missing, doubled, renamed or of other values."""
    data = tomllib.loads(draw(st.sampled_from(CASES)).read_text("utf-8"))
    for _ in range(draw(st.integers(1, 3))):
        known = list(places(data))
        if not known:
            break
        path = draw(st.sampled_from(known))
        holder, key = at(data, path), path[-1]
        kind = draw(st.sampled_from(("value", "value", "scale", "missing", "rename", "copy")))
        if kind == "value":
            # A value of its own: one and the same table put into itself has no end.
            holder[key] = copy.deepcopy(draw(wrong_values()))
        elif kind == "scale" and isinstance(holder[key], int | float):
            factor = draw(st.sampled_from((-1, 0, 1e-6, 0.1, 0.5, 0.9, 1.1, 2, 10, 1000, 1e9)))
            holder[key] = factor * holder[key]
        elif kind == "missing":
            del holder[key]
        elif kind == "rename" and isinstance(holder, dict):
            holder[draw(st.text(min_size=1, max_size=12))] = holder.pop(key)
        elif isinstance(holder, list):
            holder += [copy.deepcopy(holder[key]) for _ in range(draw(st.integers(1, 3)))]
    try:
        return toml_text(data).encode("utf-8", "surrogatepass")
    except (TypeError, ValueError, AttributeError, KeyError):
        return repr(data).encode("utf-8", "surrogatepass")  # what TOML cannot even say


@st.composite
def spoilt_text(draw):
    """Bytes of a shipped case, spoilt."""
    return draw(spoilt_bytes(draw(st.sampled_from(CASES)).read_bytes()))


@st.composite
def deep(draw):
    """Tables and lists within each other, long names, long numbers, many tables."""
    depth = draw(st.sampled_from((10, 1000, 50_000)))
    form = draw(st.sampled_from(("[" * depth, "a." * depth + "b = 1", "{a = " * depth,
        "[[vibration]]\n" * depth, "x = " + "9" * depth, "[" + "a." * depth + "b]",
        "s = '" + "\u202e" * depth + "'", '"' + "k" * depth + '" = 1')))  # fmt: skip
    text = draw(st.sampled_from(CASES)).read_text("utf-8")
    value = f"seed = {form}\n" if form[0] in "[{" and draw(st.booleans()) else f"{form}\n"
    where = draw(st.sampled_from(("start", "end")))
    return (value + text if where == "start" else text + "\n" + value).encode()


ANY = st.one_of(spoilt_values(), spoilt_values(), spoilt_text(), deep())


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """Folder with the recordings of the cases."""
    folder = tmp_path_factory.mktemp("cases")
    for path in CASES[0].parent.glob("*.csv"):
        (folder / path.name).write_bytes(path.read_bytes())
    return folder


def check(folder, content):
    """A case is refused with all its problems, or it is sound enough for everything after it."""
    path = folder / "case.toml"
    path.write_bytes(content)
    with bounded():
        try:
            load_case(path)
        except CaseError as problem:
            assert len(str(problem)) > 10
            assert all(item.message for item in problem.problems)
        else:
            sound(command("check", path, "--no-trial"))
    assert {item.suffix for item in folder.iterdir()} <= {".csv", ".toml"}


@given(content=ANY)
@examples(FEW)
def test_a_spoilt_case_ends_in_words(folder, content):
    check(folder, content)


@pytest.mark.long
@given(content=ANY)
@examples(MANY)
def test_two_thousand_spoilt_cases_end_in_words(folder, content):
    check(folder, content)


def test_a_refused_case_starts_no_run(folder):
    path = folder / "case.toml"
    path.write_text(CASES[-1].read_text("utf-8").replace("count = 6", "count = 600"), "utf-8")
    answer = sound(command("run", path, "-o", folder / "out.h5"))
    assert answer.code == 2
    assert not (folder / "out.h5").exists() and not (folder / "out.h5.parts").exists()


@pytest.mark.parametrize("form", ["a." * 50_000 + "b = 1", "[" + "'a' . " * 50_000 + "b]"])
def test_names_of_many_parts_are_refused_before_they_take_memory(folder, form):
    path = folder / "case.toml"
    path.write_text(form, "utf-8")
    before = peak_memory()
    with pytest.raises(CaseError, match="more than 32 parts"):
        load_case(path)
    assert peak_memory() - before < 50e6
