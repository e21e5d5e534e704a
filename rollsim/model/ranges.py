"""Where a case leaves the range of a formula: each rule a small function with its source.

A rule takes the operating point and yields warnings, or nothing where all is well. A new rule is
one function and one entry of RULES.
"""

import math
from dataclasses import dataclass

import numpy as np

from rollsim.case.fields import MEMORY, PRACTICE
from rollsim.model.lands import land_width
from rollsim.model.load_rating import minimum_load
from rollsim.model.operating import OperatingPoint, operating_point, sliding_scales, speed_factor
from rollsim.model.roller_guidance import roller_guidance_play
from rollsim.model.slice_load import FINE
from rollsim.model.viscosity import density_at
from rollsim.units import MM, MPA, UM

OWN_CHOICE = "our own choice, no source"

#: Pa, ISO 76: pressure in roller bearings that leaves a dent of 1e-4 of the roller diameter.
LARGEST_PRESSURE = 4e9
#: p0 at which a line contact first yields, over the yield strength: 1/0.558 (Johnson 1985).
YIELD_PRESSURE = 1.79
#: m/s: below it the equations become stiff (measured on the planar reference case).
LEAST_SLIP_SCALE = 0.02
#: Film over roughness below which friction is that of touching surfaces.
LEAST_FILM_RATIO = 0.5
#: Width over diameter up to which the short-bearing film holds.
SHORT_BEARING = 0.5
#: Taylor 1923: speed times gap over kinematic viscosity, over the root of radius/gap, up to which
#: the flow between cylinders has no vortices where the inner one turns faster.
LAMINAR = 41.1
#: Roller diameter over pitch diameter for which ISO 281 tables the factor of the load rating.
RATED_RATIOS = (0.01, 0.30)
#: rad: beyond it ordinary cylindrical roller bearings are overloaded at the roller ends.
LARGEST_MISALIGNMENT = 3e-3
#: m: what the equations for small tilts may be wrong by at the raceway.
LARGEST_TILT_ERROR = 1e-6
#: Centrifugal force of a roller over its load on the inner raceway.
CENTRIFUGAL_SHARE = 0.1
#: Line load at a roller end over the mean line load.
LARGEST_END_LOAD = 1.5
#: Error of the force of a roller from too few slices.
LARGEST_SLICE_ERROR = 0.05
#: Full play of a cage on its rollers over the pocket clearance; it is 2 to 3 with pocket contours
#: of 1.04 to 1.1 roller radii.
LOOSE_GUIDE = 4.0
#: Distance of the mass centre of the cage over the pitch radius.
LARGEST_IMBALANCE = 0.05
#: mm/min: pitch diameter times speed beyond which grease is not usual.
GREASE_SPEED_FACTOR = 5e5
#: Load ratio of finite and short bearings over width/diameter at 0.6 eccentricity (Raimondi and
#: Boyd 1958, values from memory).
_OCVIRK_RATIO = ((0.0, 1.0), (0.25, 0.94), (0.5, 0.79), (1.0, 0.52))


@dataclass(frozen=True)
class RangeWarning:
    """One formula or rule used beyond its range.

    rule: short name; what: the quantity in words; value, bound, unit: what it is and what it
    should not pass, in the unit; says: "more than" or "less than"; follows: what that means for
    the results; advice: what to do; source: of the bound.
    """

    rule: str
    what: str
    value: float
    says: str
    bound: float
    unit: str
    follows: str
    advice: str
    source: str


def range_warnings(built, point=None):
    """Everything in which a case leaves the range of a formula.

    Parameters
    ----------
    built : BuiltModel
        The model.
    point : OperatingPoint or None
        Of this model; computed when None.

    Returns
    -------
    list of RangeWarning
        Empty where all formulas are within their range.
    """
    point = point or operating_point(built)
    return [warning for rule in RULES for warning in rule(point)]


def short_bearing_overrating(ratio):
    """By how much the short-bearing film overrates the load at 0.6 eccentricity, 1/ratio - 1.

    Straight lines between the ratios of load for L/D = 1/4, 1/2 and 1: 0.94, 0.79, 0.52.
    Source: Raimondi and Boyd 1958 against Ocvirk (values from memory).

    Parameters
    ----------
    ratio : float
        Width over diameter L/D.

    Returns
    -------
    float
        Share; that of L/D = 1 beyond it.

    Examples
    --------
    >>> round(short_bearing_overrating(0.5), 2)
    0.27
    """
    return 1.0 / float(np.interp(ratio, *zip(*_OCVIRK_RATIO, strict=True))) - 1.0


def _pressure(point: OperatingPoint):
    """Dents of the raceways, ISO 76."""
    value = max(point.inner_pressure, point.outer_pressure)
    if value > LARGEST_PRESSURE:
        yield RangeWarning(
            "hertz_pressure", "Hertz pressure under the largest load", value / MPA, "more than",
            LARGEST_PRESSURE / MPA, "MPa",
            "rollers and raceways are dented for good; contacts are not elastic any more",
            "lower the load or take a larger bearing", "ISO 76, value from memory",
        )  # fmt: skip


def _yielding(point: OperatingPoint):
    """First yield below the surface of a line contact (Johnson 1985)."""
    value = max(point.inner_pressure, point.outer_pressure)
    case = point.built.case
    names = (case.roller.material, "bearing_steel")
    given = [case.materials[name].yield_MPa for name in names]
    known = [YIELD_PRESSURE * strength * MPA for strength in given if strength is not None]
    if known and min(known) < value <= LARGEST_PRESSURE:
        yield RangeWarning(
            "yielding", "Hertz pressure under the largest load", value / MPA, "more than",
            min(known) / MPA, "MPa",
            "the steel begins to yield below the surface; the contact law stays elastic",
            "lower the load, or give the yield strength of the steel in [material.NAME]",
            "Johnson 1985: 1.79 times the yield strength",
        )  # fmt: skip


def _slip_scale(point: OperatingPoint):
    """Stiff friction laws; measured on the planar reference case."""
    for key, value in sliding_scales(point.built.case).items():
        if value < LEAST_SLIP_SCALE:
            yield RangeWarning(
                "slip_scale", key, value, "less than", LEAST_SLIP_SCALE, "m/s",
                "the equations become stiff: short steps and a long run",
                "raise it, or expect several times the computing time",
                "measured on the planar reference case",
            )  # fmt: skip


def _film(point: OperatingPoint):
    """Boundary lubrication of a raceway."""
    for name in ("inner", "outer"):
        film = getattr(point.films, name)
        if film is not None and film.ratio < LEAST_FILM_RATIO:
            yield RangeWarning(
                "film_ratio", f"film over roughness (lambda) on the {name} raceway", film.ratio,
                "less than", LEAST_FILM_RATIO, "",
                "surfaces touch: friction is that of boundary lubrication, wear is likely",
                "thicker oil, cooler running, or smoother surfaces", PRACTICE,
            )  # fmt: skip


def _short_land(point: OperatingPoint):
    """Short-bearing film of a wide land (Ocvirk)."""
    case = point.built.case
    diameter = 2.0 * abs(point.built.model.land.arm)
    if case.cage.guidance == "roller" or diameter == 0.0:
        return
    ratio = land_width(case) / diameter
    if ratio > SHORT_BEARING:
        more = 100.0 * short_bearing_overrating(ratio)
        yield RangeWarning(
            "short_land", "width over diameter of a guiding land", ratio, "more than",
            SHORT_BEARING, "",
            f"the short-bearing film of the land carries about {more:.0f} % too much",
            "take the film force of the land as an upper bound",
            "Raimondi and Boyd 1958 against Ocvirk, values from memory",
        )  # fmt: skip


def _land_vortices(point: OperatingPoint):
    """Laminar film of the lands (Taylor 1923), which turns faster at its inner surface."""
    built = point.built
    model, oil = built.model, built.case.lubricant
    film = model.land_film
    if film.squeeze <= 0.0:
        return
    radius, gap = abs(model.land.arm), film.clearance
    outside = built.case.cage.guidance == "outer_ring"
    ring = model.duty.outer_speed if outside else model.duty.inner_speed
    slip = radius * abs(built.cage_speed - ring)
    temperature = 15.0 if oil.temperature_C is None else oil.temperature_C
    density = density_at(temperature, oil.density_15C_kg_per_m3)
    value = density * slip * gap / point.films.viscosity
    bound = LAMINAR * math.sqrt(radius / gap)
    if value > bound:
        yield RangeWarning(
            "land_vortices", "Reynolds number of the film at the guiding land", value, "more than",
            bound, "", "its flow has vortices: the land brakes the cage more than computed",
            "take the friction torque of the land as a lower bound",
            f"41.1 times the root of radius/gap, Taylor 1923, {MEMORY}",
        )  # fmt: skip


def _rating(point: OperatingPoint):
    """Load rating of a bearing whose rollers are unusually thin or thick."""
    bearing, roller = point.built.case.bearing, point.built.case.roller
    ratio = roller.diameter_mm / bearing.pitch_diameter_mm
    low, high = RATED_RATIOS
    if bearing.dynamic_load_rating_kN is not None or low <= ratio <= high:
        return
    yield RangeWarning(
        "rating", "roller diameter over pitch diameter", ratio,
        "less than" if ratio < low else "more than", low if ratio < low else high, "",
        "the load rating, and the least load that follows from it, are extrapolated",
        "give bearing.dynamic_load_rating_kN", f"ISO 281, table of f_c, {MEMORY}",
    )  # fmt: skip


def _minimum_load(point: OperatingPoint):
    """Least load for rolling without slip, bearing makers' rule of thumb."""
    least = minimum_load(point.rating)
    turns = point.built.model.duty
    if point.smallest_load < least and turns.inner_speed != turns.outer_speed:
        yield RangeWarning(
            "minimum_load", "smallest radial load", point.smallest_load / 1e3, "less than",
            least / 1e3, "kN",
            "the raceways may not drive the rollers at full speed: expect slip of rollers and cage",
            "look at the slip of cage and rollers; more load, less clearance or thinner oil help",
            "0.02 C, bearing makers' rule of thumb",
        )  # fmt: skip


def _misalignment(point: OperatingPoint):
    """Rings tilted against each other by more than the bearing type stands."""
    if point.tilt > LARGEST_MISALIGNMENT:
        yield RangeWarning(
            "misalignment", "misalignment of the rings", 1e3 * point.tilt, "more than",
            1e3 * LARGEST_MISALIGNMENT, "mrad",
            "roller ends carry much of the load, and rollers skew and push on the flanges",
            "align the rings, or take a bearing that aligns itself", PRACTICE,
        )  # fmt: skip


def _small_tilt(point: OperatingPoint):
    """Equations of motion for small tilts: R u^2/2 is what they leave out at the raceway."""
    left_out = 0.5 * point.built.model.pocket.pitch_radius * point.tilt**2
    if left_out > LARGEST_TILT_ERROR:
        yield RangeWarning(
            "small_tilt", "displacement left out by the equations for small tilts",
            1e6 * left_out, "more than", 1e6 * LARGEST_TILT_ERROR, "um",
            "raceway forces are wrong by a part that can be felt in deflections of some um",
            "take results with this tilt as a trend only", f"series expansion; {OWN_CHOICE}",
        )  # fmt: skip


def _centrifugal(point: OperatingPoint):
    """Rollers thrown outwards press less on the inner raceway."""
    inner = float(point.zone.inner.max())
    if point.centrifugal > CENTRIFUGAL_SHARE * inner:
        yield RangeWarning(
            "centrifugal", "centrifugal force of a roller", point.centrifugal, "more than",
            CENTRIFUGAL_SHARE * inner, "N",
            "it unloads the inner raceway, which then drives the rollers less; the limit is a "
            "tenth of the largest load of a roller on the inner raceway",
            "look at the slip of cage and rollers; hollow or lighter rollers help", OWN_CHOICE,
        )  # fmt: skip


def _end_load(point: OperatingPoint):
    """Edge load: the profile is short of what the tilt asks for (slice model)."""
    if point.along is not None and point.tilt > 0.0 and point.along.end > LARGEST_END_LOAD:
        yield RangeWarning(
            "end_load", "line load at the end of the most loaded roller over its mean",
            point.along.end, "more than", LARGEST_END_LOAD, "",
            f"the {point.built.case.roller.profile} profile drops too little for this tilt; the "
            "pressure at a real edge is higher than slices tell",
            "more crown or a logarithmic profile, or better alignment",
            f"slice model with half of the misalignment at each raceway; {OWN_CHOICE}",
        )  # fmt: skip


def _slices(point: OperatingPoint):
    """Too few slices to follow the profile."""
    case = point.built.case
    spatial = case.solver.motion == "spatial"
    if spatial and point.along is not None and point.along.coarse > LARGEST_SLICE_ERROR:
        yield RangeWarning(
            "slices", f"error of the raceway force with {case.roller.slices} slices",
            100.0 * point.along.coarse, "more than", 100.0 * LARGEST_SLICE_ERROR, "%",
            "the rollers are too stiff or too soft under load",
            "give more slices", f"against {FINE} slices; {OWN_CHOICE}",
        )  # fmt: skip


def _grease_speed(point: OperatingPoint):
    """Speed factor of grease lubrication."""
    case = point.built.case
    value = speed_factor(case)
    if case.lubricant.kind == "grease" and value > GREASE_SPEED_FACTOR:
        yield RangeWarning(
            "grease_speed", "pitch diameter times speed", value, "more than", GREASE_SPEED_FACTOR,
            "mm/min", "grease is thrown off and churned: the film is not what is computed",
            "oil lubrication, or a grease made for the speed", PRACTICE,
        )  # fmt: skip


def _profile_unused(point: OperatingPoint):
    """Planar motion and single slices know no profile."""
    roller, solver = point.built.case.roller, point.built.case.solver
    least = 3
    if roller.profile != "straight" and (solver.motion == "planar" or roller.slices < least):
        slices = roller.slices if solver.motion == "spatial" else 1
        yield RangeWarning(
            "profile_unused", f"number of slices that see the {roller.profile} profile",
            float(slices), "less than", float(least), "",
            "the run takes the rollers as straight over their effective length",
            "give solver.motion = 'spatial' and several slices, or a shorter effective length",
            "how the contacts are computed",
        )  # fmt: skip


def _guide(point: OperatingPoint):
    """Pockets narrower than the guidance: rollers hold the cage before the land does."""
    case = point.built.case
    play = case.clearance.guidance_um
    if case.cage.guidance != "roller" and play is not None and case.clearance.pocket_um < play:
        yield RangeWarning(
            "guide", "pocket clearance", case.clearance.pocket_um, "less than", play, "um",
            "the bars meet the rollers before the cage meets its land (guidance clearance): the "
            "rollers guide the cage part of the time",
            "check both clearances at running temperature", "geometry",
        )  # fmt: skip


def _roller_guide(point: OperatingPoint):
    """A cage that its rollers hold loosely, or not at all."""
    case, model = point.built.case, point.built.model
    if case.cage.guidance != "roller":
        return
    play = 2.0 * roller_guidance_play(model.pocket) / UM
    bound = LOOSE_GUIDE * case.clearance.pocket_um
    if not math.isfinite(play):
        reach = 0.5 * (case.cage.outer_diameter_mm - case.cage.inner_diameter_mm)
        yield RangeWarning(
            "roller_guide", "height of the bars", reach, "less than", case.roller.diameter_mm, "mm",
            "the pocket sides meet the rollers beyond the bars: nothing holds the cage",
            "bars that reach farther, or pocket sides that lean less", "geometry",
        )  # fmt: skip
    elif play > bound:
        yield RangeWarning(
            "roller_guide", "play of the cage on its rollers", play, "more than", bound, "um",
            "the rollers hold the cage loosely: it drops, and could rub on parts that the run does "
            "not know",
            "a pocket contour closer to the roller, pocket sides that lean more, or a land",
            f"{LOOSE_GUIDE:g} times the pocket clearance; {OWN_CHOICE}",
        )  # fmt: skip


def _imbalance(point: OperatingPoint):
    """An imbalance that no cage has: a wrong unit."""
    model = point.built.model
    off = math.hypot(model.offset.x, model.offset.y)
    bound = LARGEST_IMBALANCE * model.pocket.pitch_radius
    if off > bound:
        yield RangeWarning(
            "imbalance", "distance of the mass centre of the cage from its centre", off / MM,
            "more than", bound / MM, "mm", "no cage is so much out of balance",
            "check cage.imbalance_gmm: mass in g times distance in mm", OWN_CHOICE,
        )  # fmt: skip


RULES = (
    _pressure, _yielding, _slip_scale, _film, _short_land, _land_vortices, _rating, _minimum_load,
    _misalignment,
    _small_tilt, _centrifugal, _end_load, _slices, _profile_unused, _grease_speed, _guide,
    _roller_guide, _imbalance,
)  # fmt: skip
