"""Units of acceleration, and those that a file declares for its channels."""

import re

from rollsim.units import G0

IN_SI = {
    "g": G0,
    "mg": 1e-3 * G0,
    "m/s2": 1.0,
    "mm/s2": 1e-3,
    "ft/s2": 0.3048,
    "in/s2": 0.0254,
}
"""m/s^2 of one unit; foot and inch are exact (international yard and pound, 1959)."""

TIME_IN_SI = {"s": 1.0, "ms": 1e-3, "us": 1e-6}
"""s of one unit of time."""

_SPELLINGS = {"m/s/s": "m/s2", "ms-2": "m/s2", "gn": "g", "sec": "s", "msec": "ms", "[-]": ""}
_KNOWN = {*IN_SI, *TIME_IN_SI, "mm/s", "m/s", "mm", "um", "v", "mv", "n", "mpa", "rpm", "hz", "1"}
_BRACKETS = re.compile(r"\s*[\[(]([^\])]*)[\])]\s*$")


def plain_unit(text):
    """Unit in the spelling of the case file.

    Parameters
    ----------
    text : str
        As a file spells it.

    Returns
    -------
    str
        Lower case, without powers set high, brackets and blanks.

    >>> plain_unit("[m/s²]"), plain_unit("m/s^2"), plain_unit(" G "), plain_unit("µs")
    ('m/s2', 'm/s2', 'g', 'us')
    """
    text = text.strip().strip("[]()").strip().lower()
    for old, new in (("²", "2"), ("^", ""), ("**", ""), ("µ", "u"), ("μ", "u"), (" ", "")):
        text = text.replace(old, new)
    return _SPELLINGS.get(text, text)


def is_unit(text):
    """Whether a text is a unit that recordings carry.

    Parameters
    ----------
    text : str
        A cell of a table.

    Returns
    -------
    bool
        True for known units, and for anything in square brackets.

    >>> is_unit("g"), is_unit("[ms]"), is_unit("acc_x")
    (True, True, False)
    """
    text = text.strip()
    return plain_unit(text) in _KNOWN or (text.startswith("[") and text.endswith("]"))


def name_and_unit(text):
    """Name of a column and the unit behind it in brackets.

    Parameters
    ----------
    text : str
        Title of the column.

    Returns
    -------
    name : str
        Without the unit.
    unit : str or None
        In plain spelling; None where the title has none.

    >>> name_and_unit("acc_x [m/s²]"), name_and_unit("acc (left)"), name_and_unit("t")
    (('acc_x', 'm/s2'), ('acc (left)', None), ('t', None))
    """
    found = _BRACKETS.search(text)
    if found and (plain_unit(found[1]) in _KNOWN):
        return text[: found.start()].strip(), plain_unit(found[1])
    return text.strip(), None


def check_units(declared, stated, findings):
    """Compare the units that a file declares with the one that the case states.

    Parameters
    ----------
    declared : dict
        Channel -> unit in plain spelling, None where the file is silent.
    stated : str
        Unit of the case.
    findings : Findings
        Takes the problems.
    """
    told = {name: unit for name, unit in declared.items() if unit}
    if len(set(told.values())) > 1:
        parts = ", ".join(f"'{name}' in {unit}" for name, unit in told.items())
        findings.problem(
            f"mixed units: {parts}. One source has one unit: give each its own [[vibration]]"
        )
        return
    for name, unit in told.items():
        if unit != stated:
            text = f"the file says {unit}, the case says unit = '{stated}'"
            if unit not in IN_SI:
                text += "; only acceleration can be replayed"
            findings.problem(f"{text}: correct the one that is wrong", name)


HIGH_LEVEL = 50.0 * G0
"""Rms that machines on site hardly reach; more is told. Our own choice."""

_NEAR = 0.03


def check_level(facts, stated, findings):
    """Tell levels that speak for another unit than the one that the case states.

    A sensor that measures steady acceleration shows gravity: 1 in a file in g, 9.81 in one in m/s2.

    Parameters
    ----------
    facts : sequence of ChannelFacts
        Channels, m/s^2.
    stated : str
        Unit of the case.
    findings : Findings
        Takes the warnings.
    """
    other = {"g": "m/s2", "m/s2": "g"}.get(stated)
    if other is not None:
        gravity = G0 / IN_SI[other] * IN_SI[stated]
        for item in facts:
            if abs(abs(item.mean) / gravity - 1.0) < _NEAR:
                findings.warn(
                    f"its mean is {item.mean / IN_SI[stated]:.4g} {stated}, which is gravity in "
                    f"{other}: is unit = '{other}' meant?",
                    item.name,
                )
    for item in facts:
        if item.rms > HIGH_LEVEL:
            findings.warn(
                f"has {item.rms / G0:.4g} g rms, more than machines on site show (50 g): look at "
                f"unit = '{stated}', gain and full_scale",
                item.name,
            )
