"""Tables of the case file for contacts and run: contact, solver, output, fatigue."""

from __future__ import annotations

from typing import Literal

from rollsim.case.fields import (
    MEMORY,
    PRACTICE,
    Section,
    assumed,
    computed,
    list_of,
)

DOF_NAMES = (
    "roller_x", "roller_y", "roller_z", "roller_tilt_x", "roller_tilt_y", "roller_spin",
    "cage_x", "cage_y", "cage_z", "cage_tilt_x", "cage_tilt_y", "cage_angle",
    "inner_x", "inner_y", "inner_z", "inner_tilt_x", "inner_tilt_y",
)  # fmt: skip
Dof = Literal[DOF_NAMES]


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

    name: Literal["dormand_prince", "RK45", "DOP853", "LSODA", "Radau"] = assumed(
        "dormand_prince",
        "integration method",
        why="the compiled method: ten times faster than the others on this problem",
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
    """[fatigue]: aim and factors of the fatigue verdict."""

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
    surface_factor: float = assumed(
        0.9,
        "fatigue strength of the surface over that of a polished one",
        why=f"machined surface; {MEMORY}",
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


__all__ = ["DOF_NAMES", "Contact", "Fatigue", "Output", "Solver"]
