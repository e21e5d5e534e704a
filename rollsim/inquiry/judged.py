"""The table of an investigation: observations down, cases across."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from rollsim.errors import HistoryError
from rollsim.history.sets import group_runs
from rollsim.inquiry.criteria import AGREES, CONTRADICTS, CRITERIA, UNKNOWN, score
from rollsim.inquiry.facts import Facts, facts_of
from rollsim.inquiry.observations import Observations


@dataclass(frozen=True)
class Cell:
    """Score of one case on one observation: score; reason of every run, or of all together."""

    score: str
    reason: str


@dataclass(frozen=True)
class Row:
    """One observation.

    Fields: words (what was observed); seen (in the words of the observer); criterion (the written
    rule); cells (one a case).
    """

    words: str
    seen: str
    criterion: str
    cells: tuple[Cell, ...]


@dataclass(frozen=True)
class Hypothesis:
    """A case that may explain what was found.

    Fields: letter; name; runs (facts of each of its histories); agrees, contradicts, unknown
    (numbers of observations).
    """

    letter: str
    name: str
    runs: tuple[Facts, ...]
    agrees: int
    contradicts: int
    unknown: int


@dataclass(frozen=True)
class Inquiry:
    """Evidence by hypothesis: site and file of the observations, note, hypotheses, rows, warnings.

    warnings: sentences on the histories, above all on runs that are not finished.
    """

    site: str
    file: str
    note: str
    hypotheses: tuple[Hypothesis, ...]
    rows: tuple[Row, ...]
    warnings: tuple[str, ...] = ()


def inquire(
    observations: Observations,
    paths: Sequence[str | Path],
    tell: Callable[[str], None] | None = None,
) -> Inquiry:
    """Score every case against every observation.

    Replicates of one case count as one hypothesis: where its runs do not agree on a score, it is
    "cannot tell".

    Parameters
    ----------
    observations : Observations
        From `read_observations`.
    paths : sequence of str or Path
        Histories, finished or not, or lists of replicates.
    tell : callable or None
        Told which history is being evaluated.

    Returns
    -------
    Inquiry

    Raises
    ------
    RollsimError
        A history cannot be evaluated, or has another number of pockets than the site.
    """
    sets = group_runs(paths)
    gathered = []
    for own in sets:
        for path in own.paths:
            if tell:
                tell(f"evaluating {path}")
        gathered.append(tuple(facts_of(path) for path in own.paths))
    _check_pockets(observations, gathered)
    rows = tuple(
        Row(words_of(item), item.seen, CRITERIA[item.kind],
            tuple(_cell(item, runs) for runs in gathered))
        for item in observations.items
    )  # fmt: skip
    found = []
    for number, (own, runs) in enumerate(zip(sets, gathered, strict=True)):
        scores = [row.cells[number].score for row in rows]
        counts = (scores.count(word) for word in (AGREES, CONTRADICTS, UNKNOWN))
        found.append(Hypothesis(_letter(number), own.name, runs, *counts))
    site = observations.site
    told = tuple(dict.fromkeys(sentence for own in sets for sentence in own.warnings))
    return Inquiry(site.name, observations.file, site.note, tuple(found), rows, told)


def _letter(number: int) -> str:
    """A, B, ... Z, A1, ..."""
    turn, place = divmod(number, 26)
    return f"{chr(65 + place)}{turn or ''}"


def _check_pockets(observations: Observations, gathered: list[tuple[Facts, ...]]) -> None:
    """Histories of another cage are refused."""
    wanted = observations.site.pockets
    for facts in (one for runs in gathered for one in runs):
        if wanted is not None and facts.rollers != wanted:
            raise HistoryError(
                f"{facts.file}: the cage has {facts.rollers} pockets, that of the site {wanted}"
                f" (site.pockets in {observations.file})."
            )


def _cell(item, runs: tuple[Facts, ...]) -> Cell:
    """Score of all runs of a case together."""
    scored = [score(item, run) for run in runs]
    words = {one for one, _ in scored}
    if len(words) == 1:
        more = f" (first of {len(runs)} runs, all alike)" if len(runs) > 1 else ""
        return Cell(scored[0][0], scored[0][1] + more)
    counted = ", ".join(
        f"{word} {sum(one == word for one, _ in scored)}"
        for word in (AGREES, CONTRADICTS, UNKNOWN)
        if word in words
    )
    return Cell(UNKNOWN, f"the runs do not agree: {counted}")


def words_of(item) -> str:
    """Return an observation in plain words.

    Parameters
    ----------
    item : Section
        One of `rollsim.inquiry.observations.KINDS`.

    Returns
    -------
    str
    """
    marks = f"on the land of the {item.on}" if item.kind == "land_marks" else ""
    return {
        "broken": lambda: f"{item.part} broke",
        "intact": lambda: f"{item.part} are whole",
        "most_worn": lambda: f"{item.face} faces of the pockets worn most",
        "worn_pockets": lambda: f"pockets {', '.join(map(str, item.pockets))} worn more",
        "land_marks": lambda: f"marks {marks}: {item.extent.replace('_', ' ')}",
        "line": lambda: f"line at {item.frequency_Hz:g} Hz",
        "life": lambda: f"{item.part} broken after {item.hours:g} h",
    }[item.kind]()
