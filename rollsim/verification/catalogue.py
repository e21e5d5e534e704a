"""All published checks, by topic, and the choice of some of them by words."""

from __future__ import annotations

import difflib
import re
from collections.abc import Sequence
from functools import cache

from rollsim.errors import RollsimError
from rollsim.verification import (
    bouncing,
    contact,
    fatigue,
    films,
    impacts,
    load_zone,
    marches,
    motion,
    rattling,
    short_bearing,
    statistics,
    structure,
    vibration,
)
from rollsim.verification.check import Check, Topic

TOPICS = (
    contact.TOPIC,
    *load_zone.TOPICS,
    *motion.TOPICS,
    *films.TOPICS,
    short_bearing.TOPIC,
    impacts.TOPIC,
    rattling.TOPIC,
    bouncing.TOPIC,
    *vibration.TOPICS,
    *fatigue.TOPICS,
    *structure.TOPICS,
    statistics.TOPIC,
    marches.TOPIC,
)
#: A word of this form is the beginning of a key: J, J0, J02, J02a.
_KEY = re.compile(r"[a-z](\d+[a-z]?)?", re.IGNORECASE)


class NoSuchCheck(RollsimError):
    """Words that no check answers to (exit code 2)."""

    exit_code = 2


def chosen(words: Sequence[str], topics: Sequence[Topic] = TOPICS) -> tuple[Topic, ...]:
    """Checks that answer to any of some words.

    Parameters
    ----------
    words : sequence of str
        Beginnings of keys (J, J02, J02a), or parts of a topic, of what is computed, of a source or
        of a basis, in any case; all checks without any.
    topics : sequence of Topic
        To choose from.

    Returns
    -------
    tuple of Topic
        Those with a check left, in their order.

    Raises
    ------
    NoSuchCheck
        A word that no check answers to.
    """
    if not words:
        return tuple(topics)
    for word in words:
        if not any(_answers(word, topic, check) for topic in topics for check in topic.checks):
            raise NoSuchCheck(_no_check(word, topics))
    kept = (
        Topic(t.name, tuple(c for c in t.checks if any(_answers(w, t, c) for w in words)))
        for t in topics
    )
    return tuple(topic for topic in kept if topic.checks)


@cache
def _text(topic: str, check: Check) -> str:
    """Everything in which words are looked for."""
    source = check.source
    return f"{topic} {check.what} {source.name} {source.basis.short} {source.basis.words}".lower()


def _answers(word: str, topic: Topic, check: Check) -> bool:
    """Whether a check answers to a word."""
    word = word.strip()
    if _KEY.fullmatch(word):
        return check.key.lower().startswith(word.lower())
    return bool(word) and word.lower() in _text(topic.name, check)


def _no_check(word: str, topics: Sequence[Topic]) -> str:
    """What is wrong with a word, and what was perhaps meant."""
    known = {check.key for topic in topics for check in topic.checks}
    known |= {w for topic in topics for c in topic.checks for w in _words(topic, c)}
    near = difflib.get_close_matches(word.lower(), sorted(k.lower() for k in known), 1, 0.75)
    meant = f" Did you mean '{near[0]}'?" if near else ""
    names = "\n".join(f"  {topic.name}" for topic in topics)
    return (
        f"No check answers to '{word}'.{meant} Allowed are keys (J02), or parts of a topic, of "
        f"what is computed or of a source; 'rollsim verify --list' shows them. Topics:\n{names}"
    )


def _words(topic: Topic, check: Check) -> list[str]:
    """Plain words of a check, of four letters or more."""
    return re.findall(r"[a-z]{4,}", f"{topic.name} {check.source.name}".lower())
