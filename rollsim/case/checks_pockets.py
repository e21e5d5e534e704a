"""Relations of the pocket tolerances: rollers fit, bars are left, pockets exist."""

from __future__ import annotations

import math
from collections.abc import Iterator

from rollsim.case.checks import Finding, Values
from rollsim.case.checks_geometry import THINNEST_BAR
from rollsim.units import MM, UM

_PITCH = "cage.pocket_pitch_errors_um"
_PITCH_TOLERANCE = "cage.pocket_pitch_tolerance_um"
_WIDTH_TOLERANCE = "cage.pocket_clearance_tolerance_um"
_EXTRA = "cage.pocket_extra_clearance_um"


def _one_sort_of_pitch_error(v: Values) -> Iterator[Finding]:
    """Measured pitch errors leave no room for a tolerance."""
    if v.given(_PITCH) and v[_PITCH_TOLERANCE] > 0:
        yield Finding(
            _PITCH_TOLERANCE,
            "give either pocket_pitch_tolerance_um or pocket_pitch_errors_um, not both",
        )


def _one_error_a_pocket(v: Values) -> Iterator[Finding]:
    """As many pitch errors as pockets, each smaller than the clearance."""
    errors, count, clearance = v[_PITCH], v["roller.count"], v["clearance.pocket_um"]
    if len(errors) != count:
        yield Finding(_PITCH, f"must hold one number a pocket, {count}; it holds {len(errors)}")
    largest = max((abs(error) for error in errors), default=0.0)
    if largest >= clearance:
        yield Finding(
            _PITCH,
            f"an error of {largest:g} um is not smaller than the pocket clearance of "
            f"{clearance:g} um: evenly spaced rollers would not find room in their pockets",
        )


def _pitch_tolerance(v: Values) -> Iterator[Finding]:
    """Pitch errors from a tolerance are smaller than the clearance."""
    if v[_PITCH_TOLERANCE] >= v["clearance.pocket_um"]:
        yield Finding(
            _PITCH_TOLERANCE,
            f"must be less than the pocket clearance of {v['clearance.pocket_um']:g} um: evenly "
            "spaced rollers would not find room in their pockets",
        )


def _named_pockets(v: Values) -> Iterator[Finding]:
    """Rows name pockets that exist, each once."""
    count, seen = v["roller.count"], set()
    for number, extra in v[_EXTRA]:
        row = f"row [{number:g}, {extra:g}]"
        if number != int(number) or not 1 <= number <= count:
            yield Finding(_EXTRA, f"{row}: pockets are numbered from 1 to {count}")
        elif number in seen:
            yield Finding(_EXTRA, f"{row}: pocket {number:g} is named twice")
        seen.add(number)


def _clearance_left(v: Values) -> Iterator[Finding]:
    """Every pocket stays wider than its roller, in the worst case of the tolerance."""
    clearance, tolerance = v["clearance.pocket_um"], v[_WIDTH_TOLERANCE]
    if tolerance >= clearance:
        yield Finding(
            _WIDTH_TOLERANCE,
            f"must be less than the pocket clearance of {clearance:g} um, or a pocket may be "
            "smaller than its roller",
        )
        return
    for number, extra in v[_EXTRA]:
        least = clearance - tolerance + extra
        if least <= 0:
            yield Finding(
                _EXTRA,
                f"row [{number:g}, {extra:g}]: leaves a pocket clearance of {least:g} um; it must "
                "be greater than 0",
            )


def _bars_left(v: Values) -> Iterator[Finding]:
    """No bar is worn through or cut away, in the worst case of the tolerances."""
    count, diameter = v["roller.count"], v["roller.diameter_mm"]
    pocket = diameter + v["clearance.pocket_um"] * UM / MM
    bar = v["bearing.pitch_diameter_mm"] * math.sin(math.pi / count) - pocket
    least = THINNEST_BAR * diameter
    if bar < least:
        return  # reported as rollers that do not fit
    number, loss = _largest_loss(v, count)
    if bar - 1e-3 * loss < least:
        key = _EXTRA if v[_EXTRA] else _PITCH if v.given(_PITCH) else _PITCH_TOLERANCE
        yield Finding(
            key,
            f"wear and tolerances may take {1e-3 * loss:.3g} mm of the bar ahead of pocket "
            f"{number}, which is {bar:.3g} mm wide; at least {least:.3g} mm must be left",
        )


def _largest_loss(v: Values, count: int) -> tuple[int, float]:
    """Number of the pocket whose bar ahead loses most, and what it loses in um."""
    extra = dict.fromkeys(range(1, count + 1), 0.0)
    extra.update({int(number): value for number, value in v[_EXTRA] if number in extra})
    errors = v.find(_PITCH) or (0.0,) * count
    if len(errors) != count:
        errors = (0.0,) * count
    common = v[_WIDTH_TOLERANCE] + 2.0 * (0.0 if v.given(_PITCH) else v[_PITCH_TOLERANCE])
    losses = {}
    for number in range(1, count + 1):
        following = number % count + 1
        width = 0.5 * (extra[number] + extra[following])
        losses[number] = width + errors[number - 1] - errors[following - 1] + common
    number = max(losses, key=losses.get)
    return number, losses[number]


CHECKS = (
    _one_sort_of_pitch_error, _one_error_a_pocket, _pitch_tolerance, _named_pockets,
    _clearance_left, _bars_left,
)  # fmt: skip
