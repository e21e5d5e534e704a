"""Relations of the closures: rivets and tenons must fit into bar and ring."""

from __future__ import annotations

import math
from collections.abc import Iterator

from rollsim.case.checks import Finding, Unknown, Values
from rollsim.case.checks_geometry import UM_TO_MM
from rollsim.case.pocket_sides import bar_width, pocket_half_angle
from rollsim.case.schema_closures import BESIDE

# Least metal beside a hole or tenon, as a share of its size; common practice, no source.
LEAST_EDGE = 0.2
# What rounding may take from a size that is just enough.
ROUNDING = 1e-9
_WIDTH, _HEIGHT, _DIAMETER = (
    f"cage.closure.{name}" for name in ("tangential_width_mm", "radial_height_mm", "diameter_mm")
)
_FACTORS = "cage.closure.stiffness_factors"
#: Least factor of a closure that is there: with less, its own mass swings on a spring of almost
#: nothing, as slowly as the whole cage does (at 1e-3: 670 Hz, free rivet of the screen).
_LEAST_FACTOR = 1e-3
#: Keys of every shape of tenon.
_TENON_KEYS = {"rectangular": (_WIDTH, _HEIGHT), "round": (_DIAMETER,)}


def closure_circle(v: Values) -> float:
    """Diameter of the circle of closures in mm; the middle of the cage ring where not given.

    Parameters
    ----------
    v : Values
        The valid values.

    Returns
    -------
    float
        Diameter in mm.
    """
    given = v.find("cage.closure.circle_diameter_mm")
    if given is not None:
        return given
    return 0.5 * (v["cage.outer_diameter_mm"] + v["cage.inner_diameter_mm"])


def beside_bars(v: Values) -> bool:
    """Tell whether rivets stand beside the bars.

    Parameters
    ----------
    v : Values
        The valid values.

    Returns
    -------
    bool
    """
    return v.find("cage.closure.position") == BESIDE


def _bar_at_closure(v: Values) -> float:
    """Width in mm of the bars of this case at the circle of closures, as in the frame."""
    pocket = v["roller.diameter_mm"] + v["clearance.pocket_um"] * UM_TO_MM
    radius, angle = 0.5 * closure_circle(v), math.radians(v["cage.pocket_side_angle_deg"])
    contour = v.find("cage.pocket_contour_radius_mm")
    sides = (angle, math.inf if contour is None else contour)
    edge = pocket_half_angle(radius, 0.5 * v["bearing.pitch_diameter_mm"], pocket, *sides)
    width = float(bar_width(radius, v["roller.count"], edge))
    if width <= 0:  # reported already: the rollers do not fit on their circle
        raise Unknown("bar")
    return width


def _keys_of_the_tenon(v: Values) -> Iterator[Finding]:
    """Every shape of tenon has its sizes, and none of another shape."""
    shape = v["cage.closure.tenon_shape"]
    for owner, keys in _TENON_KEYS.items():
        for key in keys:
            if owner == shape and not v.given(key):
                yield Finding(
                    key,
                    f"[cage.closure] needs '{key.rpartition('.')[2]}' with tenon_shape = '{shape}'",
                )
            elif owner != shape and v.given(key):
                yield Finding(key, f"is only used with tenon_shape = '{owner}'")


def _rivet_in_bar(v: Values) -> Iterator[Finding]:
    """A rivet is narrower than the bar that it goes through."""
    if v["cage.closure.kind"] != "steel_rivet" or beside_bars(v):
        return
    diameter, bar = v["cage.closure.diameter_mm"], _bar_at_closure(v)
    if diameter >= bar:
        yield Finding(
            "cage.closure.diameter_mm",
            f"rivet is wider than the bar: the bar is {bar:.3g} mm wide on the circle of "
            f"{closure_circle(v):g} mm",
        )


def _tenon_in_bar(v: Values) -> Iterator[Finding]:
    """A tenon leaves shoulders on its bar, wide enough for the root fillets."""
    key = _DIAMETER if v["cage.closure.tenon_shape"] == "round" else _WIDTH
    width, bar = v[key], _bar_at_closure(v)
    if width >= bar:
        yield Finding(
            key,
            f"tenon is wider than the bar: the bar is {bar:.3g} mm wide on the circle of "
            f"{closure_circle(v):g} mm",
        )
        return
    shoulder = 0.5 * (bar - width)
    if v["cage.closure.root_fillet_mm"] > shoulder:
        yield Finding(
            "cage.closure.root_fillet_mm",
            f"fillet is wider than the shoulder of {shoulder:.3g} mm that the bar has beside the "
            "tenon",
        )


def _rivet_in_ring(v: Values) -> Iterator[Finding]:
    """A rivet hole keeps its distance from the edges of the ring."""
    if v["cage.closure.kind"] == "steel_rivet":
        yield from _in_ring(v, v[_DIAMETER], _DIAMETER, "rivet")


def _tenon_in_ring(v: Values) -> Iterator[Finding]:
    """A tenon keeps its distance from the edges of the ring."""
    key = _DIAMETER if v["cage.closure.tenon_shape"] == "round" else _HEIGHT
    yield from _in_ring(v, v[key], key, "tenon")


def _in_ring(v: Values, size: float, size_key: str, name: str) -> Iterator[Finding]:
    """Metal between a closure and both edges of the cage ring."""
    inside, outside = v["cage.inner_diameter_mm"], v["cage.outer_diameter_mm"]
    circle = closure_circle(v)
    edge = 0.5 * (min(circle - inside, outside - circle) - size)
    if inside < outside and edge < (LEAST_EDGE - ROUNDING) * size:
        circle_key = "cage.closure.circle_diameter_mm"
        yield Finding(
            circle_key if v.given(circle_key) else size_key,
            f"{name} of {size:g} mm on a circle of {circle:g} mm comes too close to the edge of "
            f"the cage ring ({inside:g} to {outside:g} mm): {_metal(edge)}, at least "
            f"{LEAST_EDGE * size:.3g} mm are needed",
        )


def _metal(edge: float) -> str:
    """Words for the metal that is left."""
    return f"{edge:.3g} mm of metal are left" if edge > 0 else "no metal is left"


def _rivet_count(v: Values) -> Iterator[Finding]:
    """Rivets through bars sit on them evenly; those beside the bars are seen in `checks_boss`."""
    count, rollers = v["cage.closure.count"], v["roller.count"]
    if not beside_bars(v) and rollers % count:
        yield Finding(
            "cage.closure.count",
            f"rivets sit on the bars, evenly spaced: must divide the {rollers} bars without rest",
        )


def _factors(v: Values) -> Iterator[Finding]:
    """Factors name closures that exist, each once; one closure at least is left."""
    rows, rollers = v[_FACTORS], v["roller.count"]
    count = rollers
    if v["cage.closure.kind"] == "steel_rivet":
        count = v.find("cage.closure.count") or rollers
    seen, missing = set(), set()
    for number, factor in rows:
        row = f"row [{number:g}, {factor:g}]"
        if number != int(number) or not 1 <= number <= count:
            yield Finding(_FACTORS, f"{row}: closures are numbered from 1 to {count}")
        elif number in seen:
            yield Finding(_FACTORS, f"{row}: closure {number:g} is named twice")
        if factor != 0 and not _LEAST_FACTOR <= factor <= 1:
            yield Finding(
                _FACTORS,
                f"{row}: the factor must be 0 (missing) or from {_LEAST_FACTOR:g} to 1 (sound)",
            )
        seen.add(number)
        missing |= {number} if factor == 0 else set()
    if missing >= set(range(1, count + 1)):
        yield Finding(_FACTORS, "no closure is left: nothing holds the cover")


CHECKS = (
    _factors, _keys_of_the_tenon, _rivet_in_bar, _tenon_in_bar, _rivet_in_ring, _tenon_in_ring,
    _rivet_count,
)  # fmt: skip
