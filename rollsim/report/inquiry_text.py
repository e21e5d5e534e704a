"""Evidence by hypothesis in words, as JSON and as CSV."""

from __future__ import annotations

import csv
from pathlib import Path

from rollsim.inquiry.judged import Hypothesis, Inquiry
from rollsim.report.plain_data import CAUTION, json_ready, wrapped

_MEANING = (
    "A score says whether a case would leave such marks, not that it happened so. Cannot tell is an"
    " answer: the case holds nothing about it, or its numbers do not decide. No thresholds are"
    " published; all are our own."
)


def inquiry_text(found: Inquiry) -> str:
    """Return the table in plain words: observation, score of every case, criterion.

    Parameters
    ----------
    found : Inquiry
        Result of `rollsim.inquiry.judged.inquire`.

    Returns
    -------
    str
    """
    lines = [f"Evidence by hypothesis: {found.site}"]
    if found.note:
        lines += wrapped(f"  {found.note}")
    for one in found.hypotheses:
        lines.append(f"  {one.letter}: {one.name} ({_runs(one)})")
    lines += [line for text in found.warnings for line in wrapped(f"!! {text}")]
    for number, row in enumerate(found.rows, 1):
        seen = f" ({row.seen})" if row.seen else ""
        lines += ["", *wrapped(f"{number}. {row.words}{seen}")]
        for one, cell in zip(found.hypotheses, row.cells, strict=True):
            lines += wrapped(f"   {one.letter} {cell.score}: {cell.reason}")
        lines += wrapped(f"   Criterion: {row.criterion}.")
    lines += ["", "Sum (observations are not equally strong; read the reasons):"]
    lines += [f"  {one.letter}: {_sum(one)}  {one.name}" for one in found.hypotheses]
    return "\n".join([*lines, "", *wrapped(_MEANING), *wrapped(CAUTION)])


def _runs(one: Hypothesis) -> str:
    """Files of a hypothesis."""
    names = [Path(run.file).name for run in one.runs]
    return names[0] if len(names) == 1 else f"{len(names)} runs, {names[0]} and others"


def _sum(one: Hypothesis) -> str:
    """Numbers of scores."""
    return f"agrees {one.agrees}, contradicts {one.contradicts}, cannot tell {one.unknown}"


def inquiry_dict(found: Inquiry) -> dict:
    """Return the table as a dictionary that the json module can write.

    Parameters
    ----------
    found : Inquiry
        Result of `rollsim.inquiry.judged.inquire`.

    Returns
    -------
    dict
    """
    return json_ready(
        {
            "site": found.site,
            "observations_file": found.file,
            "note": found.note,
            "hypotheses": [
                {
                    "letter": one.letter,
                    "case_name": one.name,
                    "files": [run.file for run in one.runs],
                    "agrees": one.agrees,
                    "contradicts": one.contradicts,
                    "cannot_tell": one.unknown,
                }
                for one in found.hypotheses
            ],
            "observations": [
                {
                    "observation": row.words,
                    "seen": row.seen,
                    "criterion": row.criterion,
                    "scores": {
                        one.letter: {"score": cell.score, "reason": cell.reason}
                        for one, cell in zip(found.hypotheses, row.cells, strict=True)
                    },
                }
                for row in found.rows
            ],
            "warnings": found.warnings,
            "meaning": _MEANING,
            "caution": CAUTION,
        }
    )


def write_inquiry_csv(found: Inquiry, path: str | Path) -> Path:
    """Write one row an observation and case.

    Parameters
    ----------
    found : Inquiry
        Result of `rollsim.inquiry.judged.inquire`.
    path : str or Path
        File.

    Returns
    -------
    Path
    """
    path = Path(path)
    with path.open("w", newline="", encoding="utf-8") as file:
        write = csv.writer(file, lineterminator="\n").writerow
        write(["observation", "seen", "case", "case_name", "score", "reason", "criterion"])
        for row in found.rows:
            for one, cell in zip(found.hypotheses, row.cells, strict=True):
                write([row.words, row.seen, one.letter, one.name, cell.score, cell.reason,
                       row.criterion])  # fmt: skip
    return path
