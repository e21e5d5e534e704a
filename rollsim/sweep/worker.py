"""What a worker process does: one run, told about through a pipe."""

import contextlib
import multiprocessing
import os
import signal
import threading
import traceback
from dataclasses import dataclass
from functools import partial
from multiprocessing.connection import wait
from pathlib import Path
from typing import Any

from rollsim.errors import RollsimError

#: Kinds of message from a worker.
REACHED, SAID, DONE, FAILED = "reached", "said", "done", "failed"


@dataclass(frozen=True)
class Task:
    """One run for a worker.

    Fields: number (of the replicate, from 1); case (Case); path (history file); options
    (RunOptions, with the seed); elasticity (CageElasticity); measure (function of a module that
    takes the path of the finished history and gives numbers by name); finished (the history is
    there already, only the numbers are missing).
    """

    number: int
    case: Any
    path: Path
    options: Any
    elasticity: Any
    measure: Any
    finished: bool = False


class _Teller:
    """Progress of the run, passed on through the pipe."""

    def __init__(self, pipe):
        self._pipe = pipe

    def __call__(self, total, start):
        """Stand in for the class of a progress display."""
        self._pipe.send((REACHED, start, None))
        return self

    def update(self, reached, largest):
        """Pass on simulated time reached, s, and largest pocket force, N."""
        self._pipe.send((REACHED, reached, largest))

    def close(self):
        """Nothing to tidy up."""


def work(task, pipe):
    """Run a task and tell how it went; never raises.

    Parameters
    ----------
    task : Task
        The run.
    pipe : multiprocessing.connection.Connection
        Takes tuples: (REACHED, time s, largest force N or None), (SAID, text), (DONE, dict of
        numbers) or (FAILED, reason) as the last one.
    """
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the parent decides what Ctrl-C means
    signal.signal(signal.SIGTERM, signal.SIG_DFL)  # a fork would inherit its handler
    _end_with_parent()
    try:
        pipe.send(_outcome(task, pipe))
        pipe.close()
    except OSError:
        os._exit(1)  # nobody listens any more


def _outcome(task, pipe):
    """Last message of a run."""
    try:
        if not task.finished:
            # Imported here: what only evaluates needs none of the equations of motion.
            from rollsim.simulation.run import run

            say = partial(_say, pipe)
            run(task.case, task.path, task.options, _Teller(pipe), say, task.elasticity)
    except RollsimError as problem:
        return FAILED, str(problem)
    except Exception as problem:
        return FAILED, _defect(problem)
    try:
        return DONE, task.measure(task.path)
    except RollsimError as problem:
        return FAILED, f"the run is finished, but cannot be evaluated: {problem}"
    except Exception as problem:
        return FAILED, f"the run is finished, but cannot be evaluated: {_defect(problem)}"


def _defect(problem):
    """Words for a defect of the program, which must not take the other runs along.

    Its place goes to the error stream, for those who mend it.
    """
    with contextlib.suppress(OSError):
        traceback.print_exc()
    return f"unexpected {type(problem).__name__}: {problem}"


def _say(pipe, text):
    """Pass on a line of text."""
    pipe.send((SAID, text))


def _end_with_parent():
    """End this process when its parent does, however the parent dies."""
    parent = multiprocessing.parent_process()

    def watch():
        wait([parent.sentinel])
        os._exit(1)

    if parent is not None:
        threading.Thread(target=watch, daemon=True).start()
