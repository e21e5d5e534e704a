"""When a run ends before its end: Ctrl-C, a request of the system, a limit on elapsed time."""

import os
import signal
import threading
import time
from contextlib import contextmanager, suppress

from rollsim.errors import RunError

_WORDS = {"SIGINT": "by Ctrl-C", "SIGTERM": "by a request to end (SIGTERM)"}
_NOTICE = (
    "\nStopping as soon as the block at hand is finished and safe, which takes seconds; "
    "once more stops at once.\n"
)


class RunStopped(RunError):
    """A run that was asked to stop and did so between two blocks; it can go on (exit code 1)."""


class PoliteStop:
    """Signals that end a run between two blocks, within a `with` statement.

    Called, it tells why the run is to stop, or None. A signal before the first call, or a second
    one, raises KeyboardInterrupt at once. Outside the main thread signals stay as they are.
    """

    def __init__(self):
        self._reason = None
        self._asked = False
        self._before = {}

    def __enter__(self):
        """Take over the signals."""
        if threading.current_thread() is threading.main_thread():
            for name in _WORDS:
                number = getattr(signal, name)
                self._before[number] = signal.signal(number, self._hear)
        return self

    def __exit__(self, *_):
        """Give the signals back."""
        for number, handler in self._before.items():
            signal.signal(number, handler)

    def __call__(self):
        """Why the run is to stop, in words that follow "stopped", or None."""
        self._asked = True
        return self._reason

    def _hear(self, number, _):
        """Remember the first signal; raise where nobody would ask for it soon."""
        if self._reason or not self._asked:
            raise KeyboardInterrupt
        self._reason = _WORDS[signal.Signals(number).name]
        with suppress(OSError):  # print may be at work at this very moment
            os.write(2, _NOTICE.encode("ascii"))


@contextmanager
def ending_like_interrupt():
    """Within a `with` statement a request of the system to end (SIGTERM) acts like Ctrl-C.

    Yields
    ------
    None
    """

    def interrupt(*_):
        raise KeyboardInterrupt

    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGTERM, interrupt)
    try:
        yield
    finally:
        signal.signal(signal.SIGTERM, before)


class TimeLimit:
    """Limit on the elapsed time of a run, kept by ending before the block that would pass it.

    Elapsed time comes from a clock that nobody can set. At least one block is always computed, so
    that a run with a short limit, started again and again, still comes to its end.

    Parameters
    ----------
    hours : float or None
        The limit; None for none.
    clock : callable
        Gives seconds.
    """

    def __init__(self, hours, clock=time.monotonic):
        self._hours = hours
        self._clock = clock
        self._began = self._last = clock()
        self._longest = 0.0

    def __call__(self):
        """Asked after every block: why the run is to stop, in words, or None."""
        now = self._clock()
        self._longest = max(self._longest, now - self._last)
        self._last = now
        if self._hours is None or now - self._began + self._longest <= 3600.0 * self._hours:
            return None
        return f"because the {self._hours:g} h that were allowed are over"

    def begin(self):
        """The first block begins now; what went before counts as elapsed all the same."""
        self._last = self._clock()
