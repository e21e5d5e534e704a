"""Runs side by side, each in a process of its own.

One process a run, not a pool: a pool is lost as a whole when one of its processes is killed.
"""

import contextlib
import multiprocessing
import os
import signal
from collections import deque
from multiprocessing.connection import wait
from typing import NamedTuple

from rollsim.sweep.worker import DONE, FAILED, REACHED, SAID, work

_LOOK_S = 1.0
_PATIENCE_S = 5.0
_ONE_THREAD = (
    "OMP_NUM_THREADS",
    "OPENBLAS_NUM_THREADS",
    "MKL_NUM_THREADS",
    "BLIS_NUM_THREADS",
    "VECLIB_MAXIMUM_THREADS",
    "NUMBA_NUM_THREADS",
)


class Outcome(NamedTuple):
    """How a run ended: values (numbers by name) and an empty reason, or why it failed."""

    values: dict
    reason: str


class _Worker(NamedTuple):
    """A process at work: its task, process, and our end of the pipe."""

    task: object
    process: object
    pipe: object


class EvaluationListener:
    """What listeners to evaluations of finished runs have in common."""

    def reached(self, *_):
        """Nothing runs through simulated time here."""

    def said(self, *_):
        """An evaluation says nothing on its way."""


def run_side_by_side(tasks, jobs, listener, time_is_up=lambda: False):
    """Run tasks in worker processes; one that fails or is killed leaves the others alone.

    However this ends, by Ctrl-C too, no worker is left behind. A worker that is ended early loses
    at most the block in progress.

    Parameters
    ----------
    tasks : iterable of Task
        In the order in which they are begun.
    jobs : int
        Most workers at a time.
    listener : object
        Methods reached(number, time s, largest force N or None), said(number, text) and
        ended(number, Outcome).
    time_is_up : callable
        Asked about once a second and after every end; True ends all work early.
    """
    waiting, crew = deque(tasks), {}
    context = multiprocessing.get_context("spawn")
    try:
        while (waiting or crew) and not time_is_up():
            while waiting and len(crew) < jobs:
                with _interrupt_held():
                    worker = _start(context, waiting.popleft())
                    crew[worker.pipe] = worker
            for pipe in wait(list(crew), _LOOK_S):
                if _hear(crew[pipe], listener):
                    _join(crew.pop(pipe))
    finally:
        _end(crew.values())


def _start(context, task):
    """A worker at a task."""
    ours, theirs = context.Pipe(duplex=False)
    process = context.Process(target=work, args=(task, theirs), daemon=True)
    with _one_thread_each():
        process.start()
    theirs.close()
    return _Worker(task, process, ours)


@contextlib.contextmanager
def _one_thread_each():
    """Processes started inside use one thread for linear algebra: the runs share the cores."""
    before = {name: os.environ.get(name) for name in _ONE_THREAD}
    os.environ.update(dict.fromkeys(_ONE_THREAD, "1"))
    try:
        yield
    finally:
        for name, value in before.items():
            if value is None:
                del os.environ[name]
            else:
                os.environ[name] = value


@contextlib.contextmanager
def _interrupt_held():
    """Ctrl-C waits until the end of the block, and processes started inside never see it."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    from multiprocessing import resource_tracker

    resource_tracker.ensure_running()  # its own start would lift the mask
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _hear(worker, listener):
    """Pass on the next message of a worker; True after its last one."""
    number = worker.task.number
    try:
        kind, *content = worker.pipe.recv()
    except (EOFError, OSError):
        worker.process.join()
        listener.ended(number, Outcome({}, _last_words(worker.process.exitcode)))
        return True
    if kind == REACHED:
        listener.reached(number, *content)
    elif kind == SAID:
        listener.said(number, *content)
    elif kind in (DONE, FAILED):
        [what] = content
        listener.ended(number, Outcome(what, "") if kind == DONE else Outcome({}, what))
        return True
    return False


def _last_words(code):
    """Why a process ended without a word."""
    if code is not None and code < 0:
        with contextlib.suppress(ValueError):
            name = signal.Signals(-code).name
            return (
                f"its process was ended from outside ({name}), by somebody or by the system, "
                "which does so when memory runs out"
            )
    return f"its process ended without a word (exit code {code})"


def _join(worker):
    """Let a worker that has told everything go."""
    worker.pipe.close()
    worker.process.join(_PATIENCE_S)
    if worker.process.is_alive():
        _end([worker])


def _end(workers):
    """End workers that are still at work."""
    workers = list(workers)
    for worker in workers:
        worker.process.terminate()
    for worker in workers:
        worker.process.join(_PATIENCE_S)
        if worker.process.is_alive():
            worker.process.kill()
            worker.process.join()
        with contextlib.suppress(OSError):
            worker.pipe.close()
