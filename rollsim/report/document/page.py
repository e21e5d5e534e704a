"""The page: everything put into one file."""

from __future__ import annotations

import os
import shlex
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import ExitStack
from datetime import UTC, datetime
from importlib import resources
from pathlib import Path
from typing import Any

import numpy as np

import rollsim
from rollsim.cautions import CAUTION
from rollsim.errors import RollsimError
from rollsim.report.compare_text import same_words
from rollsim.report.document.fitness import fitness_lines
from rollsim.report.document.frames import plan_frames, read_frames
from rollsim.report.document.gather import Execution, Findings, gather
from rollsim.report.document.origin import file_hash, made_with_table, origin_table
from rollsim.report.document.packing import packed
from rollsim.report.document.pictures import pictures_of
from rollsim.report.document.tables import (
    assumption_table,
    compared_table,
    difference_table,
    input_table,
    mechanism_table,
    peak_table,
    spot_table,
    whirl_table,
)
from rollsim.report.document.vibration_tables import band_tables, level_tables
from rollsim.report.document.words import (
    NOT_MODELLED,
    limit_lines,
    method_lines,
    question_words,
    touching_lines,
    verdict_lines,
    whirl_rules,
)

_PARTS = (
    ("verdict", "Verdict"),
    ("question", "Question"),
    ("watch", "Motion and contacts"),
    ("forces", "Peaks"),
    ("strength", "Stress and life"),
    ("compared", "Side by side"),
    ("motion", "Whirl and slip"),
    ("vibration-part", "Vibration"),
    ("inputs", "Inputs"),
    ("assumptions", "Assumptions"),
    ("method", "Method"),
    ("fitness", "Fitness for use"),
    ("missing", "Not modelled"),
    ("cautions", "Cautions"),
    ("again", "Make it again"),
)
_IMPACT_HEAD = (
    "no.", "run", "peak N", "time s", "where", "roller", "closing m/s", "lasts ms", "impulse N s",
    "azimuth deg",
)  # fmt: skip
_PLAYED = 2


def write_report(
    paths: Sequence[str | Path],
    output: str | Path,
    question: str | None = None,
    judged: bool = True,
    tell: Callable[[str], None] | None = None,
    afresh: bool = False,
    jobs: int = 1,
) -> Path:
    """Evaluate histories and write one file that shows everything.

    Parameters
    ----------
    paths : sequence of str or Path
        Histories or lists of replicates; the case whose file comes first is A, the next B.
    output : str or Path
        HTML file to write; it appears whole or not at all.
    question : str or None
        Question that the document answers, in the user's words.
    judged : bool
        False leaves out verdict, stresses and closure loads.
    tell : callable or None
        Takes a sentence on what is done next.
    afresh : bool
        Work out again what is kept of an earlier evaluation.
    jobs : int
        Most processes that evaluate histories at a time; 1 works in this one.

    Returns
    -------
    Path

    Raises
    ------
    RollsimError
        A history cannot be read or evaluated, or the file cannot be written.
    """
    output = Path(output)
    with ExitStack() as stack:
        found = gather([Path(path) for path in paths], stack, judged, tell, afresh, jobs)
        if tell:
            tell("drawing")
        text = _rendered(found, _command(paths, output, question, judged), question)
    beside = output.with_name(output.name + ".tmp")
    try:
        beside.write_text(text, encoding="utf-8")
        os.replace(beside, output)
    except OSError as problem:
        beside.unlink(missing_ok=True)
        raise RollsimError(f"'{output}' cannot be written: {problem.strerror}.") from problem
    return output


def _command(paths: Sequence[str | Path], output: Path, question: str | None, judged: bool) -> str:
    """Command line that makes the document; names of files without their folders."""
    words = ["rollsim", "report", *(Path(path).name for path in paths), "-o", output.name]
    words += ["--question", question] if question else []
    words += [] if judged else ["--no-verdict"]
    return shlex.join(words)


def _rendered(found: Findings, command: str, question: str | None) -> str:
    """The whole page."""
    from jinja2 import Environment, FunctionLoader, StrictUndefined

    files = resources.files("rollsim.report.document") / "templates"

    def file(name: str) -> str:
        return (files / name).read_text(encoding="utf-8")

    environment = Environment(
        loader=FunctionLoader(file), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip
    # Sums of large files take seconds of another processor while this one draws.
    with ThreadPoolExecutor(1) as beside:
        paths = [path for own in found.executions for path in own.runs.paths]
        sums = {path: beside.submit(file_hash, path) for path in paths}
        pictures = pictures_of(found)
        content = _content(found, question, sums)
    content |= {
        "command": command,
        "pictures": pictures,
        "csv": {one.name: one.csv for own in pictures.values() for one in own},
        "css": file("report.css"),
        "player_js": file("player.js"),
        "page_js": file("page.js"),
    }
    return environment.get_template("report.html").render(content)


def _content(found: Findings, question: str | None, sums: Mapping[Path, Future]) -> dict[str, Any]:
    """Words, tables and frames."""
    executions, compared = found.executions, compared_table(found)
    impacts = sorted(
        (one for own in executions[:_PLAYED] for one in own.impacts), key=lambda one: -one.peak
    )
    first = executions[0]
    return {
        "title": " | ".join(dict.fromkeys(own.name for own in executions)),
        "version": rollsim.__version__,
        "made": f"{datetime.now(UTC):%d %B %Y, %H:%M} UTC",
        "many": len(executions) > 1,
        "judged": found.judged,
        "parts": [part for part in _PARTS if part[0] != "compared" or compared],
        "verdict": verdict_lines(found),
        "limits": limit_lines(found),
        "caution": CAUTION,
        "question": question_words(found, question),
        "executions": [_execution(own, sums) for own in executions],
        "exaggeration": min(own.shapes.exaggeration for own in executions[:_PLAYED]),
        "impact_head": _IMPACT_HEAD,
        "impacts": impacts,
        "motion": _motion(executions[:_PLAYED], impacts),
        "warnings": found.comparison.warnings if found.comparison else (),
        "same": same_words(found.comparison.inputs) if found.comparison else "",
        "touching": touching_lines(found),
        "whirl_rules": whirl_rules(found),
        "method": method_lines(first),
        "missing": NOT_MODELLED,
        "asked_events": [
            f"{own.letter}: {text}" for own in executions if own.look for text in own.look.events
        ],
        "tables": {
            "peaks": [peak_table(own) for own in executions],
            "whirl": [whirl_table(own) for own in executions],
            "mechanisms": [mechanism_table(own) for own in executions if own.verdict],
            "spots": [spot_table(own) for own in executions if own.verdict],
            "levels": [one for own in executions for one in level_tables(own)],
            "bands": [one for own in executions for one in band_tables(own)],
            "compared": compared,
            "differences": difference_table(found),
            "inputs": input_table(found),
            "assumptions": assumption_table(found),
            "versions": made_with_table(),
        },
    }


def _execution(own: Execution, sums: Mapping[Path, Future]) -> dict[str, Any]:
    """What the page says of one execution."""
    return {
        "letter": own.letter,
        "name": own.name,
        "note": own.case.case.note or "",
        "fitness": fitness_lines(own),
        "text": own.runs.case_text,
        "origin": origin_table(own, sums),
    }


def _motion(executions: Sequence[Execution], impacts: Sequence[Any]) -> dict[str, Any]:
    """Frames of the player."""
    plan = plan_frames([own.history for own in executions], impacts)
    frames = [read_frames(own.history, plan, own.shapes) for own in executions]
    sides = [
        {"shapes": own.shapes.plain(), "frames": packed(each)}
        for own, each in zip(executions, frames, strict=True)
    ]
    return {
        "times": [round(float(t), 7) for t in plan.times],
        "overview": plan.overview.tolist(),
        "stretches": [own.tolist() for own in plan.stretches],
        "impacts": [one._asdict() for one in impacts],
        "raceway": max(1.0, *(float(each["raceway"].max()) for each in frames)),
        "cage": max(1.0, *(float(np.abs(each["land"]).max(initial=0.0)) for each in frames),
                    *(float(each["pocket"].max()) for each in frames)),
        "sides": sides,
    }  # fmt: skip
