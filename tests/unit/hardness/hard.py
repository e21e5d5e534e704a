"""Calls the command line in this process and spoils files in all the ways that files get spoilt."""

import contextlib
import faulthandler
import io
import os
import resource
import signal
import sys
from typing import NamedTuple
from unittest import mock

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st

#: Examples of one kind: a few in every run of the tests, many where the long ones are asked for.
FEW, MANY = 15, 2000
#: Seconds of processor time after which a command counts as hanging.
PATIENCE = 60
#: Seconds of elapsed time that one example may take, and bytes that it may add.
LONGEST, MOST_MEMORY = 600, 2e9
_WRONG = (
    0, -1, 1, 2**63, 2**80, -(10**30), 1e308, -1e308, 5e-324, float("nan"), float("inf"),
    -float("inf"), True, False, "", "x", "é\u202e\U0001f600", "../../etc/passwd", "\0", [], [[]],
    [1, "a", None], [0.0, 0.0], [[1.0, 2.0], [1.0, 2.0]], {}, {"kind": "psd"}, [{}], "nan", "1e5",
)  # fmt: skip


class Answer(NamedTuple):
    """What a command answered."""

    code: int
    out: str
    err: str


def examples(count):
    """Settings of a property test: no database, no deadline but the one of `command`."""
    return settings(
        max_examples=count,
        deadline=None,
        database=None,
        derandomize=count == FEW,
        suppress_health_check=list(HealthCheck),
    )


class Hanging(BaseException):
    """A command took too long; no handler of the program may catch this."""


def _hangs(*_):
    """Break off what hangs."""
    raise Hanging


def command(*arguments):
    """Run `rollsim` with arguments; anything but a plain exit code is an error of the test."""
    from rollsim.cli import main

    out, err = io.StringIO(), io.StringIO()
    handler = signal.signal(signal.SIGVTALRM, _hangs)
    signal.setitimer(signal.ITIMER_VIRTUAL, PATIENCE)
    code = 0
    try:
        with (
            contextlib.redirect_stdout(out),
            contextlib.redirect_stderr(err),
            mock.patch.object(sys, "argv", ["rollsim", *map(str, arguments)]),
            mock.patch.dict(os.environ, ROLLSIM_TRACEBACK="1"),
        ):
            main()
    except SystemExit as end:
        code = end.code or 0
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0)
        signal.signal(signal.SIGVTALRM, handler)
    return Answer(code, out.getvalue(), err.getvalue())


@contextlib.contextmanager
def bounded():
    """Bound time and memory: what the library itself hangs in ends the tests, with the place."""
    before = peak_memory()
    faulthandler.dump_traceback_later(LONGEST, exit=True)
    try:
        yield
    finally:
        faulthandler.cancel_dump_traceback_later()
    assert peak_memory() - before < MOST_MEMORY


def sound(answer):
    """A command either did its work or said in words why not."""
    assert answer.code in (0, 1, 2), answer
    assert "Traceback" not in answer.err + answer.out
    if answer.code:
        assert len(answer.err.strip()) > 10, answer
        assert len(answer.err) < 200_000
    return answer


def peak_memory():
    """Largest memory of this process so far, bytes."""
    factor = 1 if sys.platform == "darwin" else 1024
    return factor * resource.getrusage(resource.RUSAGE_SELF).ru_maxrss


def wrong_values():
    """A value that hardly any key takes."""
    numbers = st.floats(allow_nan=True, allow_infinity=True) | st.integers()
    return st.sampled_from(_WRONG) | numbers | st.text(max_size=30)


@st.composite
def spoilt_bytes(draw, content):
    """Content cut short, with bytes changed, taken out, put in or doubled."""
    data = bytearray(content)
    for _ in range(draw(st.integers(1, 6))):
        if not data:
            break
        # Heads of files hold their structure: half of all faults go there.
        reach = len(data) if draw(st.booleans()) else min(len(data), 4096)
        at = draw(st.integers(0, reach - 1))
        kind = draw(st.sampled_from(("change", "cut", "remove", "insert", "double", "zero")))
        length = draw(st.integers(1, 64))
        if kind == "change":
            data[at] = draw(st.integers(0, 255))
        elif kind == "cut":
            del data[at:]
        elif kind == "remove":
            del data[at : at + length]
        elif kind == "insert":
            data[at:at] = draw(st.binary(min_size=1, max_size=64))
        elif kind == "double":
            data[at:at] = data[at : at + length]
        else:
            data[at : at + length] = bytes(len(data[at : at + length]))
    return bytes(data)
