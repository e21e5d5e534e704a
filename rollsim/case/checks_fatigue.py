"""Relations of the fatigue rules: which of them a material allows."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator

from rollsim.case.checks import Finding, Unknown, Values
from rollsim.case.materials import GROUP_OF, MEAN_SENSITIVITY

FOR_ALL = "goodman, gerber, smith_watson_topper or walker"
_CLOSURE = "cage.closure.material"


def judged_materials(v: Values) -> list[str]:
    """Names of the materials of cage and closures, each once.

    Parameters
    ----------
    v : Values
        The valid values.

    Returns
    -------
    list of str
        The cage first; the material of the closures where they have one of their own.
    """
    names = [v["cage.material"]]
    if v["cage.closure.kind"] != "one_piece":
        with contextlib.suppress(Unknown):  # none given: that of the cage
            names.append(v[_CLOSURE])
    return list(dict.fromkeys(names))


def _group(v: Values, name: str) -> str | None:
    """Group of a material: given, or shipped; None where nobody said."""
    try:
        given = v.find(("material", name, "group"))
    except Unknown:
        given = None
    return given or GROUP_OF.get(name)


def _fkm_has_constants(v: Values) -> Iterator[Finding]:
    """The mean stress sensitivity is known for the materials of cage and closures."""
    if v["fatigue.mean_stress"] != "fkm":
        return
    known = ", ".join(name.replace("_", " ") for name in MEAN_SENSITIVITY)
    for name in judged_materials(v):
        group = _group(v, name)
        if group in MEAN_SENSITIVITY:
            continue
        what = (
            f"'{name}' is a {group.replace('_', ' ')}"
            if group
            else f"nothing tells what '{name}' is (key group in [material.{name}])"
        )
        yield Finding(
            "fatigue.mean_stress",
            f"the FKM guideline gives constants for {known} only, and {what}; take {FOR_ALL}",
            "goodman",
        )


def _exponent_goes_with_walker(v: Values) -> Iterator[Finding]:
    """Walker's exponent and his rule are given together."""
    key, rule = "fatigue.walker_exponent", v["fatigue.mean_stress"]
    if rule == "walker" and not v.given(key):
        yield Finding(
            "fatigue.mean_stress",
            "walker needs fatigue.walker_exponent beside it (from tests; 0.5 is "
            "smith_watson_topper, 1 is none)",
        )
    if rule != "walker" and v.given(key):
        yield Finding(key, f'counts only with mean_stress = "walker", not with "{rule}"')


def _limit_where_there_is_one(v: Values) -> Iterator[Finding]:
    """No endurance limit for copper alloys."""
    if v["fatigue.damage_rule"] != "original":
        return
    for name in judged_materials(v):
        if _group(v, name) == "copper_alloy":
            yield Finding(
                "fatigue.damage_rule",
                f"original takes no damage below the knee, and '{name}' is a copper alloy, which "
                "has no endurance limit; take elementary, by_material or modified",
                "elementary",
            )


def _one_slope_beyond(v: Values) -> Iterator[Finding]:
    """The slope beyond the knee is told once: by a material, or by the rule for all."""
    rule = v["fatigue.damage_rule"]
    if rule == "by_material":
        return
    for name in judged_materials(v):
        key = ("material", name, "slope_beyond")
        if v.blocks.get(key[:2]) is not None and v.given(key):
            yield Finding(
                key,
                f'fatigue.damage_rule = "{rule}" tells the slope beyond the knee already; leave '
                'one of the two out ("by_material" uses the one given here)',
            )


CHECKS = (
    _fkm_has_constants,
    _exponent_goes_with_walker,
    _limit_where_there_is_one,
    _one_slope_beyond,
)
