"""Tension of the closures: what they are made of has to bear it."""

from __future__ import annotations

import math
from collections.abc import Iterator

from rollsim.case.checks import Finding, Values
from rollsim.case.checks_material import material_number

_PRELOAD = "cage.closure.preload_N"


def _preload_below_yield(v: Values) -> Iterator[Finding]:
    """The shank of a rivet or tenon does not yield under its preload alone."""
    preload = v[_PRELOAD]
    area, words = _section(v)
    name = v.find("cage.closure.material") or v["cage.material"]
    strength = material_number(v, name, "yield_MPa")
    if preload > strength * area:
        yield Finding(
            _PRELOAD,
            f"pulls {words} with {preload / area:.3g} MPa, more than the yield strength of {name},"
            f" {strength:g} MPa: at most {strength * area:.4g} N",
        )


def _section(v: Values) -> tuple[float, str]:
    """Cross-section of a closure in mm2, and words for it."""
    rivet = v["cage.closure.kind"] == "steel_rivet"
    if rivet or v["cage.closure.tenon_shape"] == "round":
        diameter = v["cage.closure.diameter_mm"]
        return 0.25 * math.pi * diameter**2, f"a {'rivet' if rivet else 'tenon'} of {diameter:g} mm"
    width, height = v["cage.closure.tangential_width_mm"], v["cage.closure.radial_height_mm"]
    return width * height, f"a tenon of {width:g} x {height:g} mm"


CHECKS = (_preload_below_yield,)
