"""How a key of the case file is declared: unit, limits, default, and the reason for the default.

One declaration feeds the validation, the wording of errors, the list of assumptions and the
commented template, so they cannot drift apart. Four sorts of key:

needed       the user must give it
assumed      has a default value; an assumption where the user does not give it
computed     None in the case; the model computes it, an assumption all the same
conditional  belongs to one choice of another key; no assumption where it is absent
"""

from __future__ import annotations

import json
import typing
from types import NoneType
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field
from pydantic.fields import FieldInfo

PRACTICE = "common practice, no source"
MEMORY = "value from memory"
WHOLE = "a whole number (no decimal point)"
# 5 m is far beyond any rolling bearing: the limit catches a wrong unit, not a bold design.
LARGE = {"gt": 0, "le": 5000}


class Section(BaseModel):
    """Base of every table of the case file: frozen, no unknown keys, no silent conversion."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)


def _as_tuple(value: Any) -> Any:
    """Lists of TOML become tuples, so that a frozen section stays frozen."""
    return tuple(_as_tuple(item) for item in value) if isinstance(value, list) else value


Pair = Annotated[tuple[float, float], BeforeValidator(_as_tuple)]
Four = Annotated[tuple[float, float, float, float], BeforeValidator(_as_tuple)]
Numbers = Annotated[tuple[float, ...], BeforeValidator(_as_tuple)]
Three = Annotated[tuple[float, float, float], BeforeValidator(_as_tuple)]
Table = Annotated[tuple[tuple[float, float], ...], BeforeValidator(_as_tuple)]
ThreeTable = Annotated[tuple[tuple[float, float, float], ...], BeforeValidator(_as_tuple)]
FourTable = Annotated[tuple[tuple[float, float, float, float], ...], BeforeValidator(_as_tuple)]


def list_of(choices: Any) -> Any:
    """Type of a list whose items come from a fixed choice.

    Parameters
    ----------
    choices : typing.Literal
        The allowed items.

    Returns
    -------
    typing.Annotated
        Type for a field.
    """
    return Annotated[tuple[choices, ...], BeforeValidator(_as_tuple)]


def needed(
    meaning: str, unit: str = "", *, example: Any, note: str = "", form: str = "", **limits: Any
) -> Any:
    """Key that the user must give.

    Parameters
    ----------
    meaning : str
        What the key is, in a few words.
    unit : str
        Unit of the value, empty for none.
    example : object
        Value shown in the template.
    note : str
        Said after the allowed range when the value is out of range.
    form : str
        Sort of value in words, where the type alone does not tell it well.
    **limits : float
        Any of gt, ge, lt, le (range) and max_length (text, lists).

    Returns
    -------
    pydantic.fields.FieldInfo
        Declaration of the field.
    """
    return _declare("needed", ..., meaning, unit, limits, example=example, note=note, form=form)


def assumed(
    default: Any,
    meaning: str,
    unit: str = "",
    *,
    why: str = PRACTICE,
    effect: str = "",
    form: str = "",
    only: dict[str, Any] | None = None,
    **limits: Any,
) -> Any:
    """Key with a default value.

    Parameters
    ----------
    default : object
        Value where the user gives none.
    meaning : str
        What the key is, in a few words.
    unit : str
        Unit of the value, empty for none.
    why : str
        Reason for the default.
    effect : str
        What the value does to the results, where it is known.
    form : str
        Sort of value in words, where the type alone does not tell it well.
    only : dict or None
        Other key of the same table -> its values with which this key counts, or ... for any value
        but none. Where it does not count it is no assumption.
    **limits : float
        Any of gt, ge, lt, le (range) and max_length (text, lists).

    Returns
    -------
    pydantic.fields.FieldInfo
        Declaration of the field.
    """
    extra = {"why": why, "effect": effect, "form": form, "only": only or {}}
    return _declare("assumed", default, meaning, unit, limits, **extra)


def computed(
    meaning: str, unit: str = "", *, how: str, example: Any, effect: str = "", **limits: Any
) -> Any:
    """Key that the model computes where the user gives none (None in the case).

    Parameters
    ----------
    meaning : str
        What the key is, in a few words.
    unit : str
        Unit of the value, empty for none.
    how : str
        What it is computed from.
    example : object
        Value shown in the template.
    effect : str
        What the value does to the results, where it is known.
    **limits : float
        Any of gt, ge, lt, le (range).

    Returns
    -------
    pydantic.fields.FieldInfo
        Declaration of the field.
    """
    extra = {"why": f"computed: {how}", "effect": effect, "example": example}
    return _declare("computed", None, meaning, unit, limits, **extra)


def conditional(
    meaning: str,
    unit: str = "",
    *,
    when: str,
    example: Any,
    form: str = "",
    only: dict[str, Any] | None = None,
    **limits: Any,
) -> Any:
    """Key that belongs to one choice of another key.

    Parameters
    ----------
    meaning : str
        What the key is, in a few words.
    unit : str
        Unit of the value, empty for none.
    when : str
        When it is needed.
    example : object
        Value shown in the template.
    form : str
        Sort of value in words, where the type alone does not tell it well.
    only : dict or None
        As for `assumed`: with which values of other keys this one counts.
    **limits : float
        Any of gt, ge, lt, le (range).

    Returns
    -------
    pydantic.fields.FieldInfo
        Declaration of the field.
    """
    notes = {"example": example, "why": when, "form": form, "only": only or {}}
    return _declare("conditional", None, meaning, unit, limits, **notes)


def _declare(
    sort: str, default: Any, meaning: str, unit: str, limits: dict[str, Any], **extra: Any
) -> Any:
    """Field with everything rollsim wants to know about it."""
    notes = {"sort": sort, "unit": unit, "limits": limits, **extra}
    return Field(default, description=meaning, json_schema_extra=notes, **limits)


def detail(field: FieldInfo, name: str) -> Any:
    """One entry of a declaration: sort, unit, limits, example, why, effect or note.

    Parameters
    ----------
    field : pydantic.fields.FieldInfo
        The declared field.
    name : str
        Name of the entry.

    Returns
    -------
    object
        Its value; empty text where the declaration has none.
    """
    return (field.json_schema_extra or {}).get(name, "")


def choices(field: FieldInfo) -> tuple[str, ...]:
    """Allowed texts of a field with a fixed choice (also inside a list).

    Parameters
    ----------
    field : pydantic.fields.FieldInfo
        The declared field.

    Returns
    -------
    tuple of str
        Empty where the field is not a choice.
    """
    return _literals(field.annotation)


def _literals(annotation: Any) -> tuple[str, ...]:
    """Items of the first Literal found inside a type."""
    if typing.get_origin(annotation) is Literal:
        return typing.get_args(annotation)
    for inner in typing.get_args(annotation):
        found = _literals(inner)
        if found:
            return found
    return ()


def allowed(field: FieldInfo) -> str:
    """What a field accepts, in words: sort of value, unit, range.

    Parameters
    ----------
    field : pydantic.fields.FieldInfo
        The declared field.

    Returns
    -------
    str
        For example "a number in mm, greater than 0, at most 5000".
    """
    text = _form(field)
    if detail(field, "unit"):
        text += f" in {detail(field, 'unit')}"
    span = limits_text(detail(field, "limits") or {})
    return f"{text}, {span}" if span else text


def limits_text(limits: dict[str, Any]) -> str:
    """Range in words.

    Parameters
    ----------
    limits : dict
        Any of gt, ge, lt, le, min_length, max_length.

    Returns
    -------
    str
        Empty where there is no limit.

    Examples
    --------
    >>> limits_text({"gt": 0, "le": 5000})
    'greater than 0, at most 5000'
    """
    words = {
        "gt": "greater than {}",
        "ge": "at least {}",
        "lt": "less than {}",
        "le": "at most {}",
        "min_length": "not empty",
        "max_length": "at most {} characters",
    }
    return ", ".join(
        words[name].format(f"{value:g}" if isinstance(value, float) else value)
        for name, value in limits.items()
    )


def _form(field: FieldInfo) -> str:
    """Sort of value a field holds, in words."""
    if detail(field, "form"):
        return detail(field, "form")
    items = choices(field)
    kind = _without_none(field.annotation)
    is_list = typing.get_origin(kind) is tuple
    if items:
        start = "a list of any of " if is_list else "one of " * (len(items) > 1)
        return start + ", ".join(f"'{item}'" for item in items)
    if is_list:
        return _list_form(typing.get_args(kind))
    names = {float: "a number", int: WHOLE, bool: "true or false", str: "text"}
    return names[kind]


def _list_form(items: tuple[Any, ...]) -> str:
    """Sort of list, in words."""
    if items[-1] is Ellipsis:
        return "a list of pairs [frequency, value]"
    return f"a list of {'two' if len(items) == 2 else 'four'} numbers"


def _without_none(annotation: Any) -> Any:
    """Type of an optional field, bare of Optional and Annotated."""
    if typing.get_origin(annotation) is Annotated:
        return _without_none(typing.get_args(annotation)[0])
    args = [item for item in typing.get_args(annotation) if item is not NoneType]
    if NoneType in typing.get_args(annotation) and len(args) == 1:
        return _without_none(args[0])
    return annotation


def toml_value(value: Any) -> str:
    """Value as it stands in a TOML file.

    Parameters
    ----------
    value : object
        Number, text, truth value, or list of them.

    Returns
    -------
    str
        TOML text.

    Examples
    --------
    >>> toml_value(("x", 1.5)), toml_value(False)
    ('["x", 1.5]', 'false')
    """
    if isinstance(value, str):
        # the escapes of JSON are those of TOML, but for the one character that JSON leaves bare
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, list | tuple):
        return "[" + ", ".join(toml_value(item) for item in value) + "]"
    return str(value).lower() if isinstance(value, bool) else str(value)
