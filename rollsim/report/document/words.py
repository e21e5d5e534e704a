"""Sentences of the document: question, verdict, method, what was not modelled."""

from __future__ import annotations

from collections.abc import Iterator

from rollsim.report.compare_text import verdict_sentences
from rollsim.report.document.gather import Execution, Findings
from rollsim.report.fatigue_table import hours
from rollsim.report.mechanisms_text import verdict_sentence
from rollsim.report.plain_data import number

NOT_JUDGED = (
    "No verdict was asked for (--no-verdict): this document shows motion and forces and says"
    " nothing about fatigue, yield or life."
)

#: What no run has, whatever its case says.
NOT_MODELLED = (
    "Heating of the oil film, the time a film takes to build up, heat and temperature, depth of"
    " wear, debris, corrosion.",
    "Elastic vibration of the cage that acts back on the forces: it moves as a rigid body with a"
    " spring behind every pocket face. Forces of slow impacts are therefore too high.",
    "Rings that deform; housing and shaft beyond one spring each; several bearings on one shaft.",
    "Loosening of rivets, riveting stress beyond the given preload, casting defects.",
    "Fatigue of the raceways: the standards of rating life are for that.",
)


def question_words(found: Findings, question: str | None) -> str:
    """The question that the document answers.

    Parameters
    ----------
    found : Findings
        Any.
    question : str or None
        In the user's words; None for the usual one.

    Returns
    -------
    str
    """
    if question:
        return question
    life = ", ".join(
        dict.fromkeys(f"{hours(own.case.fatigue.target_life_h)} h" for own in found.executions)
    )
    if len(found.executions) == 1:
        return f"Does this cage survive its target life of {life} in this duty, and what limits it?"
    letters = " or ".join(own.letter for own in found.executions)
    return f"Which cage is better in this duty, {letters}, and does each survive {life}?"


def verdict_lines(found: Findings) -> tuple[str, ...]:
    """The verdict in sentences.

    Parameters
    ----------
    found : Findings
        Any.

    Returns
    -------
    tuple of str
        First what holds for each execution, then how they compare.
    """
    if not found.judged:
        return (NOT_JUDGED,)
    lines = [f"{own.letter}: {verdict_sentence(own.verdict)}" for own in found.executions]
    if len(lines) == 1:
        return (verdict_sentence(found.executions[0].verdict),)
    if found.comparison is not None:
        lines += verdict_sentences(found.comparison)[len(found.executions) :]
    return tuple(lines)


def limit_lines(found: Findings) -> tuple[str, ...]:
    """Within which limits the verdict holds.

    Parameters
    ----------
    found : Findings
        Any.

    Returns
    -------
    tuple of str
        Sentences; those that hold for one execution alone begin with its letter.
    """
    return _of_all(found, "limits")


def touching_lines(found: Findings) -> tuple[str, ...]:
    """Assumptions on which the verdict rests, of all executions.

    Parameters
    ----------
    found : Findings
        Any.

    Returns
    -------
    tuple of str
        Sentences; those that touch some executions alone begin with their letters.
    """
    return _of_all(found, "touching_assumptions")


def _of_all(found: Findings, name: str) -> tuple[str, ...]:
    """Sentences of the verdicts of all executions, each once; none without a verdict."""
    if not found.judged:
        return ()
    lists = {own.letter: getattr(own.fatigue, name) for own in found.executions}
    lines = []
    for line in dict.fromkeys(line for own in lists.values() for line in own):
        letters = [letter for letter, own in lists.items() if line in own]
        lines.append(line if len(letters) == len(lists) else f"{', '.join(letters)}: {line}")
    return tuple(lines)


def whirl_rules(found: Findings) -> tuple[str, ...]:
    """How motion of the cage is classed.

    Parameters
    ----------
    found : Findings
        Any.

    Returns
    -------
    tuple of str
        Each rule that was used, once.
    """
    rules = (f"{own.whirl.verdict.rule} ({own.whirl.verdict.origin})." for own in found.executions)
    return tuple(dict.fromkeys(rule[:1].upper() + rule[1:] for rule in rules))


def method_lines(own: Execution) -> tuple[str, ...]:
    """How it was computed, in half a page.

    Parameters
    ----------
    own : Execution
        The first one.

    Returns
    -------
    tuple of str
        Paragraphs.
    """
    return tuple(_method(own))


def _method(own: Execution) -> Iterator[str]:
    """Paragraphs."""
    case, attributes = own.case, own.history.attributes
    spatial = case.solver.motion == "spatial"
    yield (
        f"Motion: every roller, the cage and the inner ring are rigid bodies that move in"
        f" {'space' if spatial else 'the plane of rotation'}; the equations of motion are marched"
        f" through time with {attributes['solver']} and a step that controls its error. The first"
        f" {number(float(attributes.get('settle_s', 0.0)))} s settle and are not evaluated."
    )
    yield (
        "Contacts: line contact of roller and raceway (constant of ISO/TS 16281, power 10/9)"
        f"{' in slices along the roller' if spatial else ''}, with damping after Hunt and Crossley;"
        f" friction by the law '{case.lubricant.raceway_traction}'. Rollers meet the pocket faces"
        " in series with the local stiffness of the cage behind each of them, with a squeeze film"
        f" on approach (oil fraction {number(case.lubricant.oil_fraction)}). Guidance:"
        f" {case.cage.guidance.replace('_', ' ')}. The largest force of every contact is caught at"
        " every internal step, between samples too."
    )
    count = len(case.vibration)
    yield (
        f"Vibration: {count or 'no'} imposed source{'s' if count != 1 else ''} at the housing; the"
        " figure of the vibration shows what was asked and what was applied."
    )
    if own.fatigue is None:
        return
    method = {
        "modal": "with the vibrations of the free cage driven by these forces",
        "quasi_static": "as at rest at every instant",
    }.get(own.fatigue.method, own.fatigue.method)
    yield (
        "Stress and life: the contact forces load a frame of the whole free cage (rings, bars and"
        " closures as beams; the interface of cover and bar ends carries pressure only), "
        f"{method}. Section forces become local stress by notch factors; cycles are counted by"
        " rainflow, corrected for their mean stress and summed by Miner's rule against S-N lines"
        f" for a survival of {100.0 * own.fatigue.survival_probability:g} %. The reserve is the"
        " factor on the load at which the target life is just reached. Yield and pressures are"
        " judged by levels extrapolated to the service life where the runs can carry that."
    )
