"""Tables of the case file for contacts and run: contact, solver, output, fatigue."""

from __future__ import annotations

from typing import Literal

from rollsim.case.fields import (
    MEMORY,
    PRACTICE,
    Section,
    assumed,
    computed,
    conditional,
    list_of,
)

DOF_NAMES = (
    "roller_x", "roller_y", "roller_z", "roller_tilt_x", "roller_tilt_y", "roller_spin",
    "cage_x", "cage_y", "cage_z", "cage_tilt_x", "cage_tilt_y", "cage_angle",
    "inner_x", "inner_y", "inner_z", "inner_tilt_x", "inner_tilt_y",
)  # fmt: skip
Dof = Literal[DOF_NAMES]
MeanStressRule = Literal["none", "goodman", "gerber", "smith_watson_topper", "fkm", "walker"]
DamageRule = Literal["by_material", "original", "elementary", "modified"]


class Contact(Section):
    """[contact]: dissipation of impacts, roller ends and flanges."""

    raceway_damping_s_per_m: float = assumed(
        0.2,
        "Hunt-Crossley factor alpha, roller to raceway",
        "s/m",
        effect="1 s/m over-damps heavily loaded contacts; 0.1 to 0.3 s/m is usual",
        ge=0,
        le=10,
    )
    cage_damping_s_per_m: float = assumed(
        0.5,
        "Hunt-Crossley factor alpha, contacts of the cage",
        "s/m",
        ge=0,
        le=10,
    )
    flange_stiffness_N_per_um: float = assumed(
        200.0, "stiffness of a roller end against a ring flange", "N/um", gt=0, le=1e6
    )
    end_contact_spread: float = assumed(
        0.5,
        "offset of the two points in which a roller end touches, each way, over half the width of "
        "the end at that height",
        why="flat roller ends; domed ends touch near the middle, give 0.1 to 0.2; " + PRACTICE,
        effect="sets how firmly flanges and cage rings hold a skewed roller, and the sliding "
        "speed: with 2 kN thrust and 0.5 the flanges took nearly half of all friction power",
        gt=0,
        le=1,
    )


class Solver(Section):
    """[solver]: how the equations are marched in time."""

    name: Literal["leapfrog", "dormand_prince", "RK45", "DOP853", "LSODA", "Radau"] = assumed(
        "leapfrog",
        "integration method; dormand_prince for accurate references",
        why="one evaluation a step: the quickest here at equal error of peak forces",
    )
    tolerance: float = assumed(
        1e-4,
        "error allowed a step, relative to physical scales",
        why="peak forces within about 0.3 % of a far tighter tolerance in trials",
        gt=0,
        le=0.1,
    )
    max_step_us: float = assumed(
        50.0, "longest step", "us", why="about the shortest contact period", gt=0, le=1e4
    )
    motion: Literal["planar", "spatial"] = assumed(
        "planar",
        "planar: x, y and rotation about z; spatial: also z and tilt",
        why="the quick choice",
        effect="planar motion has no roller skew and no force on cover and base",
    )
    locked: list_of(Dof) = assumed((), "degrees of freedom held fixed", why="none")


class Output(Section):
    """[output]: what the history file keeps."""

    rate_Hz: float = assumed(
        5000.0,
        "samples a second in the history",
        "Hz",
        effect="peaks are caught between samples too; spectra end at half the rate",
        ge=10,
        le=1e6,
    )
    segment_s: float = assumed(
        0.2,
        "time between two saves",
        "s",
        why="at most this much is lost when a run is killed",
        gt=0,
        le=1000,
    )
    episode_threshold_N: float = assumed(
        1.0, "smallest peak force of a contact episode that is listed", "N", ge=0, le=1e6
    )


class Fatigue(Section):
    """[fatigue]: aim, rules and factors of the fatigue verdict."""

    target_life_h: float = assumed(
        20000.0, "service life aimed at", "h", why=PRACTICE, gt=0, le=1e7
    )
    survival_probability: float = assumed(
        0.95,
        "share of cages that must survive",
        why=PRACTICE,
        ge=0.5,
        lt=1,
        effect="a higher share lowers the allowed stress",
    )
    strength_scatter: float = assumed(
        0.08,
        "standard deviation of the natural logarithm of the fatigue strength (log-normal)",
        why=f"8 % of the strength, the usual value behind reliability factors; {MEMORY}",
        effect="0.08 takes 12 % from the median strength at 95 % survival, 0.15 takes 22 %",
        ge=0,
        le=1,
    )
    mean_stress: MeanStressRule = assumed(
        "goodman",
        "rule that turns a cycle with a mean stress into one without (fkm: steel, cast iron and "
        "aluminium only)",
        why="on the safe side of most tests of tough metals; " + PRACTICE,
        effect="a pulse from zero with amplitude and mean of a tenth of the ultimate strength "
        "counts 1.11 times its amplitude by goodman, 1.01 by gerber, 1.41 by "
        "smith_watson_topper, 1.15 by fkm (steel of 700 MPa), 1 by none; goodman and gerber give "
        "no credit for compression, by smith_watson_topper a cycle in compression does no harm",
    )
    walker_exponent: float | None = conditional(
        "Walker's exponent g: amplitude at zero mean S_max^(1 - g) S_a^g",
        when='needed with mean_stress = "walker"; 0.5 is smith_watson_topper, 1 is none',
        example=0.5,
        ge=0,
        le=1,
    )
    damage_rule: DamageRule = assumed(
        "by_material",
        "damage beyond the knee of the S-N line (Miner): by_material takes the slope_beyond of "
        "each material, original none, elementary the slope k of the line above, modified 2 k - 1 "
        "(Haibach)",
        why="shipped copper alloys keep their slope (no endurance limit), steels have 2 k - 1",
        effect="an amplitude of half the strength at the knee does, with k = 5, 1/32 of the "
        "damage at the knee by elementary, 1/512 by modified, none by original",
    )
    surface_factor: float = assumed(
        0.9,
        "fatigue strength of the surface over that of a polished one",
        why=f"machined surface; {MEMORY}",
        gt=0,
        le=1,
    )
    size_factor: float = assumed(
        1.0,
        "fatigue strength of the section over that of a test bar",
        why="sections of a few millimetres, near the size of test bars; left out; " + PRACTICE,
        effect="the allowed stress goes with it",
        gt=0,
        le=1,
    )
    notch_factor: float | None = computed(
        "stress at the notch over nominal stress",
        how="fillet of the closure",
        example=2.0,
        effect="multiplies every stress amplitude: life changes with its power of the S-N slope",
        ge=1,
        le=20,
    )
    load_share: float = assumed(
        1.0, "share of the service time spent in this duty", why="the only duty", gt=0, le=1
    )
    pocket_pressure_MPa: float | None = computed(
        "Hertzian line pressure of a roller on its pocket side from which on the side is hammered",
        "MPa",
        how="first yield below a line contact, yield strength of the cage over 0.558 (Johnson "
        "1985; that hammering starts there is common practice, no source)",
        example=500.0,
        effect="the allowed force of a roller goes with its square",
        gt=0,
        le=1e5,
    )
    land_pressure_MPa: float | None = computed(
        "Hertzian line pressure of a guiding land from which on the land is battered",
        "MPa",
        how="first yield below a line contact, yield strength of the cage over 0.558 (Johnson "
        "1985; that damage starts there is common practice, no source)",
        example=500.0,
        effect="the allowed force of a land goes with its square",
        gt=0,
        le=1e5,
    )
    land_pv_MPa_m_per_s: float | None = conditional(
        "allowed mean land pressure (force over width times diameter) times sliding speed",
        "MPa m/s",
        when="told, not judged, where it is not given",
        example=2.0,
        gt=0,
        le=1e5,
    )
    pocket_impulse_N: float | None = conditional(
        "allowed mean force of a roller on one pocket side over time (impulse a second)",
        "N",
        when="told, not judged, where it is not given",
        example=20.0,
        gt=0,
        le=1e7,
    )
    pocket_work_J_per_h: float | None = conditional(
        "allowed friction work on one pocket side",
        "J/h",
        when="told, not judged, where it is not given",
        example=5000.0,
        gt=0,
        le=1e12,
    )


__all__ = ["DOF_NAMES", "Contact", "Fatigue", "Output", "Solver"]
