"""Table [lubricant] of the case file: oil or grease, films, traction and friction."""

from __future__ import annotations

from typing import Literal

from rollsim.case.fields import PRACTICE, Four, Section, assumed, computed, conditional

_EFFECT_FILM = (
    "among what moves the peak pocket force most: with 18 rollers under 5 g rms random vibration "
    "no squeeze film gave 1.7 times, a full film 0.4 times the 99th percentile"
)
_EFFECT_SLIP = (
    "among what moves the peak pocket force most: 0.02 m/s in place of 0.1 m/s gave 1.5 times the "
    "99th percentile with 18 rollers under 5 g rms; below 0.02 m/s the equations become stiff"
)
_EFFECT_POCKET_FRICTION = (
    "friction in the pockets can make a cage whirl: without weight on it, in pockets of 150 um, it "
    "did from 0.2 to 0.25 on; from 0.1 on with raceway_slip_scale_m_per_s = 0.02 in place of 0.1"
)
_EFFECT_LAND_FRICTION = (
    "friction at a land without oil can make a cage roll round it: with example "
    "planer_spindle_dry_land it did from 0.25 to 0.3 on"
)
_EFFECT_LAND = (
    "with 18 rollers under 5 g rms random vibration no land film gave 1.4 times the 99th "
    "percentile of the pocket forces and 3 times that of the land forces; a film can also make a "
    "cage whirl"
)
_EFFECT_LAW = (
    "with 18 rollers under 5 g rms random vibration (two seeds) ehl gave 1.7 times the 99th "
    "percentile of the sampled pocket forces of coulomb, and without rolling resistance the same"
)
_COEFFICIENT = {"ge": 0, "le": 2}


#: Conditions under which a key counts, see `rollsim.case.assumptions.in_force`.
_DIRECT = {"grade_iso_vg": (None,), "viscosity_40C_mm2_per_s": (None,)}
_GRADE = {"grade_iso_vg": ...}
_EHL = {"raceway_traction": ("ehl",)}


class Lubricant(Section):
    """[lubricant]: oil or grease, films, traction and friction."""

    kind: Literal["oil", "grease"] = assumed(
        "oil",
        "what the bearing is lubricated with; the viscosity of a grease is that of its base oil",
        effect="grease starves the raceways, see starvation_factor",
    )
    viscosity_mPas: float = assumed(
        20.0,
        "dynamic viscosity of the oil at running temperature",
        "mPa s",
        effect="scales squeeze film and land film; " + _EFFECT_FILM,
        only=_DIRECT,
        gt=0,
        le=1e5,
    )
    grade_iso_vg: float | None = conditional(
        "ISO viscosity grade: viscosity at 40 degrees C, from 10 to 3200",
        "mm2/s",
        when="give it with temperature_C in place of viscosity_mPas",
        example=68.0,
        gt=0,
        le=1e5,
    )
    viscosity_index: float = assumed(
        95.0,
        "viscosity index of the oil of the grade",
        why="mineral oil without improver; " + PRACTICE,
        effect="how fast the oil thins with temperature",
        only=_GRADE,
        ge=0,
        le=300,
    )
    viscosity_40C_mm2_per_s: float | None = conditional(
        "kinematic viscosity at 40 degrees C",
        "mm2/s",
        when="give it with viscosity_100C_mm2_per_s and temperature_C in place of the others",
        example=68.0,
        gt=2,
        le=1e5,
    )
    viscosity_100C_mm2_per_s: float | None = conditional(
        "kinematic viscosity at 100 degrees C",
        "mm2/s",
        when="needed with viscosity_40C_mm2_per_s",
        example=8.7,
        ge=2,
        le=1e4,
    )
    temperature_C: float | None = conditional(
        "temperature of the oil in the bearing",
        "degrees C",
        when="needed with a grade or with viscosities at 40 and 100 degrees C",
        example=70.0,
        ge=-40,
        le=200,
    )
    density_15C_kg_per_m3: float = assumed(
        880.0,
        "density of the oil at 15 degrees C",
        "kg/m3",
        why="mineral oil; " + PRACTICE,
        effect="kinematic to dynamic viscosity, with its fall by 0.065 % a degree",
        only={"temperature_C": ...},
        gt=500,
        le=2000,
    )
    pressure_viscosity_per_GPa: float | None = computed(
        "pressure-viscosity coefficient of the oil",
        "1/GPa",
        how="10 (0.6 + 0.965 log10 of the viscosity in mPas), Wooster, value from memory",
        example=20.0,
        effect="film thickness on the raceways rises with about its square root",
        ge=0.1,
        le=100,
    )
    oil_fraction: float = assumed(
        0.3,
        "share of a full squeeze film in the pockets (0 dry, 1 full)",
        effect=_EFFECT_FILM,
        ge=0,
        le=1,
    )
    land_film: Literal["short_bearing", "none"] = assumed(
        "short_bearing",
        "oil film between cage and guiding land (none: dry contact alone)",
        why="a running land is wet; its film carries, damps and drives the cage",
        effect=_EFFECT_LAND,
    )
    land_oil_fraction: float | None = computed(
        "share of a full film in the guiding lands (0 dry, 1 full)",
        how="oil_fraction",
        example=0.3,
        effect="scales the force and the torque of the land film",
        ge=0,
        le=1,
    )
    pocket_roughness_um: float = assumed(
        1.0,
        "composite roughness in the pockets and at the lands, floor of the films",
        "um",
        effect="limits the force of the squeeze film",
        gt=0,
        le=100,
    )
    oil_air_density_kg_per_m3: float = assumed(
        30.0,
        "effective density of the oil-air mixture (drag)",
        "kg/m3",
        gt=0,
        le=2000,
        effect="drag slows rollers and cage in the unloaded zone",
    )
    film_formula: Literal["dowson_higginson", "pan_hamrock"] = assumed(
        "dowson_higginson",
        "formula of the film thickness on the raceways",
        why="long in use; " + PRACTICE,
        effect="pan_hamrock gives a film a few per cent thinner or thicker",
    )
    starvation_factor: float | None = computed(
        "film on the raceways over the film with plenty of oil",
        how="1 for oil; 0.7 for grease, common practice, no source",
        example=0.7,
        effect="scales the film on the raceways",
        gt=0,
        le=1,
    )
    thermal_factor: float = assumed(
        1.0,
        "film on the raceways over the film without heating of the inlet",
        why="no heating of the inlet",
        effect="scales the film on the raceways; below 1 at high rolling speed",
        gt=0,
        le=1,
    )
    raceway_roughness_um: float = assumed(
        0.3,
        "composite rms roughness of roller and raceway",
        "um",
        effect="lambda is film thickness over this; below 1 the asperities carry: with law ehl "
        "1 um in place of 0.3 um gave 1.4 times the 99th percentile of the sampled pocket forces",
        gt=0,
        le=10,
    )
    raceway_traction: Literal["coulomb", "four_parameter", "ehl"] = assumed(
        "coulomb",
        "law of traction between roller and raceway; ehl: from film and asperities",
        why="the simplest law that slips; " + PRACTICE,
        effect=_EFFECT_LAW,
    )
    raceway_friction: float = assumed(
        0.06,
        "friction coefficient roller to raceway (coulomb)",
        effect="drives the rollers: too little lets the cage slip",
        only={"raceway_traction": ("coulomb",)},
        **_COEFFICIENT,
    )
    raceway_slip_scale_m_per_s: float = assumed(
        0.1,
        "slip speed over which raceway traction builds up (coulomb, asperities of ehl)",
        "m/s",
        effect=_EFFECT_SLIP,
        only={"raceway_traction": ("coulomb", "ehl")},
        gt=0,
        le=10,
    )
    four_parameter: Four | None = conditional(
        "A, B, C, D of mu = (A + B s) exp(-C s) + D with the slip speed s",
        "-, s/m, s/m, -",
        when="needed with raceway_traction = 'four_parameter'",
        example=(-0.1, 0.5, 2.5, 0.1),
        only={"raceway_traction": ("four_parameter",)},
    )
    boundary_friction: float = assumed(
        0.12,
        "friction coefficient of touching asperities (ehl)",
        effect="counts where the film is thin against the roughness",
        only=_EHL,
        **_COEFFICIENT,
    )
    limiting_shear_coefficient: float = assumed(
        0.05,
        "rise of the limiting shear stress of the oil with pressure (ehl)",
        why="mineral oil; " + PRACTICE,
        effect="the friction coefficient of a thick film under load",
        only=_EHL,
        ge=0,
        le=0.5,
    )
    limiting_shear_stress_MPa: float = assumed(
        2.0,
        "limiting shear stress of the oil without pressure (ehl)",
        "MPa",
        why="mineral oil; " + PRACTICE,
        effect="counts on lightly loaded rollers",
        only=_EHL,
        ge=0,
        le=100,
    )
    ehl_least_slip_scale_m_per_s: float = assumed(
        0.02,
        "least slip speed over which the traction of a film builds up (ehl)",
        "m/s",
        effect="elastic compliance softens real films; below 0.02 m/s the equations become stiff",
        only=_EHL,
        gt=0,
        le=10,
    )
    rolling_resistance: bool = assumed(
        True,
        "the oil in the inlet resists rolling (ehl)",
        why="it does; Zhou & Hoeprich 1991",
        effect="brakes the rollers, unloaded ones most, so that cage and rollers push each other; "
        "that of plenty of oil, too much for a starved raceway; it decides the slip under light "
        "load: 39 % with it, 6 % without at 0.2 % of the load rating; " + _EFFECT_LAW,
        only=_EHL,
    )
    pocket_friction: float = assumed(
        0.10,
        "friction coefficient roller to pocket bar",
        effect=_EFFECT_POCKET_FRICTION,
        **_COEFFICIENT,
    )
    land_friction: float = assumed(
        0.10,
        "friction coefficient cage to guiding land",
        effect=_EFFECT_LAND_FRICTION,
        **_COEFFICIENT,
    )
    end_friction: float = assumed(
        0.10, "friction coefficient roller end to cage ring", **_COEFFICIENT
    )
    flange_friction: float = assumed(
        0.08,
        "friction coefficient roller end to ring flange",
        effect="skews the rollers",
        **_COEFFICIENT,
    )
    sliding_slip_scale_m_per_s: float = assumed(
        0.1,
        "slip speed over which friction builds up (pocket, land, end, flange)",
        "m/s",
        effect="a small value is closer to dry friction but makes the equations stiff",
        gt=0,
        le=10,
    )
