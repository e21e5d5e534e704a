"""Whether a run goes on where it was begun: another processor or library may round differently."""

import json

from rollsim.history.provenance import machine, software

#: What decides the last digits of a result: part and key of the attribute `provenance`, and words.
_DECIDES = (
    ("machine", "processor", "processor"),
    ("machine", "architecture", "architecture"),
    ("software", "sources", "state of the program, SHA-256"),
    ("software", "python", "Python"),
    ("software", "numpy", "numpy"),
    ("software", "scipy", "scipy"),
    ("software", "numba", "numba"),
    ("software", "llvmlite", "llvmlite"),
)
_SHOWN = 40


def computes_here():
    """What computes on this machine.

    Returns
    -------
    dict
        `software` and `machine`, as in the attribute `provenance`.
    """
    return {"software": software(), "machine": machine()}


def machine_difference(provenance, here):
    """In what the place where a run was begun differs from another.

    Parameters
    ----------
    provenance : str or None
        Attribute of the history, JSON.
    here : dict
        From `computes_here`.

    Returns
    -------
    str
        In words, empty when a run would not notice or nothing is known of the first.

    >>> machine_difference('{"software": {"numpy": "2.0.0"}}', {"software": {"numpy": "2.1.0"}})
    'numpy (2.0.0 there, 2.1.0 here)'
    """
    there = json.loads(provenance or "{}")
    pairs = (
        (words, there.get(part, {}).get(key), here.get(part, {}).get(key))
        for part, key, words in _DECIDES
    )
    return ", ".join(
        f"{words} ({str(then)[:_SHOWN]} there, {str(now)[:_SHOWN]} here)"
        for words, then, now in pairs
        if then is not None and then != now
    )
