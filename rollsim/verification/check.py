"""What a published check is: a printed value, where it comes from, and how rollsim computes it."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum
from importlib.util import find_spec


class Basis(Enum):
    """Where an expected value comes from: a short word for tables, and what it means."""

    READ = ("read", "the value stands in a text that was read")
    PARTLY = ("part memory", "the value was read, some inputs come from memory: confirm them")
    WORKED = ("worked", "the formula was read, the value was worked out by a second route")
    MEMORY = ("memory", "the value comes from memory: confirm it before you rely on it")
    CLOSED = ("closed form", "the value is a closed form or an identity")
    ROUTE = ("second route", "the value is computed now, by another route than that of rollsim")
    OWN = ("own solution", "the value is an independent solution made for rollsim, not published")

    @property
    def short(self) -> str:
        """One or two words for a table."""
        return self.value[0]

    @property
    def words(self) -> str:
        """What it means, for people."""
        return self.value[1]

    @property
    def recalled(self) -> bool:
        """Whether something of it comes from memory and wants to be confirmed."""
        return self in (Basis.MEMORY, Basis.PARTLY)


@dataclass(frozen=True)
class Source:
    """Name and year of a source, and the basis on which values of it stand here."""

    name: str
    basis: Basis


@dataclass(frozen=True)
class Check:
    """One number of rollsim beside the number it should be.

    Fields: key (short name, unique); what (quantity and inputs, in words); source; expected (the
    number in `unit`, or a function that computes it by another route); tolerance (share of the
    expected number, or in `unit` where `absolute`); compute (the number of rollsim, in `unit`);
    unit; absolute; needs (name of a library without which the row is left out).
    """

    key: str
    what: str
    source: Source
    expected: float | Callable[[], float]
    tolerance: float
    compute: Callable[[], float]
    unit: str = "-"
    absolute: bool = False
    needs: str = ""


@dataclass(frozen=True)
class Topic:
    """A heading and its checks, in the order in which they are shown."""

    name: str
    checks: tuple[Check, ...]


@dataclass(frozen=True)
class Outcome:
    """What a check gave.

    Fields: check; expected and computed (in the unit of the check, NaN where there is none);
    problem (why nothing could be computed, empty otherwise); left_out (the library that is
    missing, empty otherwise).
    """

    check: Check
    expected: float
    computed: float
    problem: str = ""
    left_out: str = ""

    @property
    def deviation(self) -> float:
        """Computed less expected: a share of the expected value, or in the unit of the check."""
        difference = self.computed - self.expected
        if self.check.absolute:
            return difference
        return difference / abs(self.expected) if self.expected else math.copysign(math.inf, 1.0)

    @property
    def within(self) -> bool:
        """Whether the computed value lies within the tolerance; not where it is not finite."""
        return not self.left_out and abs(self.deviation) <= self.check.tolerance


def outcome_of(check: Check) -> Outcome:
    """Compute one check.

    Parameters
    ----------
    check : Check
        The row.

    Returns
    -------
    Outcome
        An error while computing is told in `problem`; such a row is not within its tolerance.

    Examples
    --------
    >>> source = Source("arithmetic", Basis.CLOSED)
    >>> outcome_of(Check("A", "two by two", source, 4.0, 1e-9, lambda: 2.0 * 2.0)).within
    True
    >>> outcome_of(Check("A", "one by none", source, 4.0, 1e-9, lambda: 1 / 0)).problem
    'ZeroDivisionError: division by zero'
    """
    if check.needs and find_spec(check.needs) is None:
        return Outcome(check, math.nan, math.nan, left_out=check.needs)
    try:
        expected = check.expected() if callable(check.expected) else check.expected
        return Outcome(check, float(expected), float(check.compute()))
    except Exception as problem:  # the row is then off, and the other rows still count
        words = f"{type(problem).__name__}: {problem}"
        return Outcome(check, math.nan, math.nan, problem=words)
