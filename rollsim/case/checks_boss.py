"""Relations of rivets beside the bars: their bosses must fit between two rollers and on the ring.

A rivet that joins both rings passes the rollers over their whole length, so it can only stand in
the gap between two of them, where the bar would be.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from rollsim.case.checks import Finding, Unknown, Values
from rollsim.case.checks_closure import LEAST_EDGE, ROUNDING, beside_bars, closure_circle
from rollsim.case.checks_geometry import UM_TO_MM
from rollsim.case.schema_closures import BESIDE

_COUNT, _GAP, _CIRCLE, _RIVET, _BOSS, _JOINT, _MATERIAL = (
    f"cage.closure.{name}"
    for name in (
        "count", "first_gap", "circle_diameter_mm", "diameter_mm",
        "boss_diameter_mm", "boss_joint", "boss_material",
    )
)  # fmt: skip


def boss_room(pitch: float, count: int, pocket: float, circle: float) -> float:
    """Diameter of the largest round that fits between two pockets on a circle.

    D = 2 sqrt(R^2 + r^2 - 2 R r cos(pi/Z)) - w: twice the distance from the middle of the gap to
    the middle of the next roller, less the width of the pocket; valid for round pockets that
    follow the roller. Source: plane geometry (law of cosines).

    Parameters
    ----------
    pitch : float, mm
        Pitch diameter 2 R.
    count : int
        Number of rollers Z.
    pocket : float, mm
        Width of the pocket w (roller and clearance).
    circle : float, mm
        Diameter 2 r of the circle of rivets.

    Returns
    -------
    float
        Diameter in mm; not more than zero where nothing fits.

    Examples
    --------
    >>> round(boss_room(182.0, 18, 26.3, 190.0), 3)
    7.087
    """
    far, near = 0.5 * pitch, 0.5 * circle
    square = far**2 + near**2 - 2.0 * far * near * math.cos(math.pi / count)
    return 2.0 * math.sqrt(square) - pocket


def _only_beside(v: Values) -> Iterator[Finding]:
    """Keys of bosses belong to rivets beside the bars."""
    if v["cage.closure.kind"] != "steel_rivet":
        return
    if not beside_bars(v):
        for key in (_BOSS, _JOINT, _MATERIAL, _GAP):
            if v.given(key):
                yield Finding(key, f"is only used with position = '{BESIDE}'")
    elif v.given(_MATERIAL) and v[_JOINT] != "separate":
        yield Finding(_MATERIAL, "is only used with boss_joint = 'separate'")


def _needed_beside(v: Values) -> Iterator[Finding]:
    """Bosses need a size, and rivets that do not sit on every bar a number."""
    if beside_bars(v):
        for key in (_COUNT, _BOSS):
            if not v.given(key):
                name = key.rpartition(".")[2]
                yield Finding(key, f"[cage.closure] needs '{name}' with position = '{BESIDE}'")


def _count(v: Values) -> Iterator[Finding]:
    """Every gap between two rollers holds one rivet at most."""
    if beside_bars(v) and v[_COUNT] > v["roller.count"]:
        rollers = v["roller.count"]
        yield Finding(
            _COUNT, f"each rivet needs a gap between two rollers of its own: at most {rollers}"
        )


def _first_gap(v: Values) -> Iterator[Finding]:
    """The gap of the first rivet exists."""
    if beside_bars(v) and v[_GAP] > v["roller.count"]:
        yield Finding(_GAP, f"gaps between rollers are numbered from 1 to {v['roller.count']}")


def _wall(v: Values) -> Iterator[Finding]:
    """A boss leaves metal round its rivet."""
    if not beside_bars(v):
        return
    rivet, boss = v[_RIVET], v[_BOSS]
    wall = 0.5 * (boss - rivet)
    if wall < (LEAST_EDGE - ROUNDING) * rivet:
        left = f"a wall of {wall:.3g} mm is left" if wall > 0 else "no wall is left"
        yield Finding(
            _BOSS,
            f"boss of {boss:g} mm is too narrow for a rivet of {rivet:g} mm: {left}, at least "
            f"{LEAST_EDGE * rivet:.3g} mm are needed",
        )


def _between_rollers(v: Values) -> Iterator[Finding]:
    """A boss keeps out of the pockets on both sides of its gap."""
    if not beside_bars(v):
        return
    pitch, count, boss = v["bearing.pitch_diameter_mm"], v["roller.count"], v[_BOSS]
    pocket = v["roller.diameter_mm"] + v["clearance.pocket_um"] * UM_TO_MM
    if math.pi * pitch / count <= pocket:  # reported already: the rollers do not fit
        raise Unknown("bar")
    room = boss_room(pitch, count, pocket, closure_circle(v))
    if boss > room:
        fits = f"at most {room:.3g} mm fit" if room > 0 else "nothing fits"
        yield Finding(
            _BOSS,
            f"boss of {boss:g} mm reaches into the pockets: between two rollers on the circle of "
            f"{closure_circle(v):g} mm {fits}",
        )


def _on_ring(v: Values) -> Iterator[Finding]:
    """A boss stands on the ring with its whole face."""
    if not beside_bars(v):
        return
    inside, outside = v["cage.inner_diameter_mm"], v["cage.outer_diameter_mm"]
    circle, boss = closure_circle(v), v[_BOSS]
    room = min(circle - inside, outside - circle)
    if inside < outside and boss > (1.0 + ROUNDING) * room:
        yield Finding(
            _CIRCLE if v.given(_CIRCLE) else _BOSS,
            f"boss of {boss:g} mm on a circle of {circle:g} mm does not stand on the cage ring "
            f"({inside:g} to {outside:g} mm) with its whole face",
        )


def _loose_piece(v: Values) -> Iterator[Finding]:
    """A separate distance piece slides over its shank."""
    if beside_bars(v) and v[_JOINT] == "separate" and v["cage.closure.hole_fit"] == "tight":
        yield Finding(
            "cage.closure.hole_fit",
            "a separate distance piece slides over the shank: only 'free' can be computed with "
            "boss_joint = 'separate'",
        )


CHECKS = (
    _only_beside, _needed_beside, _count, _first_gap, _wall, _between_rollers, _on_ring,
    _loose_piece,
)  # fmt: skip
