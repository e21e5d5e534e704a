"""Relations of the geometry: what must fit into what."""

from __future__ import annotations

import math
from collections.abc import Iterator

from rollsim.case.checks import Finding, Unknown, Values
from rollsim.units import MM, UM

UM_TO_MM = UM / MM
# A bar thinner than this share of the roller diameter is a slip of the pen; common practice,
# no source.
THINNEST_BAR = 0.02
# degrees: flatter pocket sides do not hold a roller guided cage; our own choice, no source.
LEAST_HOLDING_ANGLE = 3.0
# A bar side with a contour ends before the arc turns back: sine of the angle at its edge.
FARTHEST_ON_ARC = 0.95
# mrad: beyond it the equations for small tilts of the rings do not hold
LARGEST_TILT = 50
#: Least axial thickness of a ring of the cage over its radial width; common practice is 0.3 to 1.
_LEAST_THICKNESS = 0.01


def outer_raceway(v: Values) -> float:
    """Diameter of the outer raceway in mm, clearance left out.

    Parameters
    ----------
    v : Values
        The valid values.

    Returns
    -------
    float
        Pitch diameter plus roller diameter.
    """
    return v["bearing.pitch_diameter_mm"] + v["roller.diameter_mm"]


def inner_raceway(v: Values) -> float:
    """Diameter of the inner raceway in mm, clearance left out.

    Parameters
    ----------
    v : Values
        The valid values.

    Returns
    -------
    float
        Pitch diameter minus roller diameter, greater than 0.

    Raises
    ------
    Unknown
        Where the rollers are larger than their circle (reported as rollers that do not fit).
    """
    diameter = v["bearing.pitch_diameter_mm"] - v["roller.diameter_mm"]
    if diameter <= 0:
        raise Unknown("inner raceway")
    return diameter


def _bore(v: Values) -> Iterator[Finding]:
    """The inner ring has a wall."""
    if v["bearing.bore_mm"] >= inner_raceway(v):
        yield Finding(
            "bearing.bore_mm",
            f"must be less than the inner raceway of {inner_raceway(v):g} mm "
            "(pitch diameter minus roller diameter)",
        )


def _outside(v: Values) -> Iterator[Finding]:
    """The outer ring has a wall."""
    if v["bearing.outside_diameter_mm"] <= outer_raceway(v):
        yield Finding(
            "bearing.outside_diameter_mm",
            f"must be greater than the outer raceway of {outer_raceway(v):g} mm "
            "(pitch diameter plus roller diameter)",
        )


def _rollers_hold_the_cage(v: Values) -> Iterator[Finding]:
    """Parallel flat pocket sides cannot centre a cage that touches no ring."""
    if v["cage.guidance"] != "roller" or v.find("cage.pocket_contour_radius_mm") is not None:
        return
    if v["cage.pocket_side_angle_deg"] < LEAST_HOLDING_ANGLE:
        yield Finding(
            "cage.pocket_side_angle_deg",
            "a cage guided by its rollers needs a pocket_side_angle_deg of at least "
            f"{LEAST_HOLDING_ANGLE:g} degrees, or a pocket_contour_radius_mm: between parallel "
            "flat sides nothing holds it in the middle",
        )


def _contour(v: Values) -> Iterator[Finding]:
    """A contour has room for the roller and its play, holds the whole bar, and has no angle."""
    radius = v.find("cage.pocket_contour_radius_mm")
    if radius is None:
        return
    key = "cage.pocket_contour_radius_mm"
    pocket = 0.5 * (v["roller.diameter_mm"] + _clearance_or_zero(v))
    if radius <= pocket:
        yield Finding(
            key,
            f"must be greater than {pocket:g} mm, half of roller diameter plus pocket clearance: "
            "a tighter contour would touch the roller with its edges alone",
        )
        return
    pitch = v["bearing.pitch_diameter_mm"]
    bar = 0.5 * max(v["cage.outer_diameter_mm"] - pitch, pitch - v["cage.inner_diameter_mm"])
    least = bar / FARTHEST_ON_ARC
    if radius <= least:
        yield Finding(
            key,
            f"must be greater than {least:.4g} mm: the bars end {bar:g} mm off the pitch circle",
        )
    if v["cage.pocket_side_angle_deg"] != 0:
        yield Finding(
            "cage.pocket_side_angle_deg", "must be 0 with a pocket_contour_radius_mm: one or other"
        )


def _rollers_on_circle(v: Values) -> Iterator[Finding]:
    """Rollers and bars fit side by side on the pitch circle."""
    pitch, diameter, count = (
        v["bearing.pitch_diameter_mm"],
        v["roller.diameter_mm"],
        v["roller.count"],
    )
    pocket = diameter + _clearance_or_zero(v)
    thinnest = THINNEST_BAR * diameter
    bar = pitch * math.sin(math.pi / count) - pocket
    if bar < thinnest:
        yield Finding(
            "roller.count",
            f"{count} rollers of {diameter:g} mm do not fit on a pitch circle of {pitch:g} mm: "
            f"{_bars_left(bar)}, at least {thinnest:.3g} mm are needed; "
            f"{_most(pitch, pocket + thinnest)} fit",
        )


def _clearance_or_zero(v: Values) -> float:
    """Pocket clearance in mm, zero where it is not known."""
    try:
        return v["clearance.pocket_um"] * UM_TO_MM
    except Unknown:
        return 0.0


def _bars_left(bar: float) -> str:
    """Words for the bar width that is left."""
    return f"they leave bars of {bar:.3g} mm" if bar > 0 else "no bar is left between the pockets"


def _most(pitch: float, share: float) -> str:
    """Words for the largest number of rollers that fits."""
    if share >= pitch:
        return "none"
    return f"at most {int(math.pi / math.asin(share / pitch))}"


def _effective_length(v: Values) -> Iterator[Finding]:
    """The contact is no longer than the roller."""
    if v["roller.effective_length_mm"] > v["roller.length_mm"]:
        yield Finding(
            "roller.effective_length_mm",
            f"must be at most the roller length of {v['roller.length_mm']:g} mm",
        )


def _roller_in_width(v: Values) -> Iterator[Finding]:
    """Roller and axial play lie within the rings."""
    room = v["bearing.width_mm"] - v["clearance.flange_axial_um"] * UM_TO_MM
    if v["roller.length_mm"] >= room:
        yield Finding(
            "roller.length_mm",
            f"roller is too long: the bearing is {v['bearing.width_mm']:g} mm wide and the play "
            f"between the flanges takes {v['clearance.flange_axial_um']:g} um of it",
        )


def _cage_in_width(v: Values) -> Iterator[Finding]:
    """The cage is no wider than the bearing."""
    cage = (
        v["roller.length_mm"]
        + v["clearance.pocket_axial_um"] * UM_TO_MM
        + v["cage.base_ring_thickness_mm"]
        + v["cage.cover_thickness_mm"]
    )
    if cage > v["bearing.width_mm"]:
        yield Finding(
            "bearing.width_mm",
            f"cage is wider than the bearing: roller, axial play, base ring and cover take "
            f"{cage:.5g} mm",
        )


def _cage_ring(v: Values) -> Iterator[Finding]:
    """The cage has a ring section."""
    if v["cage.inner_diameter_mm"] >= v["cage.outer_diameter_mm"]:
        yield Finding(
            "cage.inner_diameter_mm",
            f"must be less than the outside diameter of the cage, "
            f"{v['cage.outer_diameter_mm']:g} mm",
        )


def _cage_over_inner(v: Values) -> Iterator[Finding]:
    """The cage passes over the inner raceway."""
    if v["cage.inner_diameter_mm"] <= inner_raceway(v):
        yield Finding(
            "cage.inner_diameter_mm",
            f"cage touches the inner ring: must be greater than the inner raceway of "
            f"{inner_raceway(v):g} mm (pitch diameter minus roller diameter)",
        )


def _cage_in_outer(v: Values) -> Iterator[Finding]:
    """The cage passes inside the outer raceway."""
    if v["cage.outer_diameter_mm"] >= outer_raceway(v):
        yield Finding(
            "cage.outer_diameter_mm",
            f"cage touches the outer ring: must be less than the outer raceway of "
            f"{outer_raceway(v):g} mm (pitch diameter plus roller diameter)",
        )


def _guidance_given(v: Values) -> Iterator[Finding]:
    """A cage that a ring guides has a guidance clearance."""
    guidance = v["cage.guidance"]
    if guidance != "roller" and v.find("clearance.guidance_um") is None:
        yield Finding(
            "clearance.guidance_um",
            f"[clearance] needs 'guidance_um' (diametral, in um) with cage.guidance = "
            f"'{guidance}'; only a roller guided cage goes without",
        )


def _outer_land(v: Values) -> Iterator[Finding]:
    """The lands of the outer ring lie inside its raceway."""
    if v["cage.guidance"] != "outer_ring":
        return
    land = v["cage.outer_diameter_mm"] + v["clearance.guidance_um"] * UM_TO_MM
    if v["cage.outer_diameter_mm"] < outer_raceway(v) <= land:  # else reported for the cage
        yield Finding(
            "clearance.guidance_um",
            f"land of the outer ring would lie at {land:.5g} mm, outside its raceway of "
            f"{outer_raceway(v):g} mm",
        )


def _inner_land(v: Values) -> Iterator[Finding]:
    """The lands of the inner ring lie outside its raceway."""
    if v["cage.guidance"] != "inner_ring":
        return
    land = v["cage.inner_diameter_mm"] - v["clearance.guidance_um"] * UM_TO_MM
    if v["cage.inner_diameter_mm"] > inner_raceway(v) >= land:
        yield Finding(
            "clearance.guidance_um",
            f"land of the inner ring would lie at {land:.5g} mm, inside its raceway of "
            f"{inner_raceway(v):g} mm",
        )


def _land_width(v: Values) -> Iterator[Finding]:
    """A land is no wider than the cage ring that runs on it."""
    widest = max(v["cage.base_ring_thickness_mm"], v["cage.cover_thickness_mm"])
    if v["cage.guidance"] != "roller" and v["cage.land_width_mm"] > widest:
        yield Finding(
            "cage.land_width_mm", f"must be at most the thickness of the cage rings, {widest:g} mm"
        )


def _flange_height(v: Values) -> Iterator[Finding]:
    """A flange stays below the middle of the roller."""
    if v["bearing.flange_height_mm"] >= 0.5 * v["roller.diameter_mm"]:
        yield Finding(
            "bearing.flange_height_mm",
            f"must be less than half the roller diameter, {0.5 * v['roller.diameter_mm']:g} mm",
        )


def _flanges_twice(v: Values) -> Iterator[Finding]:
    """No flange is named twice."""
    twice = _doubles(v["bearing.flanges"])
    if twice:
        yield Finding("bearing.flanges", f"'{twice[0]}' is named twice")


def _misalignment(v: Values) -> Iterator[Finding]:
    """Tilts are small angles."""
    if max(abs(tilt) for tilt in v["bearing.misalignment_mrad"]) > LARGEST_TILT:
        yield Finding(
            "bearing.misalignment_mrad",
            f"each tilt must be from -{LARGEST_TILT} to {LARGEST_TILT} mrad (small angles)",
        )


def _doubles(items: list[str]) -> list[str]:
    """Items that stand more than once."""
    return [item for number, item in enumerate(items) if item in items[:number]]


def _cage_rings_no_foil(v: Values) -> Iterator[Finding]:
    """Both rings are thick enough to be rings: the vibrations of foil are not found in time."""
    width = 0.5 * (v["cage.outer_diameter_mm"] - v["cage.inner_diameter_mm"])
    for key in ("cage.base_ring_thickness_mm", "cage.cover_thickness_mm"):
        if v[key] < _LEAST_THICKNESS * width:
            yield Finding(
                key,
                f"a ring {width:g} mm wide and so thin is foil: at least "
                f"{_LEAST_THICKNESS * width:g} mm are needed",
            )


def _cover_load(v: Values) -> Iterator[Finding]:
    """The roller ends push on the cover, not beside it."""
    inside, outside = v["cage.inner_diameter_mm"], v["cage.outer_diameter_mm"]
    if not inside <= v["cage.cover_load_diameter_mm"] <= outside:
        yield Finding(
            "cage.cover_load_diameter_mm",
            f"must lie on the cover ring, from {inside:g} to {outside:g} mm",
        )


CHECKS = (
    _bore, _outside, _rollers_hold_the_cage, _contour, _rollers_on_circle, _effective_length,
    _roller_in_width, _cage_in_width,
    _cage_ring, _cage_over_inner, _cage_in_outer, _guidance_given, _outer_land, _inner_land,
    _land_width, _flange_height, _flanges_twice, _cover_load, _misalignment,
    _cage_rings_no_foil,
)  # fmt: skip
