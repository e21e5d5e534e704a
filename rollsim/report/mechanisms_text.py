"""The verdict over all mechanisms of failure: sentence, table, runs, and plain data."""

from __future__ import annotations

import math
import textwrap
from dataclasses import asdict
from typing import Any

from rollsim.fatigue.mechanisms import Mechanism
from rollsim.fatigue.pooling import PooledPart, PooledVerdict
from rollsim.fatigue.result import SURVIVES
from rollsim.report.fatigue_table import factor, hours
from rollsim.report.plain_data import CAUTION, json_ready, number, table

_WIDTH = 96


def verdict_sentence(verdict: PooledVerdict) -> str:
    """What governs, how far it is from its limit, and where the limit comes from.

    Parameters
    ----------
    verdict : PooledVerdict
        From `rollsim.fatigue.pooling`.

    Returns
    -------
    str
    """
    line = verdict.governing
    alone = " FORCES ON THE BARS ALONE" if _is_partial(verdict) else ""
    return (
        f"VERDICT: {line.word.upper()}{alone}, governed by {line.name} ({line.place}): utilisation"
        f" {used(line.utilisation)}, {interval_words(line)}. Limit: {line.basis}."
    )


def _is_partial(verdict: PooledVerdict) -> bool:
    """A survival that nothing but forces on the bars has tested."""
    return verdict.on_bars_alone and verdict.verdict == SURVIVES


def mechanisms_text(verdict: PooledVerdict, closing: bool = False) -> str:
    """Sentence, table of mechanisms and what each rests on.

    Parameters
    ----------
    verdict : PooledVerdict
        From `rollsim.fatigue.pooling`.
    closing : bool
        Whether runs and caution are told too, where no other report follows.

    Returns
    -------
    str
        Lines without a closing line break.
    """
    lines = _wrapped(verdict_sentence(verdict))
    told = () if closing else verdict.states[0].runs[0].result.warnings
    for warning in verdict.warnings:
        lines += [] if warning in told else _wrapped(warning, "!! ", "!! ")
    if closing:
        lines += ["", *_runs(verdict)]
    lines += ["", *_table(verdict), ""]
    for line in verdict.mechanisms:
        if line.is_judged:
            lines += _wrapped(f"{line.name}: {line.note}. Limit: {line.basis}.", "  - ", "    ")
    lines += _told_only(verdict)
    lines += [line for note in verdict.notes for line in _wrapped(note, "  - ", "    ")]
    if closing:
        lines += ["", *_wrapped(CAUTION)]
    return "\n".join(lines)


def _told_only(verdict: PooledVerdict) -> list[str]:
    """Limits that are missing."""
    bare = [line for line in verdict.mechanisms if not line.is_judged]
    if not bare:
        return []
    words = "; ".join(f"{line.name} ({line.place}): {line.basis}" for line in bare)
    return _wrapped(f"told only, limit: {words}.", "  - ", "    ")


def mechanisms_dict(verdict: PooledVerdict) -> dict[str, Any]:
    """The same as plain data.

    Parameters
    ----------
    verdict : PooledVerdict
        From `rollsim.fatigue.pooling`.

    Returns
    -------
    dict
        None stands for what has no limit, or cannot be told.
    """
    return json_ready(
        {
            "verdict_over_all_mechanisms": verdict.verdict,
            "governing_mechanism": verdict.governing.name,
            "sentence": verdict_sentence(verdict),
            "mechanisms": [asdict(line) for line in verdict.mechanisms],
            "fatigue_of_parts": [_part_dict(part, verdict) for part in verdict.parts],
            "duties": [
                {
                    "name": state.name,
                    "share_of_time": state.share,
                    "evaluated_h": state.hours,
                    "seeds": [run.seed for run in state.runs],
                }
                for state in verdict.states
            ],
            "target_life_h": verdict.target_life_h,
            "mechanism_warnings": verdict.warnings,
            "mechanism_notes": verdict.notes,
            "caution": CAUTION,
        }
    )


def _part_dict(part: PooledPart, verdict: PooledVerdict) -> dict[str, Any]:
    """Fatigue of a part; bars count from 1."""
    names = [state.name for state in verdict.states]
    return {
        **asdict(part),
        "bar": part.bar + 1,
        "by_state": dict(zip(names, part.by_state, strict=True)),
    }


def used(value: float) -> str:
    """A utilisation for people.

    Parameters
    ----------
    value : float
        Demand over capacity.

    Returns
    -------
    str

    Examples
    --------
    >>> used(0.1234), used(float("nan")), used(float("inf"))
    ('0.123', '-', 'no limit')
    """
    return "no limit" if math.isinf(value) else number(value)


def interval_words(line: Mechanism) -> str:
    """The interval of a utilisation for people.

    Parameters
    ----------
    line : Mechanism
        One with a limit.

    Returns
    -------
    str
    """
    if line.interval is None:
        return "interval cannot be told"
    low, high = line.interval
    return f"interval {used(low)} to {used(high)}"


def _table(verdict: PooledVerdict) -> list[str]:
    """One line a mechanism."""
    head = ["mechanism", "demand", "capacity", "unit", "utilisation", "interval", "word"]
    rows = []
    for line in verdict.mechanisms:
        span = "-" if line.interval is None else " to ".join(used(each) for each in line.interval)
        fatigue = line.name.endswith("fatigue")
        rows.append(
            [
                line.name,
                "" if fatigue else number(line.demand),
                "" if fatigue else number(line.capacity),
                "" if fatigue else line.unit,
                used(line.utilisation),
                span,
                line.word,
            ]
        )
    lines = table(head, rows)
    lines += ["  (fatigue: load over the load at which the target life is just reached)"]
    return lines


def _runs(verdict: PooledVerdict) -> list[str]:
    """Runs of every duty, and fatigue of the parts over all of them."""
    lines = ["Runs:"]
    for state in verdict.states:
        seeds = ", ".join(str(run.seed) for run in state.runs)
        lines += _wrapped(
            f"{state.name}: {100.0 * state.share:.4g} % of the time,"
            f" {_counted(len(state.runs))} (seeds"
            f" {seeds}), {3600.0 * state.hours:.4g} s evaluated",
            "  - ",
            "    ",
        )
    lines += ["", f"Fatigue over all runs, target life {hours(verdict.target_life_h)} h:"]
    for part in verdict.parts:
        lines += _wrapped(_part_words(part, verdict), "  - ", "    ")
    return lines


def _counted(runs: int) -> str:
    """A number of runs in words."""
    return f"{runs} run{'s' if runs > 1 else ''}"


def _part_words(part: PooledPart, verdict: PooledVerdict) -> str:
    """Life and reserve of a part, and which duty does the damage."""
    words = (
        f"{part.part}, {part.place}, bar {part.bar + 1}: life in h {hours(part.life_h)}"
        f"{_span(part.life_interval_h, hours)}, reserve factor on load {factor(part.reserve)}"
        f"{_span(part.reserve_interval, factor)}, intervals from {part.interval_from}"
    )
    if len(verdict.states) > 1 and part.damage_per_h > 0.0:
        each = (
            f"{state.name} {100.0 * share:.3g} %"
            for state, share in zip(verdict.states, part.by_state, strict=True)
        )
        words += f"; damage by duty: {', '.join(each)}"
    return words


def _span(interval: tuple[float, float] | None, words) -> str:
    """An interval in brackets."""
    return " (no interval)" if interval is None else f" ({' to '.join(map(words, interval))})"


def _wrapped(text: str, first: str = "", rest: str = "") -> list[str]:
    """Lines of a sentence."""
    return textwrap.wrap(text, _WIDTH, initial_indent=first, subsequent_indent=rest)
