"""Quality of a run in words."""

from __future__ import annotations

from dataclasses import asdict

from rollsim.analysis.quality import RunQuality
from rollsim.report.plain_data import json_ready, wrapped


def quality_text(found: RunQuality) -> str:
    """Fit or unfit for use, and every line with its number and its rule.

    Parameters
    ----------
    found : RunQuality
        Result of `rollsim.analysis.quality.run_quality`.

    Returns
    -------
    str
        Lines without a closing line break.
    """
    lines = [f"Quality of the run: {found.verdict}"]
    for line in found.lines:
        found = "" if line.text == line.state else f" {line.text};"
        lines += wrapped(f"  {line.name}: {line.state.upper()};{found} rule: {line.rule}")
    return "\n".join(lines)


def with_quality(found: RunQuality, text: str) -> str:
    """A report with the quality of its run below it, and above it where the run is unfit.

    Parameters
    ----------
    found : RunQuality
        Result of `rollsim.analysis.quality.run_quality`.
    text : str
        The report.

    Returns
    -------
    str
    """
    head = "" if found.fit else f"!! {found.verdict}; see the end of this text\n\n"
    return f"{head}{text}\n\n{quality_text(found)}"


def quality_dict(found: RunQuality) -> dict:
    """Quality as plain data.

    Parameters
    ----------
    found : RunQuality
        Result of `rollsim.analysis.quality.run_quality`.

    Returns
    -------
    dict
    """
    lines = [asdict(line) for line in found.lines]
    return json_ready({"fit": found.fit, "verdict": found.verdict, "lines": lines})
