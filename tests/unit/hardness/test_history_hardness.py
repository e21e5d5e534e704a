"""Spoilt, cut and foreign histories: words and exit code 2, never a traceback or a hang."""

import json

import h5py
import numpy as np
import pytest
from hard import FEW, MANY, bounded, command, examples, sound, spoilt_bytes, wrong_values
from hypothesis import given
from hypothesis import strategies as st
from synthetic_history import write_synthetic_history

import rollsim
from rollsim.errors import HistoryError, RollsimError
from rollsim.history import open_history
from rollsim.history.layout import CHANNELS

EVALUATIONS = ("peaks", "whirl", "slip", "wear")


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """Folder with a small whole history, good.h5."""
    folder = tmp_path_factory.mktemp("histories")
    write_synthetic_history(folder / "good.h5", duration_s=0.4, rate_Hz=500, settle_s=0.1)
    return folder


def read_all(path):
    """Read everything that a history has, as the commands do."""
    try:
        with open_history(path) as history:
            history.quality(), history.impacts(), history.checkpoint(), history.modes()
            for group in ("history", "peak"):
                for name in history.names(group):
                    history.raw(group, name)
            _ = history.assumptions, history.environments, history.roller_count, history.settled
    except HistoryError as problem:
        assert str(path) in str(problem)


def read_and_evaluate(path, name):
    """Read a file, evaluate it without pictures, ask for its status."""
    read_all(path)
    try:
        with open_history(path) as history:
            getattr(rollsim, name)(history)
    except RollsimError as problem:
        assert len(str(problem)) > 10
    sound(command("status", path))


@st.composite
def changes(draw):
    """What is done to a whole file through the library: kind, place, value."""
    kind = draw(st.sampled_from(("attribute", "missing", "type", "shape", "values", "link")))
    group = draw(st.sampled_from((*CHANNELS, "checkpoint")))
    return kind, group, draw(st.integers(0, 30)), draw(wrong_values())


def change(path, kind, group, number, value):
    """Spoil a file that stays valid HDF5."""
    with h5py.File(path, "r+") as file:
        names = sorted(file.attrs)
        if kind == "attribute":
            file.attrs[names[number % len(names)]] = _as_attribute(value)
            return
        members = sorted(file[group])
        name = members[number % len(members)]
        where = f"{group}/{name}"
        if kind == "values":
            data = file[where]
            if data.dtype.kind == "f" and data.size and data.ndim:
                number = isinstance(value, int | float) and abs(value) < 1e300
                data[0] = np.float32(value if number else np.nan)
            return
        del file[where]
        if kind == "type":
            file[group].create_dataset(name, data=_as_attribute(value))
        elif kind == "shape":
            file[group].create_dataset(name, shape=(number, 2), dtype="f8")
        elif kind == "link":
            file[where] = (
                h5py.ExternalLink("other.h5", "/x") if number % 2 else h5py.SoftLink("/history")
            )


def _as_attribute(value):
    """What HDF5 can hold, close to a value."""
    if isinstance(value, bool | float):
        return value
    if isinstance(value, int):
        return value if abs(value) < 2**62 else float(min(max(value, -(10**300)), 10**300))
    text = value if isinstance(value, str) else repr(value)
    return text.replace("\0", "?").encode("utf-8", "replace").decode()


def spoil_bytes(folder, data):
    """Write spoilt bytes and read them."""
    path = folder / "spoilt.h5"
    path.write_bytes(data)
    with bounded():
        read_all(path)


def spoil_content(folder, what, name):
    """Spoil the content and hand the file to a command."""
    path = folder / "changed.h5"
    path.write_bytes((folder / "good.h5").read_bytes())
    change(path, *what)
    with bounded():
        read_and_evaluate(path, name)


@pytest.mark.parametrize(
    ("group", "name"),
    [("quality", "energy_residual"), ("quality", "end_time"), ("impacts", "face"),
     ("impacts", "azimuth"), ("impacts", "approach_speed")],
)  # fmt: skip
def test_a_column_that_is_missing_is_named(folder, group, name):
    path = folder / "without.h5"
    path.write_bytes((folder / "good.h5").read_bytes())
    with h5py.File(path, "r+") as file:
        del file[group][name]
    asked = "status" if group == "quality" else "peaks"
    answer = sound(command(asked, path, *(["-o", folder / "found"] if asked == "peaks" else [])))
    if name == "energy_residual":  # the rest of the progress is there
        assert answer.code == 0 and "energy balance" not in answer.out
    else:
        assert answer.code == 2 and f"no channel '{name}' in '{group}'" in answer.err


def test_a_run_without_a_duration_still_tells_its_progress(folder):
    path = folder / "endless.h5"
    path.write_bytes((folder / "good.h5").read_bytes())
    with h5py.File(path, "r+") as file:
        file.attrs["duration_s"] = 0
    answer = sound(command("status", path))
    assert answer.code == 0 and "simulated: 0.4 s\n" in answer.out


@given(data=st.data())
@examples(FEW)
def test_spoilt_bytes_end_in_words(folder, data):
    spoil_bytes(folder, data.draw(spoilt_bytes((folder / "good.h5").read_bytes())))


@given(what=changes(), name=st.sampled_from(EVALUATIONS))
@examples(FEW)
def test_changed_content_ends_in_words(folder, what, name):
    spoil_content(folder, what, name)


@pytest.mark.long
@given(data=st.data())
@examples(MANY)
def test_two_thousand_spoilt_files_end_in_words(folder, data):
    spoil_bytes(folder, data.draw(spoilt_bytes((folder / "good.h5").read_bytes())))


@pytest.mark.long
@given(what=changes(), name=st.sampled_from(EVALUATIONS))
@examples(MANY)
def test_two_thousand_changed_contents_end_in_words(folder, what, name):
    spoil_content(folder, what, name)


def spoilt(folder, tmp_path, work):
    """A copy of the good file, changed by a function, opened."""
    path = tmp_path / "copy.h5"
    path.write_bytes((folder / "good.h5").read_bytes())
    with h5py.File(path, "r+") as file:
        work(file)
    with open_history(path):
        pass


def test_files_that_take_numbers_from_elsewhere_are_refused(folder, tmp_path):
    (tmp_path / "secret.bin").write_bytes(bytes(8 * 200))

    def external(file):
        del file["history/cage_angle"]
        source = [(str(tmp_path / "secret.bin"), 0, 1600)]
        file["history"].create_dataset("cage_angle", (200,), "f8", external=source)

    def link(file):
        del file["history/cage_angle"]
        file["history/cage_angle"] = h5py.ExternalLink("secret.h5", "/x")

    def virtual(file):
        del file["history/cage_angle"]
        layout = h5py.VirtualLayout((200,), "f8")
        layout[:] = h5py.VirtualSource("secret.h5", "x", (200,))
        file["history"].create_virtual_dataset("cage_angle", layout)

    for work in (external, link, virtual):
        with pytest.raises(HistoryError, match="history/cage_angle"):
            spoilt(folder, tmp_path, work)


def test_files_that_claim_more_than_they_store_or_hold_objects_are_refused(folder, tmp_path):
    def huge(file):
        for name in list(file["history"]):
            del file[f"history/{name}"]
        file["history"].create_dataset("time", (10**12,), "f8", chunks=(1000,), compression=1)

    def objects(file):
        file["checkpoint"].create_dataset("x", data=["a"], dtype=h5py.string_dtype())

    for work, words in ((huge, "claims 8000000 MB"), (objects, "no plain numbers")):
        with pytest.raises(HistoryError, match=words):
            spoilt(folder, tmp_path, work)


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("roller_count", 10**9),
        ("settle_s", float("nan")),
        ("environments", json.dumps([{"name": "x"}])),
        ("assumptions", "[" * 10**5),
        ("case_text", 3),
    ],
)
def test_attributes_of_the_wrong_sort_are_refused_by_name(folder, tmp_path, name, value):
    def work(file):
        file.attrs.pop(name, None)
        if isinstance(value, str):
            file.create_dataset("x", data=value)  # long texts do not fit an attribute
            file.attrs[name] = value[:60000]
        else:
            file.attrs[name] = value

    with pytest.raises(HistoryError, match=name):
        spoilt(folder, tmp_path, work)
