"""What a one-at-a-time variation of a case is asked for, and what it gives."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from rollsim.analysis.paired import Change

#: Name of the case itself among the variants.
BASE = ""
#: Replicates of every variant, when nothing else is asked for.
REPLICATES = 3


@dataclass(frozen=True)
class Input:
    """One value of a case that is varied.

    Fields: key (dotted); base (value in force, None where the model computes it); values (tried in
    its place); basis (why so far); given (the case gives it).
    """

    key: str
    base: Any
    values: tuple[Any, ...]
    basis: str
    given: bool


@dataclass(frozen=True, eq=False)
class Variant:
    """A case with one other value.

    Fields: name (key and value; `BASE` for the case itself); key; value; case; elasticity (of its
    cage); needs_run (the histories of the case itself do not serve it).
    """

    name: str
    key: str
    value: Any
    case: Any
    elasticity: Any
    needs_run: bool


@dataclass(frozen=True)
class SensitivityPlan:
    """What is varied and how.

    Fields: replicates (of every variant, at least 2); vary (key -> values that the user names);
    only (keys or tables to which everything else is restricted; empty for all); most (most inputs
    that need runs, in the order of the table; None for all); runs (False: only what needs no run of
    its own); jobs (runs side by side, None for the physical cores); hours (of waiting, after which
    work ends; None for no limit).
    """

    replicates: int = REPLICATES
    vary: Mapping[str, tuple[Any, ...]] = field(default_factory=dict)
    only: tuple[str, ...] = ()
    most: int | None = None
    runs: bool = True
    jobs: int | None = None
    hours: float | None = None


@dataclass(frozen=True)
class Bar:
    """What one value does.

    Fields: value; reserve, peak (`Change` against the case itself, None where not known); word
    (side of the limit); flips (the word differs from that of the case itself); needed_run;
    replicates (finished); problem (why something is missing, empty otherwise).
    """

    value: Any
    reserve: Change | None
    peak: Change | None
    word: str
    flips: bool
    needed_run: bool
    replicates: int
    problem: str = ""


@dataclass(frozen=True)
class InputEffect:
    """What one input does.

    Fields: input; bars, one a value.
    """

    input: Input
    bars: tuple[Bar, ...]

    @property
    def flips(self) -> bool:
        """One of its values changes the word."""
        return any(bar.flips for bar in self.bars)

    @property
    def swing(self) -> float:
        """Largest change of the reserve as a natural logarithm; 0 where none is known."""
        return max((abs(bar.reserve.log) for bar in self.bars if bar.reserve), default=0.0)

    @property
    def seen(self) -> bool:
        """One of its values changes the reserve by more than the runs scatter."""
        return any(bar.reserve is not None and bar.reserve.seen for bar in self.bars)


@dataclass(frozen=True)
class Sensitivity:
    """One-at-a-time variation of a case.

    Fields: case_name; seeds (of the replicates; every variant has the same); duration_s s (of one
    run); settle_s s (left out at the start of each); base_reserve, base_peak N (geometric means),
    base_word; base_reserve_interval (90 %, None where not known); base_yield_share; effects (those
    that flip the word first, then by their swing); pairing (variance of the logarithm of a ratio,
    same seeds over independent ones, by name of the quantity; None where not known); smallest_seen
    (change of the reserve in runs that would just be seen, as a factor; None); refused (variant,
    reason), left_out (key, reason): pairs; unfinished (names of variants without all replicates);
    list_path; notes: sentences.
    """

    case_name: str
    seeds: tuple[int, ...]
    duration_s: float
    settle_s: float
    base_reserve: float
    base_peak: float
    base_word: str
    base_reserve_interval: tuple[float, float] | None
    base_yield_share: float
    effects: tuple[InputEffect, ...]
    pairing: dict[str, float | None]
    smallest_seen: float | None
    refused: tuple[tuple[str, str], ...]
    left_out: tuple[tuple[str, str], ...]
    unfinished: tuple[str, ...]
    list_path: Path
    notes: tuple[str, ...]

    @property
    def flipping(self) -> tuple[str, ...]:
        """Keys that change the word."""
        return tuple(effect.input.key for effect in self.effects if effect.flips)
