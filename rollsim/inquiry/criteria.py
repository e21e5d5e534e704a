"""One written criterion for every kind of observation. Thresholds are our own, none is published.

Every criterion takes an observation and the facts of one history and returns a score with its
reason. Where the case does not hold what would be needed, or the numbers do not decide, the score
is "cannot tell".
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np

from rollsim.analysis.settled import FACES
from rollsim.fatigue.result import FAILS, SURVIVES, PartVerdict
from rollsim.inquiry.facts import Facts

AGREES, CONTRADICTS, UNKNOWN = "agrees", "contradicts", "cannot tell"
# Own thresholds: a face is worn most from this ratio to the next on; a land is marked on one side
# above, all round below; a line needs this share of the power; lives agree within this factor and
# contradict beyond the square of it; errors by which pockets must stand out.
CLEARLY_MORE = 1.25
ONE_SIDE, ALL_ROUND = 0.7, 0.3
LINE_POWER = 0.05
LIFE_FACTOR = 3.0
ERRORS = 2.0
FEWEST_TURNS = 5.0

CRITERIA = {
    "broken": "agrees if the verdict on the part is 'does not survive'; contradicts if it is"
    " 'survives'",
    "intact": "agrees if the verdict on the part is 'survives'; contradicts if it is 'does not"
    " survive'",
    "most_worn": "agrees if this face has the largest friction work over all pockets, at least"
    f" {CLEARLY_MORE:g} times the next; contradicts if another face has as much more",
    "worn_pockets": "agrees if the mean friction work of these pockets lies above that of the"
    f" others by more than {ERRORS:g} standard errors of the difference; contradicts if it lies"
    " below by as much",
    "land_marks": "by the length of the mean direction of the land force in the frame of the body:"
    f" one side from {ONE_SIDE:g}, all round up to {ALL_ROUND:g}; 'none' agrees where no land is"
    f" loaded and contradicts where one is loaded for more than half of the time; at least"
    f" {FEWEST_TURNS:g} turns of the cage against the ring",
    "line": f"agrees if a line of the cage motion with {100.0 * LINE_POWER:g} % of the power or"
    " more lies at the frequency, either sense; contradicts if the spectrum reaches that far,"
    " tells frequencies that near apart and has no such line there",
    "life": f"agrees if the life range of the part and the hours lie within a factor"
    f" {LIFE_FACTOR:g};"
    f" contradicts if they are more than a factor {LIFE_FACTOR**2:g} apart",
}


def score(item: Any, facts: Facts) -> tuple[str, str]:
    """Score one observation against one history.

    Parameters
    ----------
    item : Section
        Observation, one of `rollsim.inquiry.observations.KINDS`.
    facts : Facts
        What the history says.

    Returns
    -------
    tuple of str
        `AGREES`, `CONTRADICTS` or `UNKNOWN`, and the reason with its numbers.
    """
    return _RULES[item.kind](item, facts)


def _part(item: Any, facts: Facts) -> PartVerdict | None:
    """Verdict on the part that an observation names."""
    return facts.fatigue.closures if item.part == "closures" else facts.fatigue.bars


def _broken(item: Any, facts: Facts) -> tuple[str, str]:
    """A part that broke: what does the verdict say?"""
    return _by_verdict(_part(item, facts), {FAILS: AGREES, SURVIVES: CONTRADICTS})


def _intact(item: Any, facts: Facts) -> tuple[str, str]:
    """A part that is whole."""
    return _by_verdict(_part(item, facts), {SURVIVES: AGREES, FAILS: CONTRADICTS})


def _by_verdict(part: PartVerdict | None, scores: dict[str, str]) -> tuple[str, str]:
    """Score of a verdict."""
    if part is None:
        return UNKNOWN, "the cage of this case has no closures"
    words = f"verdict '{part.verdict}', reserve {part.reserve:.3g}"
    return scores.get(part.verdict, UNKNOWN), words


def _most_worn(item: Any, facts: Facts) -> tuple[str, str]:
    """The face that is worn most."""
    if facts.wear is None:
        return UNKNOWN, "the history holds no friction work"
    if facts.planar and item.face in FACES[2:]:
        return UNKNOWN, "the run had no axial motion"
    work = facts.wear.pocket_work.mean.sum(axis=0)
    own = float(work[FACES.index(item.face)])
    faces = FACES[:2] if facts.planar else FACES
    others = {face: float(work[FACES.index(face)]) for face in faces if face != item.face}
    rival = max(others, key=lambda face: others[face])
    words = f"{item.face} {own:.3g} J/h, {rival} {others[rival]:.3g} J/h, all pockets"
    if own > 0.0 and own >= CLEARLY_MORE * others[rival]:
        return AGREES, words
    return (CONTRADICTS if others[rival] > CLEARLY_MORE * own else UNKNOWN), words


def _worn_pockets(item: Any, facts: Facts) -> tuple[str, str]:
    """Pockets that are worn more than the others."""
    if facts.wear is None:
        return UNKNOWN, "the history holds no friction work"
    windows = facts.wear.pocket_work.windows.sum(axis=2)
    chosen = np.array(sorted({one - 1 for one in item.pockets}))
    if chosen[-1] >= facts.rollers or len(chosen) >= facts.rollers:
        return UNKNOWN, f"the cage has {facts.rollers} pockets"
    others = np.setdiff1d(np.arange(facts.rollers), chosen)
    ahead = windows[:, chosen].mean(axis=1) - windows[:, others].mean(axis=1)
    if len(ahead) < 2:
        return UNKNOWN, "too short a run to know the scatter"
    mean = float(ahead.mean())
    error = float(ahead.std(ddof=1)) / math.sqrt(len(ahead))
    words = f"difference to the others {mean:.3g} J/h, standard error {error:.3g} J/h"
    if abs(mean) <= ERRORS * error:
        return UNKNOWN, words
    return (AGREES if mean > 0.0 else CONTRADICTS), words


def _land_marks(item: Any, facts: Facts) -> tuple[str, str]:
    """Marks round a land."""
    if facts.guide == "rollers":
        return UNKNOWN, "the rollers guide the cage of this case"
    loaded = facts.whirl.land_contact_share
    if item.extent == "none":
        words = f"a land is loaded for {100.0 * loaded:.0f} % of the time"
        return (AGREES if loaded == 0.0 else CONTRADICTS if loaded > 0.5 else UNKNOWN), words
    if facts.land is None:
        return CONTRADICTS, "no land carries anything"
    length = facts.land.cage_one_sided if item.on == "cage" else facts.land.ring_one_sided
    words = f"mean direction {length:.2f} of 1 in the frame of the {item.on}"
    if facts.land.turns < FEWEST_TURNS:
        return UNKNOWN, f"only {facts.land.turns:.1f} turns; {words}"
    if ALL_ROUND < length < ONE_SIDE:
        return UNKNOWN, words
    found = "one_side" if length >= ONE_SIDE else "all_round"
    return (AGREES if found == item.extent else CONTRADICTS), words


def _line(item: Any, facts: Facts) -> tuple[str, str]:
    """A frequency that was heard or measured."""
    spectrum = facts.whirl.spectrum
    room = item.frequency_Hz * item.within_percent / 100.0
    near = [
        peak
        for peak in facts.whirl.strongest
        if abs(abs(peak.frequency) - item.frequency_Hz) <= max(room, spectrum.step)
    ]
    share = sum(peak.share for peak in near)
    words = f"{100.0 * share:.0f} % of the power there, step of the spectrum {spectrum.step:.2g} Hz"
    if spectrum.step > 2.0 * room:
        return UNKNOWN, f"the record is too short to tell; {words}"
    if item.frequency_Hz > float(spectrum.frequency.max()):
        return UNKNOWN, "beyond the sampling of the history"
    return (AGREES if share >= LINE_POWER else CONTRADICTS), words


def _life(item: Any, facts: Facts) -> tuple[str, str]:
    """Hours after which a part was found broken."""
    part = _part(item, facts)
    if part is None:
        return UNKNOWN, "the cage of this case has no closures"
    low, high = part.life_interval_h or (part.life_h, part.life_h)
    words = f"life {low:.3g} to {high:.3g} h"
    away = max(low / item.hours, item.hours / high if high > 0.0 else math.inf)
    if away <= LIFE_FACTOR:
        return AGREES, words
    return (CONTRADICTS if away > LIFE_FACTOR**2 else UNKNOWN), words


_RULES: dict[str, Callable[[Any, Facts], tuple[str, str]]] = {
    "broken": _broken,
    "intact": _intact,
    "most_worn": _most_worn,
    "worn_pockets": _worn_pockets,
    "land_marks": _land_marks,
    "line": _line,
    "life": _life,
}
