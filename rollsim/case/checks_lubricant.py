"""Relations of the lubricant: one way to its viscosity, parameters of the traction law."""

from __future__ import annotations

import math
from collections.abc import Iterator

from rollsim.case.checks import Finding, Values

#: Viscosity grades of ISO 3448 in mm2/s at 40 degrees C. Below 8 no viscosity index is defined.
ISO_GRADES = (10, 15, 22, 32, 46, 68, 100, 150, 220, 320, 460, 680, 1000, 1500, 2200, 3200)
#: As for all coefficients of friction.
_MOST_FRICTION = 2.0
_DIRECT = "viscosity_mPas"
_GRADE = "grade_iso_vg"
_COLD, _HOT = "viscosity_40C_mm2_per_s", "viscosity_100C_mm2_per_s"
_TEMPERATURE = "temperature_C"


def _given(v: Values, *names: str) -> list[str]:
    """Those of the keys of [lubricant] that the file holds."""
    return [name for name in names if v.given(f"lubricant.{name}")]


def _one_way_to_the_viscosity(v: Values) -> Iterator[Finding]:
    """The viscosity is given directly, by a grade, or by two points of its curve."""
    ways = _given(v, _DIRECT, _GRADE, _COLD)
    if len(ways) > 1:
        yield Finding(
            f"lubricant.{ways[-1]}",
            f"give the viscosity in one way: {' and '.join(ways)} both tell it",
        )
        return
    if _given(v, _HOT) and not _given(v, _COLD):
        yield Finding(f"lubricant.{_HOT}", f"belongs to {_COLD}, which is not given")
    if _given(v, _COLD) and not _given(v, _HOT):
        yield Finding(f"lubricant.{_COLD}", f"needs {_HOT} beside it, or give {_GRADE} instead")
    curve = _given(v, _GRADE, _COLD)
    if curve and not _given(v, _TEMPERATURE):
        yield Finding(f"lubricant.{curve[0]}", f"needs {_TEMPERATURE}, the temperature of the oil")
    if not curve:
        for name in _given(v, _TEMPERATURE, "viscosity_index", "density_15C_kg_per_m3"):
            yield Finding(
                f"lubricant.{name}", f"counts only with {_GRADE} or {_COLD}, which are not given"
            )
    elif _given(v, _COLD, "viscosity_index") == [_COLD, "viscosity_index"]:
        yield Finding("lubricant.viscosity_index", f"{_COLD} and {_HOT} tell it already")


def _grade_is_known(v: Values) -> Iterator[Finding]:
    """A grade stands in the standard."""
    grade = v[f"lubricant.{_GRADE}"]
    if grade not in ISO_GRADES:
        nearest = min(ISO_GRADES, key=lambda known: abs(known - grade))
        known = ", ".join(str(number) for number in ISO_GRADES)
        yield Finding(
            f"lubricant.{_GRADE}",
            f"must be a grade of ISO 3448 with a viscosity index: {known}; other oils by {_COLD} "
            f"and {_HOT}",
            str(nearest),
        )


def _thins_with_temperature(v: Values) -> Iterator[Finding]:
    """An oil is thinner at 100 degrees C than at 40."""
    cold, hot = v[f"lubricant.{_COLD}"], v[f"lubricant.{_HOT}"]
    if hot >= cold:
        yield Finding(f"lubricant.{_HOT}", f"must be less than {_COLD} = {cold:g} mm2/s")


def _four_parameter(v: Values) -> Iterator[Finding]:
    """The four-parameter law has its parameters, and no traction without slip."""
    key = "lubricant.four_parameter"
    if v["lubricant.raceway_traction"] != "four_parameter":
        return
    if v.find(key) is None:
        yield Finding(
            key,
            "[lubricant] needs 'four_parameter' = [A, B, C, D] (-, s/m, s/m, -) with "
            "raceway_traction = 'four_parameter'",
        )
        return
    a, b, c, d = v[key]
    if abs(a + d) > 1e-6:
        yield Finding(
            key,
            f"A + D is the friction without slip and must be 0, but is {a + d:.3g}",
        )
    elif c <= 0:
        yield Finding(key, "C must be greater than 0, or friction grows without bound")
    else:
        yield from _curve_is_friction(key, b, c, d)


def _curve_is_friction(key: str, b: float, c: float, d: float) -> Iterator[Finding]:
    """A curve without friction at rest, mu = D (1 - exp(-C s)) + B s exp(-C s), brakes everywhere.

    mu exp(C s) = D (exp(C s) - 1) + B s has the sign of D at great slip and that of B + C D at
    little; exp(x) - 1 >= x keeps it positive between where both are.
    """
    if d < 0 or b + c * d < 0:
        yield Finding(
            key,
            "friction must be against the slip everywhere: D (that at great slip) and B + C D (its "
            f"rise with little slip) must be 0 or more, but are {d:.3g} and {b + c * d:.3g}",
        )
        return
    at = 1.0 / c + d / b if b > 0 else math.inf
    peak = d if math.isinf(at) else d + (b * at - d) * math.exp(-c * at)
    if peak > _MOST_FRICTION:
        where = "great slip" if math.isinf(at) else f"{at:.3g} m/s"
        yield Finding(
            key, f"the friction coefficient reaches {peak:.3g} at {where}; {_MOST_FRICTION:g} is "
            "the most that is taken",
        )  # fmt: skip


CHECKS = (
    _one_way_to_the_viscosity,
    _grade_is_known,
    _thins_with_temperature,
    _four_parameter,
)
