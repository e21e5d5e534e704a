"""Results of a history on disk: found again for the same file and sources, and harmless."""

import os
import pickle
from functools import partial
from types import SimpleNamespace

import numpy as np
import pytest

from rollsim.errors import RollsimError
from rollsim.history import kept_results
from rollsim.history.kept_results import (
    keep_results,
    opened_with_results,
    read_results,
    results_file,
)
from rollsim.history.reader import open_history
from rollsim.history.worked_out import WorkedOut, once_a_history


@pytest.fixture
def room(monkeypatch, tmp_path):
    """Room for results in a folder of the test; gives a function that changes it."""
    monkeypatch.setenv("ROLLSIM_CACHE", str(tmp_path / "cache"))
    change = partial(monkeypatch.setattr, kept_results, "ROOM_BYTES")
    change(1_000_000)
    return change


@once_a_history(apart=("helper",))
def _sums(history, name="cage_speed", times=1.0, helper=None):
    """Something to work out; tells how often."""
    _sums.calls += 1
    return times * history.channel(name).sum()


_sums.calls = 0


def test_work_is_done_once_where_results_are_kept(make_run):
    path, _ = make_run(2)
    with open_history(path) as history:
        before = _sums.calls
        first = [_sums(history), _sums(history)]
        assert _sums.calls == before + 2  # nothing is kept unasked
        history.keep_results()
        second = [
            _sums(history),
            _sums(history, "cage_speed"),
            _sums(history, times=1.0),
            _sums(history, helper=object()),
        ]
        assert _sums.calls == before + 3
        assert {*first, *second} == {first[0]}
        assert _sums(history, times=2.0) == 2.0 * first[0]
        assert _sums.calls == before + 4
        assert history.results.grew


def test_what_has_no_name_is_worked_out_every_time():
    history = SimpleNamespace(results=WorkedOut(), channel=lambda name: np.ones(3))
    before = _sums.calls
    assert _sums(history, times=np.float64(2.0)) == _sums(history, times=2.0) == 6.0
    assert _sums(history, times=np.array(2.0)) == 6.0
    assert _sums.calls == before + 2
    with pytest.raises(TypeError, match="is not a function of a module"):
        once_a_history(lambda history: 0)


def test_an_error_is_no_result():
    history = SimpleNamespace(results=WorkedOut(), channel=lambda name: {}[name])
    for _ in range(2):
        with pytest.raises(KeyError):
            _sums(history)
    assert not history.results.grew


def test_results_come_back_the_next_time(make_run, room):
    path, _ = make_run(2)
    with opened_with_results(path) as history:
        first = _sums(history)
    before = _sums.calls
    with opened_with_results(path) as history:
        assert _sums(history) == first
        assert not history.results.grew
    assert _sums.calls == before
    with opened_with_results(path, afresh=True) as history:
        assert _sums(history) == first
    assert _sums.calls == before + 1


def test_a_file_that_was_written_again_has_none(make_run, room):
    path, _ = make_run(2)
    assert keep_results(path, {"a": 1}) is not None
    assert read_results(path) == {"a": 1}
    state = path.stat()
    os.utime(path, ns=(state.st_atime_ns, state.st_mtime_ns + 1000))
    assert read_results(path) == {}
    os.utime(path, ns=(state.st_atime_ns, state.st_mtime_ns))
    assert read_results(path) == {"a": 1}
    content = bytearray(path.read_bytes())
    content[-1] ^= 1
    path.write_bytes(content)
    os.utime(path, ns=(state.st_atime_ns, state.st_mtime_ns))
    assert read_results(path) == {}


def test_other_sources_have_none(make_run, room, monkeypatch):
    path, _ = make_run(2)
    keep_results(path, {"a": 1})
    other = kept_results.software() | {"sources": "changed"}
    monkeypatch.setattr(kept_results, "software", lambda: other)
    assert read_results(path) == {}


def test_an_unfinished_run_keeps_nothing_on_disk(make_run, room, tmp_path):
    path, _ = make_run(2, finish=False)
    with opened_with_results(path) as history:
        before = _sums.calls
        assert _sums(history) == _sums(history)
        assert _sums.calls == before + 1
    assert not list(tmp_path.rglob("*.results"))


def test_the_oldest_results_make_room(make_run, room, tmp_path):
    path, _ = make_run(1)
    room(25_000)
    files = []
    for number in range(3):
        state = path.stat()
        os.utime(path, ns=(state.st_atime_ns, state.st_mtime_ns + 1_000_000))
        files.append(keep_results(path, {"a": b"x" * 10_000}))
        os.utime(files[-1], (number, number))
    assert [file.exists() for file in files] == [False, True, True]
    assert keep_results(path, {"a": b"x" * 30_000}) is None
    assert [file.exists() for file in files] == [False, True, True]


def _pickled(module, name):
    """Bytes of a pickled dict with a thing in it that is asked for by its name."""
    return b"(dS'a'\nc" + f"{module}\n{name}\n".encode() + b"s."


class _Opener:
    """Asks the reader to call a function of the system."""

    def __reduce__(self):
        return os.system, ("echo no",)


@pytest.mark.parametrize(
    "content",
    [
        pickle.dumps({"a": _Opener()}),
        pickle.dumps({"a": RollsimError.__init__}),
        pickle.dumps({"a": open_history}),
        _pickled("rollsim.sweep.crew", "deque"),
        _pickled("rollsim.report.document.page", "ThreadPoolExecutor"),
        _pickled("builtins", "eval"),
        pickle.dumps(["a"]),
        pickle.dumps({"a": 1})[:-2],
        b"",
    ],
)
def test_a_foreign_file_of_results_is_left_alone(make_run, room, content, capfd):
    path, _ = make_run(1)
    keep_results(path, {"a": 1})
    results_file(path).write_bytes(content)
    assert read_results(path) == {}
    assert capfd.readouterr() == ("", "")


def test_no_right_to_write_is_no_error(make_run, room, monkeypatch, tmp_path):
    path, _ = make_run(1)
    (tmp_path / "file").write_text("", "utf-8")
    monkeypatch.setenv("ROLLSIM_CACHE", str(tmp_path / "file"))
    assert keep_results(path, {"a": 1}) is None
    assert read_results(path) == {}
    assert read_results(tmp_path / "none.h5") == {}
