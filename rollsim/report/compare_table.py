"""Cages side by side for machines: JSON-ready data and a CSV table."""

from __future__ import annotations

import csv
import io
from dataclasses import asdict
from pathlib import Path
from typing import Any

from rollsim.errors import RollsimError
from rollsim.report.compare_text import (
    chance_sentences,
    result_word,
    same_words,
    verdict_sentences,
)
from rollsim.report.plain_data import CAUTION, json_ready
from rollsim.sweep.comparison import ComparedRow, Comparison, Side

_HEAD = (
    "group", "quantity", "meaning", "unit", "better", "statistic", "first", "second",
    "first_estimate", "first_low", "first_high", "second_estimate", "second_low", "second_high",
    "kind", "estimate", "low", "high", "odds_first_better", "result", "reason",
    "replicates_needed",
)  # fmt: skip


def compare_dict(found: Comparison) -> dict[str, Any]:
    """The comparison as plain data.

    Parameters
    ----------
    found : Comparison
        Result of `rollsim.sweep.compare.compare`.

    Returns
    -------
    dict
        Units stand beside the quantities; None where there is no number.
    """
    content = {
        "warnings": found.warnings,
        "answer": verdict_sentences(found),
        "sides": [_side(side) for side in found.sides],
        "input_differences": [asdict(own) for own in found.inputs.differences],
        "run_differences": [
            {"what": words, "values": values} for words, values in found.run_differences
        ],
        "same_inputs": same_words(found.inputs),
        "level_horizon_s": found.level_horizon_s,
        "confidence": 0.9,
        "quantities": [_quantity(found, row) for row in found.rows],
        "many_comparisons": chance_sentences(found),
        "caution": CAUTION,
    }
    return json_ready(content)


def _side(side: Side) -> dict[str, Any]:
    """One of the cages."""
    name, count = side.governing
    level = side.level
    return {
        "letter": side.letter,
        "case": side.runs.name,
        "files": [str(path) for path in side.runs.paths],
        "seeds": side.runs.seeds,
        "duration_s": side.runs.duration_s,
        "governing_mechanism": name,
        "governing_in_runs": count,
        "pooled_verdict": side.pooled.verdict,
        "pooled_governing": side.pooled.governing.name,
        "verdicts": [run.verdict for run in side.measures],
        "places": [run.places for run in side.measures],
        "whirl_classes": [run.whirl_class for run in side.measures],
        "target_life_h": side.measures[0].target_life_h,
        "level_in_target_life_N": None
        if level is None
        else {"level": level.level, "low": level.low, "high": level.high},
        "level_reasons": side.level_reasons,
    }


def _quantity(found: Comparison, row: ComparedRow) -> dict[str, Any]:
    """One quantity of all sides."""
    quantity = row.quantity
    return {
        "name": quantity.name,
        "meaning": quantity.words,
        "unit": quantity.unit,
        "group": quantity.group,
        "better": quantity.better,
        "statistic": "mean" if quantity.signed else quantity.statistic,
        "sides": [
            {"letter": side.letter, "runs": values, **asdict(spread)}
            for side, values, spread in zip(found.sides, row.values, row.spreads, strict=True)
        ],
        "pairs": [
            {
                "first": found.sides[pair[0]].letter,
                "second": found.sides[pair[1]].letter,
                **asdict(ranking),
                "result": result_word(found, row, pair),
            }
            for pair, ranking in row.rankings.items()
        ],
    }


def compare_csv(found: Comparison) -> str:
    """The table as CSV, one line a quantity and pair; empty cells where there is no number.

    Parameters
    ----------
    found : Comparison
        Result of `rollsim.sweep.compare.compare`.

    Returns
    -------
    str
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(_HEAD)
    for row in found.rows:
        for pair, ranking in row.rankings.items():
            quantity, spreads = row.quantity, [row.spreads[place] for place in pair]
            values = [
                quantity.group, quantity.name, quantity.words, quantity.unit, quantity.better,
                "mean" if quantity.signed else quantity.statistic,
                *(found.sides[place].letter for place in pair),
                *(end for own in spreads for end in (own.estimate, own.low, own.high)),
                ranking.kind, ranking.estimate, ranking.low, ranking.high, ranking.odds,
                result_word(found, row, pair), ranking.reason, ranking.needed,
            ]  # fmt: skip
            writer.writerow(["" if own is None else own for own in json_ready(values)])
    return out.getvalue()


def write_compare_csv(found: Comparison, path: Path) -> Path:
    """Write the table as CSV.

    Parameters
    ----------
    found : Comparison
        Result of `rollsim.sweep.compare.compare`.
    path : Path
        File to write.

    Returns
    -------
    Path

    Raises
    ------
    RollsimError
        The file cannot be written.
    """
    try:
        path.write_text(compare_csv(found), encoding="utf-8")
    except OSError as problem:
        raise RollsimError(f"{path} cannot be written: {problem.strerror}.") from problem
    return path
