"""Whether the runs are fit for the conclusions: numerics, length, scatter, what is missing."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from rollsim.analysis.quality import run_quality
from rollsim.report.document.gather import Execution
from rollsim.report.plain_data import number
from rollsim.sweep.ranking import FEWEST

#: Turns of the cage below which its statistics say little; our own choice.
_FEW_TURNS = 20.0


def fitness_lines(own: Execution) -> tuple[str, ...]:
    """Say how far the runs of an execution carry.

    Parameters
    ----------
    own : Execution
        Any.

    Returns
    -------
    tuple of str
        Sentences.
    """
    lines = (*_numerics(own), *_length(own), *_warnings(own))
    return tuple(dict.fromkeys(lines))


def _numerics(own: Execution) -> Iterator[str]:
    """Length of the run and its lines of quality, each with its rule."""
    yield f"Run: {number(float(own.history.time[-1]), 4)} s simulated."
    for line in run_quality(own.history).lines:
        found = "" if line.text == line.state else f": {line.text}"
        yield f"{line.name}, {line.state}{found} (rule: {line.rule})."


def _length(own: Execution) -> Iterator[str]:
    """How much was seen."""
    speed = abs(own.whirl.cage_speed)
    turns = own.peaks.end - own.peaks.start
    turns = turns * speed / (2.0 * np.pi) if np.isfinite(speed) else float("nan")
    yield (
        f"Evaluated: {number(own.peaks.end - own.peaks.start, 4)} s after settling,"
        f" {number(turns)} turns of the cage, {len(own.peaks.independent)} independent peaks."
    )
    if turns < _FEW_TURNS:
        yield (
            f"Fewer than {_FEW_TURNS:g} turns of the cage: rare meetings of rollers and bars may"
            " be missing."
        )
    count = own.runs.count
    if count < FEWEST:
        yield (
            f"{count} run{'s' if count > 1 else ''}: one run is one draw of a chaotic motion;"
            f" {FEWEST} replicates at least are needed to tell its scatter."
        )
    else:
        yield f"{count} replicates; the motion, peaks and frames shown are those of the first."
    found = own.peaks.extrapolation
    if found.level is None:
        yield f"Forces of {number(found.horizon_h)} h cannot be told: {'; '.join(found.reasons)}."


def _warnings(own: Execution) -> Iterator[str]:
    """What the evaluations said themselves."""
    yield from own.runs.warnings
    if own.verdict is not None:
        yield from own.verdict.warnings
    for result in (own.peaks, own.whirl, own.slip):
        yield from result.notes
