"""What a set of replicates is asked for, and what it gives."""

from dataclasses import dataclass
from pathlib import Path

from rollsim.analysis.intervals import ReplicateInterval
from rollsim.sweep.quantities import Quantity

FINISHED, FAILED, BEGUN, NOT_BEGUN = "finished", "failed", "begun", "not begun"


@dataclass(frozen=True)
class SetPlan:
    """How a set of replicates is run.

    Fields: jobs (runs side by side; None for the physical cores that this process may use);
    quantity (name in `QUANTITIES`, or a Quantity); within (relative half width of its interval up
    to which more replicates are run; None for a fixed number); most (largest number of
    replicates, with `within`); hours (of waiting, after which work ends; None for no limit);
    keep_source_seeds (sources of vibration with a seed of their own repeat their signal in every
    replicate).
    """

    jobs: int | None = None
    quantity: str | Quantity = "peak_force"
    within: float | None = None
    most: int = 50
    hours: float | None = None
    keep_source_seeds: bool = False


@dataclass(frozen=True)
class Replicate:
    """One run of a set.

    Fields: number (from 1); seed; path; state (`FINISHED`, `FAILED`, `BEGUN` or `NOT_BEGUN`);
    reason (why it failed); reached s (simulated time that is there); values (numbers by name).
    """

    number: int
    seed: int
    path: Path
    state: str
    reason: str
    reached: float
    values: dict


@dataclass(frozen=True)
class ReplicateSet:
    """A set of replicates after a command.

    Fields: case_name; seed (that the others come from); duration_s s (of one run); list_path (the
    list of the set); replicates; quantity; interval (of its median over the finished replicates;
    None where it cannot be told); within (relative half width asked for, None for a fixed number);
    narrow_enough (None for a fixed number); ended (why work ended, a sentence); notes (sentences).
    """

    case_name: str
    seed: int
    duration_s: float
    list_path: Path
    replicates: tuple[Replicate, ...]
    quantity: Quantity
    interval: ReplicateInterval | None
    within: float | None
    narrow_enough: bool | None
    ended: str
    notes: tuple[str, ...]

    @property
    def finished(self):
        """The replicates that are finished."""
        return tuple(row for row in self.replicates if row.state == FINISHED)

    @property
    def failed(self):
        """The replicates that failed."""
        return tuple(row for row in self.replicates if row.state == FAILED)
