"""Quantities of a run that do not come out; worker processes import them from here."""

import os
import signal

from rollsim.errors import RollsimError
from rollsim.sweep.quantities import Quantity


def _kill_in_second(history):
    """The process of the second replicate is killed from outside."""
    if history.path.stem.endswith("_r02"):
        os.kill(os.getpid(), signal.SIGKILL)
    return 1.0


def _refuse(history):
    """A run that cannot be evaluated."""
    raise RollsimError("too short to be judged")


def _break(history):
    """A defect of the program."""
    raise ZeroDivisionError("by zero")


KILLING = Quantity("killing", "kills its process", "", _kill_in_second)
REFUSING = Quantity("refusing", "refuses", "", _refuse)
BREAKING = Quantity("breaking", "breaks", "", _break)
