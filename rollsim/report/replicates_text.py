"""A set of replicates in words."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from rollsim.report.plain_data import number, table, wrapped
from rollsim.sweep.narrowing import half_width
from rollsim.sweep.replicate_types import BEGUN, ReplicateSet


def replicates_dict(found: ReplicateSet) -> dict[str, Any]:
    """A set of replicates as plain data.

    Parameters
    ----------
    found : ReplicateSet
        Result of `rollsim.replicates`.

    Returns
    -------
    dict
        Keys with their units, `interval` None where it cannot be told.
    """
    interval = found.interval
    return {
        "case_name": found.case_name,
        "seed": found.seed,
        "duration_s": found.duration_s,
        "list": str(found.list_path),
        "replicates": [
            {
                "number": row.number,
                "seed": row.seed,
                "file": str(row.path),
                "state": row.state,
                "reason": row.reason,
                "simulated_s": row.reached,
                "values": row.values,
            }
            for row in found.replicates
        ],
        "finished": len(found.finished),
        "failed": len(found.failed),
        "quantity": found.quantity.name,
        "unit": found.quantity.unit,
        "interval": None if interval is None else asdict(interval),
        "interval_half_width_share": None if interval is None else half_width(interval),
        "within_share": found.within,
        "narrow_enough": found.narrow_enough,
        "ended": found.ended,
        "notes": list(found.notes),
    }


def replicates_text(found: ReplicateSet) -> str:
    """A set of replicates in words.

    Parameters
    ----------
    found : ReplicateSet
        Result of `rollsim.replicates`.

    Returns
    -------
    str
    """
    quantity = found.quantity
    unit = f", {quantity.unit}" if quantity.unit else ""
    count = len(found.replicates)
    lines = [
        f"{found.case_name}: {len(found.finished)} of {count} replicates of "
        f"{found.duration_s:g} s finished, seeds from seed {found.seed}",
        "",
        *table(["replicate", "seed", "state", f"{quantity.name}{unit}"], list(_rows(found))),
        "",
        *wrapped(_interval_words(found)),
        *wrapped(found.ended),
    ]
    lines += [part for note in found.notes for part in wrapped(f"Note: {note}")]
    if found.finished:
        lines.append(f"list: {found.list_path}; next: rollsim peaks {found.finished[0].path}")
    return "\n".join(lines)


def failure_text(found: ReplicateSet) -> str:
    """Which replicates failed, and why.

    Parameters
    ----------
    found : ReplicateSet
        With failed replicates.

    Returns
    -------
    str
        One line each.
    """
    return "\n".join(f"Replicate {row.number} failed: {row.reason}" for row in found.failed)


def _rows(found):
    """One row a replicate."""
    for row in found.replicates:
        state = row.state
        if state == BEGUN:
            state = f"{row.reached:.3g} of {found.duration_s:g} s"
        value = row.values.get(found.quantity.name)
        yield [str(row.number), str(row.seed), state, "-" if value is None else number(value)]


def _interval_words(found):
    """What the finished replicates say about the quantity."""
    interval, quantity = found.interval, found.quantity
    if interval is None:
        return f"{quantity.words}: no interval from {len(found.finished)} finished replicates."
    unit = f" {quantity.unit}" if quantity.unit else ""
    words = (
        f"{quantity.words}: median over runs {number(interval.estimate)}{unit}, "
        f"{100 * interval.confidence:.0f} % interval of the median {number(interval.low)} to "
        f"{number(interval.high)}{unit}, that is within {100 * half_width(interval):.2g} % of it"
    )
    if found.within is None:
        return words + "."
    return (
        f"{words}; asked for: {100 * found.within:.3g} %. Work that ends as soon as the interval "
        "is narrow makes it a little too narrow on average."
    )
