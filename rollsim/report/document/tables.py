"""Tables of the document."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from rollsim.analysis.settled import FACES, LANDS
from rollsim.case.differences import COMPUTED, input_comparison, input_values
from rollsim.report.compare_text import odds_words, result_word, spread_words
from rollsim.report.document.gather import Execution, Findings
from rollsim.report.fatigue_table import factor, hours
from rollsim.report.mechanisms_text import used
from rollsim.report.plain_data import number, percent
from rollsim.sweep.ranking import DIFFERENCE
from rollsim.units import MPA


@dataclass(frozen=True)
class Table:
    """A table: caption, head and rows of words; marked: numbers of the rows to stand out."""

    caption: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    marked: frozenset[int] = frozenset()


def _table(caption: str, head: Sequence[str], rows: Any, marked: Any = ()) -> Table:
    """Words of a table."""
    return Table(
        caption, tuple(head), tuple(tuple(map(str, row)) for row in rows), frozenset(marked)
    )


def mechanism_table(own: Execution) -> Table:
    """Every mechanism of failure.

    Parameters
    ----------
    own : Execution
        A judged one.

    Returns
    -------
    Table
    """
    rows, marked = [], []
    for line in own.verdict.mechanisms:
        span = "-" if line.interval is None else " to ".join(used(each) for each in line.interval)
        fatigue = line.name.endswith("fatigue")
        numbers = [
            "-" if fatigue or math.isnan(value) else f"{number(value)} {line.unit}"
            for value in (line.demand, line.capacity)
        ]
        rows.append([line.name, line.place, *numbers, used(line.utilisation), span, line.word])
        if line is own.verdict.governing:
            marked.append(len(rows) - 1)
    head = ("mechanism", "place", "demand", "limit", "utilisation", "interval", "word")
    return _table(f"{own.letter}: demand over limit, the governing line marked", head, rows, marked)


def spot_table(own: Execution) -> Table:
    """Every sort of place on the cage, at its worst bar.

    Parameters
    ----------
    own : Execution
        A judged one.

    Returns
    -------
    Table
    """
    rows = []
    for spot in own.fatigue.spots:
        k = spot.worst
        rows.append(
            [
                spot.name,
                spot.bars[k] + 1,
                factor(spot.reserve[k]),
                hours(spot.life_h[k]),
                f"{spot.damage_per_h[k]:.2g}",
                f"{np.max(spot.highest_stress) / MPA:.1f}",
                f"{100.0 * np.max(spot.yield_share):.0f}",
            ]
        )
    head = (
        "place", "worst bar", "reserve on load", "life in h", "damage per h",
        "highest local stress in MPa", "share of yield in %",
    )  # fmt: skip
    return _table(f"{own.letter}: places on the cage", head, rows)


def peak_table(own: Execution) -> Table:
    """Forces by pocket face and land.

    Parameters
    ----------
    own : Execution
        Any.

    Returns
    -------
    Table
    """
    rows = []
    sorts = [(face, own.peaks.pockets, (slice(None), i)) for i, face in enumerate(FACES)]
    sorts += [(f"land {land}", own.peaks.lands, (i,)) for i, land in enumerate(LANDS)]
    for name, statistics, part in sorts:
        count = int(np.sum(statistics.episodes[part]))
        values = [np.atleast_1d(getattr(statistics, one)[part]) for one in _COLUMNS]
        rows.append([name, count, *(number(_greatest(value)) for value in values)])
    head = ("contact", "episodes", "greatest N", "99 % N", "90 % N", "50 % N", "longest ms")
    for row in rows:
        row[-1] = "-" if row[-1] == "-" else number(1e3 * float(row[-1]))
    return _table(f"{own.letter}: contact forces, the worst roller or land of each", head, rows)


_COLUMNS = ("maximum", "percentile_99", "percentile_90", "percentile_50", "longest_duration")


def _greatest(values: np.ndarray) -> float:
    """Greatest number; NaN where there is none."""
    known = values[np.isfinite(values)]
    return float(known.max()) if len(known) else math.nan


def difference_table(found: Findings) -> Table | None:
    """Inputs that differ.

    Parameters
    ----------
    found : Findings
        Of two executions or more; None otherwise.

    Returns
    -------
    Table or None
    """
    if len(found.executions) < 2:
        return None
    differences = input_comparison([own.case for own in found.executions]).differences
    rows = [[one.key, one.unit, *map(value_words, one.values, one.given)] for one in differences]
    head = ("input", "unit", *(own.letter for own in found.executions))
    marked = [k for k, one in enumerate(differences) if not one.of_cage]
    caption = "Inputs that differ (* assumed, not given; marked: not of the cage itself)"
    return _table(caption, head, rows, marked)


def value_words(value: Any, given: bool) -> str:
    """Write a value of a case.

    Parameters
    ----------
    value : object
        Number, word or list; None where a case has none.
    given : bool
        False marks an assumption with a star.

    Returns
    -------
    str

    Examples
    --------
    >>> value_words(0.3, True), value_words(0.3, False), value_words(None, True)
    ('0.3', '0.3 *', '-')
    """
    if value is None:
        return "-"
    if isinstance(value, list | tuple):
        shown = ", ".join(value_words(one, True) for one in value) or "none"
    else:
        shown = f"{value:g}" if isinstance(value, float) else str(value)
    shown = shown if len(shown) <= _LONGEST else f"{shown[:_LONGEST]} ..."
    return shown if given or value == COMPUTED else f"{shown} *"


_LONGEST = 90


def input_table(found: Findings) -> Table:
    """Inputs that the case files give.

    Parameters
    ----------
    found : Findings
        Any.

    Returns
    -------
    Table
    """
    tables = [input_values(own.case) for own in found.executions]
    rows, marked = [], []
    for key in dict.fromkeys(key for table in tables for key in table):
        entries = [table.get(key) for table in tables]
        if not any(entry is not None and entry.given for entry in entries):
            continue
        words = ["-" if e is None else value_words(e.value, e.given) for e in entries]
        if len(set(words)) > 1:
            marked.append(len(rows))
        unit = next(entry.unit for entry in entries if entry is not None)
        rows.append([key, unit, *words])
    head = ("input", "unit", *(own.letter for own in found.executions))
    return _table("Inputs that the case gives (marked: executions differ)", head, rows, marked)


def assumption_table(found: Findings) -> Table:
    """Values that nobody gave, with their effect.

    Parameters
    ----------
    found : Findings
        Any.

    Returns
    -------
    Table
    """
    by_key: dict[str, dict[str, Any]] = {}
    for own in found.executions:
        for item in own.history.assumptions:
            by_key.setdefault(item["key"], {})[own.letter] = item
    rows = []
    for key, items in by_key.items():
        one = next(iter(items.values()))
        words = [
            _assumed_words(items[own.letter]) if own.letter in items else "given or unused"
            for own in found.executions
        ]
        shown = words[:1] if len(set(words)) == 1 else words
        value = (
            shown[0]
            if len(shown) == 1
            else "; ".join(
                f"{own.letter} {word}" for own, word in zip(found.executions, shown, strict=True)
            )
        )
        rows.append([key, value, one.get("why") or "", one.get("effect") or "not known"])
    head = ("input", "value", "why", "effect")
    return _table("Values that the case leaves open", head, rows)


def _assumed_words(item: dict[str, Any]) -> str:
    """Value and unit of an assumption."""
    value, unit = item["value"], item.get("unit") or ""
    return "computed" if value is None else f"{value_words(value, True)} {unit}".rstrip()


def compared_table(found: Findings) -> Table | None:
    """Every quantity of the first two executions.

    Parameters
    ----------
    found : Findings
        Any.

    Returns
    -------
    Table or None
        None without a comparison.
    """
    both = found.comparison
    if both is None:
        return None
    rows, pair = [], (0, 1)
    for row in both.rows:
        ranking = row.rankings[pair]
        ratio = "-" if math.isnan(ranking.estimate) else spread_words(ranking)
        unit = f" in {row.quantity.unit}" if row.quantity.unit else ""
        rows.append(
            [
                f"{row.quantity.words}{unit}",
                *(spread_words(row.spreads[place]) for place in pair),
                f"{ratio} (difference)" if ranking.kind == DIFFERENCE and ratio != "-" else ratio,
                odds_words(ranking.odds),
                result_word(both, row, pair),
            ]
        )
    letters = [both.sides[place].letter for place in pair]
    head = ("quantity", *letters, "/".join(letters), f"P({letters[0]} better)", "better")
    return _table("Side by side, with 90 % intervals over replicates", head, rows)


def whirl_table(own: Execution) -> Table:
    """Whirl in numbers.

    Parameters
    ----------
    own : Execution
        Any.

    Returns
    -------
    Table
    """
    w = own.whirl
    rows = [
        ["class", f"{w.verdict.name}: {w.verdict.reason}"],
        ["whirl speed over cage speed", number(w.whirl_ratio)],
        ["eccentricity, mean and greatest", f"{number(w.eccentricity.mean)} and"
         f" {number(w.eccentricity.maximum)} clearances"],
        ["time with a loaded land", percent(w.land_contact_share)],
        ["radial clearance", f"{number(1e6 * w.clearance)} um ({w.guide})"],
    ]  # fmt: skip
    return _table(f"{own.letter}: motion of the cage centre", ("measure", "value"), rows)
