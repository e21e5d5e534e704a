"""Keys that several kinds of vibration source share: direction, amplitude, phase, seed."""

from __future__ import annotations

from typing import Any, Literal

from rollsim.case.fields import assumed, computed, conditional

Axis = Literal["x", "y", "z"]


def axis_key() -> Any:
    """Declaration of one axis.

    Returns
    -------
    pydantic.fields.FieldInfo
        Declaration of the field.
    """
    return conditional("axis along which the source acts", when="this or direction", example="y")


def direction_key(what: str = "axis") -> Any:
    """Declaration of a direction in space.

    Parameters
    ----------
    what : str
        Key in whose place it stands.

    Returns
    -------
    pydantic.fields.FieldInfo
        Declaration of the field.
    """
    return conditional(
        f"direction [x, y, z] in place of {what}; its length does not matter",
        when=f"in place of {what}",
        example=(1.0, 1.0, 0.0),
        form="a list of three numbers",
    )


def amplitude_g_key(example: float) -> Any:
    """Declaration of an amplitude in g.

    Parameters
    ----------
    example : float
        Value of the template.

    Returns
    -------
    pydantic.fields.FieldInfo
        Declaration of the field.
    """
    when = "this or amplitude_m_per_s2"
    return conditional("amplitude in g", "g", when=when, example=example, gt=0, le=1e4)


def amplitude_key(example: float) -> Any:
    """Declaration of an amplitude in SI.

    Parameters
    ----------
    example : float
        Value of the template.

    Returns
    -------
    pydantic.fields.FieldInfo
        Declaration of the field.
    """
    when = "this or amplitude_g"
    return conditional("amplitude in m/s2", "m/s2", when=when, example=example, gt=0, le=1e5)


def phase_key(why: str = "starts at zero") -> Any:
    """Declaration of a phase at the start.

    Parameters
    ----------
    why : str
        Reason for zero.

    Returns
    -------
    pydantic.fields.FieldInfo
        Declaration of the field.
    """
    return assumed(0.0, "phase at the start", "degrees", why=why, ge=-360, le=360)


def seed_key(why: str = "") -> Any:
    """Declaration of the seed of a source.

    Parameters
    ----------
    why : str
        Added to what the seed follows from.

    Returns
    -------
    pydantic.fields.FieldInfo
        Declaration of the field.
    """
    return computed(
        "seed of this source",
        how="case.seed and the position of the source" + why,
        example=7,
        ge=0,
        le=2**32 - 1,
    )
