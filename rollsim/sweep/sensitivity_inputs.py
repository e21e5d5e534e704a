"""Which values of a case are varied, and the cases that come of it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from rollsim.case.change import changed_case
from rollsim.case.variation import (
    VARIATIONS,
    fits,
    keys_in_force,
    needs_no_run,
    value_in,
    variation_of,
)
from rollsim.errors import CaseError
from rollsim.simulation.output import RefusedRun
from rollsim.sweep.launch import elasticity_for_run
from rollsim.sweep.sensitivity_types import BASE, Input, SensitivityPlan, Variant
from rollsim.units import N_PER_UM

#: Tables whose values neither load nor judge the cage: not named among those left out.
_OF_THE_RUN = ("case.", "solver.", "output.")
_FACES = {"cage.bar_stiffness_N_per_um": ("bar",), "cage.end_stiffness_N_per_um": ("cover", "base")}
NAMED = "asked for by the user"


def choose_inputs(
    case: Any, plan: SensitivityPlan, elasticity: Any
) -> tuple[list[Input], list[tuple[str, str]]]:
    """Inputs that are varied, in the order of the table, those of the user first.

    Parameters
    ----------
    case : Case
        The case.
    plan : SensitivityPlan
        What is asked for.
    elasticity : CageElasticity
        Of its cage: the stiffness that a case leaves open.

    Returns
    -------
    inputs : list of Input
    left_out : list of (key, reason)

    Raises
    ------
    RefusedRun
        `plan.only` names nothing that is there.
    """
    found = {key: Input(key, value_in(case, key), values, NAMED, True)
             for key, values in plan.vary.items()}  # fmt: skip
    left_out = []
    for key, value, given in keys_in_force(case):
        if key in found or not _wanted(key, plan.only) or key.startswith(_OF_THE_RUN):
            continue
        entry = variation_of(key) if _judges(case, key) else None
        base = value if value is not None else _computed(key, elasticity)
        values = entry.values(base) if entry else ()
        if values:
            found[key] = Input(key, base, values, entry.basis, given)
        elif not key.startswith("material.") or _judges(case, key):
            left_out.append((key, _why_not(entry)))
    if plan.only and not found:
        raise RefusedRun(
            f"Nothing to vary in {', '.join(plan.only)}: give keys or tables of the case that have "
            "a range, or name one with its range (--vary KEY=LOW:HIGH)."
        )
    return _limited(list(found.values()), plan, left_out)


def _wanted(key: str, only: tuple[str, ...]) -> bool:
    """Whether a key belongs to what everything is restricted to."""
    return not only or any(
        key == own or key.startswith(f"{own}.") or fits(own, key) for own in only
    )


def _judges(case: Any, key: str) -> bool:
    """Whether a number of a material belongs to a part that is judged; True for other keys."""
    if not key.startswith("material."):
        return True
    return key.split(".")[1] in (case.cage.material, case.cage.closure.material)


def _computed(key: str, elasticity: Any) -> float | None:
    """Value of a key that the model computes: mean stiffness behind the faces."""
    faces = _FACES.get(key)
    if faces is None:
        return None
    values = np.concatenate([np.ravel(getattr(elasticity.backing, face)) for face in faces])
    return float(f"{np.mean(values) / N_PER_UM:.6g}")


def _why_not(entry: Any) -> str:
    """Why a key is not varied."""
    if entry is None:
        return "no range is stated for it"
    return "its range is a share of a number that is 0 here, or that the model computes"


def _limited(
    inputs: list[Input], plan: SensitivityPlan, left_out: list[tuple[str, str]]
) -> tuple[list[Input], list[tuple[str, str]]]:
    """Inputs in order, at most as many that need runs as are allowed."""
    order = [entry.key for entry in VARIATIONS]
    inputs.sort(key=lambda own: (own.key not in plan.vary, order.index(variation_of(own.key).key)
                                 if variation_of(own.key) else -1))  # fmt: skip
    kept, with_run = [], 0
    for own in inputs:
        if not needs_no_run(own.key):
            if not plan.runs:
                left_out.append((own.key, "it needs runs, and none are wanted"))
                continue
            with_run += 1
            if plan.most is not None and with_run > plan.most and own.key not in plan.vary:
                left_out.append((own.key, f"beyond the {plan.most} inputs with runs of their own"))
                continue
        kept.append(own)
    return kept, left_out


def make_variants(
    case: Any, inputs: list[Input], elasticity: Any
) -> tuple[list[Variant], list[tuple[str, str]]]:
    """The case and every case with one other value; those that are refused apart.

    Parameters
    ----------
    case : Case
        The case.
    inputs : list of Input
        What is varied.
    elasticity : CageElasticity
        Of its cage.

    Returns
    -------
    variants : list of Variant
        The case itself first.
    refused : list of (name, reason)
    """
    variants, refused = [Variant(BASE, "", None, case, elasticity, True)], []
    for own in inputs:
        for value in own.values:
            name = variant_name(own.key, value)
            try:
                variants.append(_variant(name, own.key, value, case, elasticity))
            except CaseError as problem:
                refused.append((name, "; ".join(own.message for own in problem.problems)))
            except RefusedRun as problem:
                refused.append((name, str(problem)))
    return variants, refused


def variant_name(key: str, value: Any) -> str:
    """Name of a variant.

    Parameters
    ----------
    key : str
        Dotted key.
    value : any
        Its value.

    Returns
    -------
    str

    Examples
    --------
    >>> variant_name("cage.mass_kg", 1.50), variant_name("bearing.misalignment_mrad", (0.5, 0.0))
    ('cage.mass_kg=1.5', 'bearing.misalignment_mrad=0.5,0')
    """
    parts = value if isinstance(value, tuple | list) else (value,)
    return f"{key}={','.join(_short(part) for part in parts)}"


def _short(value: Any) -> str:
    """A value in few letters."""
    return f"{value:g}" if isinstance(value, float) else str(value)


def _variant(name: str, key: str, value: Any, case: Any, elasticity: Any) -> Variant:
    """A case with one other value."""
    changed = changed_case(case, {key: list(value) if isinstance(value, tuple) else value})
    own = elasticity_for_run(changed)
    serves = needs_no_run(key) and _same_elasticity(own, elasticity)
    return Variant(name, key, value, changed, own, not serves)


def _same_elasticity(first: Any, second: Any) -> bool:
    """Whether a run would take the same stiffness and the same vibrations of the cage."""
    backings = zip(first.backing, second.backing, strict=True)
    if not all(np.array_equal(own, other) for own, other in backings):
        return False
    if first.modes is None or second.modes is None:
        return first.modes is second.modes
    return np.array_equal(first.modes.frequencies, second.modes.frequencies)


def read_vary(text: str) -> tuple[str, tuple[Any, ...]]:
    """A wish of the user, KEY=LOW:HIGH.

    Parameters
    ----------
    text : str
        Key, then one value or several with colons between.

    Returns
    -------
    key : str
    values : tuple
        Numbers where they are numbers, words otherwise.

    Raises
    ------
    RefusedRun
        No key or no value.

    Examples
    --------
    >>> read_vary("lubricant.pocket_friction=0.05:0.2")
    ('lubricant.pocket_friction', (0.05, 0.2))
    >>> read_vary("lubricant.raceway_traction=ehl")
    ('lubricant.raceway_traction', ('ehl',))
    """
    key, equals, rest = text.partition("=")
    parts = [part.strip() for part in rest.split(":")]
    if not (key.strip() and equals and all(parts)):
        raise RefusedRun(
            f"'{text}' is no range: write KEY=LOW:HIGH, as in lubricant.pocket_friction=0.05:0.2."
        )
    return key.strip(), tuple(_value(part) for part in parts)


def _value(text: str) -> Any:
    """A number, true or false, or a word."""
    if text in ("true", "false"):
        return text == "true"
    for kind in (int, float):
        try:
            return kind(text)
        except ValueError:
            continue
    return text


def table_rows() -> Iterator[tuple[str, str, str, str]]:
    """The table of ranges in words: key, how, basis, whether given values are varied too.

    Yields
    ------
    tuple of str
    """
    words = {"factor": "times", "amount": "plus", "values": ""}
    for entry in VARIATIONS:
        amounts = ", ".join(variant_name("", value)[1:] for value in entry.amounts)
        given = "also where given" if entry.given_too else "where assumed"
        yield entry.key, f"{words[entry.how]} {amounts}".strip(), entry.basis, given
