"""Tables of the case file for the parts: bearing, roller, cage, clearances."""

from __future__ import annotations

from typing import Literal

from rollsim.case.fields import (
    LARGE,
    PRACTICE,
    Numbers,
    Pair,
    Section,
    Table,
    Three,
    assumed,
    computed,
    conditional,
    list_of,
    needed,
)
from rollsim.case.schema_closures import IntegralTenon, OnePiece, SteelRivet

Flange = Literal["outer_base", "outer_cover", "inner_base", "inner_cover"]

_EFFECT_STIFFNESS = (
    "among what moves the peak pocket force most: with 18 rollers under 5 g rms random vibration "
    "a pocket ten times stiffer gave 2.6 times the 99th percentile, ten times softer 0.4 times"
)
_EFFECT_PITCH = "the roller of a pocket that stands ahead or is tight drives the cage alone"
_NO_ERRORS = (0.0,) * 18


class CaseInfo(Section):
    """[case]: name, note, seed."""

    name: str = needed(
        "name of the case", example="roller cage under vibration", max_length=200, min_length=1
    )
    note: str = assumed("", "remark for the report", why="no remark given", max_length=5000)
    seed: int = assumed(
        1,
        "seed of everything random",
        why="a fixed seed makes a run repeatable",
        effect="one maximum is not repeatable between seeds; rms and percentiles are",
        ge=0,
        le=2**32 - 1,
    )
    environments_file: str | None = conditional(
        "file with vibration environments of your own, beside the case file: [environment.NAME] "
        "with psd, psd_unit, source, basis, note",
        when="only for environments that are not shipped",
        example="my_environments.toml",
    )


class Bearing(Section):
    """[bearing]: main dimensions (mm) and flanges."""

    bore_mm: float = needed("bore of the inner ring", "mm", example=130.0, **LARGE)
    outside_diameter_mm: float = needed(
        "outside diameter of the outer ring", "mm", example=230.0, **LARGE
    )
    width_mm: float = needed("width of the rings", "mm", example=64.0, **LARGE)
    pitch_diameter_mm: float = needed(
        "diameter of the circle of roller centres", "mm", example=182.0, **LARGE
    )
    flanges: list_of(Flange) = assumed(
        ("outer_base", "outer_cover"),
        "ring flanges that guide the rollers axially",
        why="an outer ring with two flanges and an inner ring without; " + PRACTICE,
    )
    flange_height_mm: float | None = computed(
        "height of the flanges above the raceway",
        "mm",
        how="0.15 of the roller diameter",
        example=3.9,
        gt=0,
        le=500,
    )
    dynamic_load_rating_kN: float | None = computed(
        "dynamic load rating C",
        "kN",
        how="after ISO 281 from the rollers",
        example=500.0,
        effect="a load under 0.02 C lets the rollers slip (rule of thumb)",
        gt=0,
        le=1e6,
    )
    misalignment_mrad: Pair = assumed(
        (0.0, 0.0),
        "tilt of the outer ring axis towards x and y",
        "mrad",
        why="rings aligned",
        effect="skews and tilts the rollers and loads their ends (spatial motion)",
    )
    seat_stiffness_N_per_um: Three | None = conditional(
        "stiffness of the housing seat of the outer ring along x, y and z",
        "N/um",
        when="where the seat gives way; not given: the outer ring is fixed",
        example=(500.0, 500.0, 200.0),
        form="a list of three numbers",
    )
    seat_damping_Ns_per_mm: float | None = conditional(
        "damping of the seat in every direction",
        "N s/mm",
        when="with seat_stiffness_N_per_um; not given: 2 % of critical damping",
        example=2.0,
        ge=0,
        le=1e6,
    )
    outer_mass_kg: float | None = conditional(
        "mass of the outer ring with what moves with it",
        "kg",
        when="with seat_stiffness_N_per_um; not given: computed from the outline of the ring",
        example=6.0,
        gt=0,
        le=1e6,
    )


class Roller(Section):
    """[roller]: number, size, profile and material of the rollers."""

    count: int = needed("number of rollers", example=18, ge=3, le=200)
    diameter_mm: float = needed("roller diameter", "mm", example=26.0, **LARGE)
    length_mm: float = needed("roller length", "mm", example=44.0, **LARGE)
    effective_length_mm: float | None = computed(
        "length in contact with the raceways",
        "mm",
        how="0.96 of the roller length",
        example=42.24,
        gt=0,
        le=5000,
    )
    profile: Literal["straight", "logarithmic", "crowned", "table"] = assumed(
        "straight",
        "profile of the roller",
        why="the simplest profile; " + PRACTICE,
        effect="decides the load at the roller ends in spatial motion with several slices",
    )
    crown_radius_m: float | None = conditional(
        "radius of the crown, in the plane of the roller axis",
        "m",
        when="needed with profile = 'crowned'",
        example=40.0,
        gt=0,
        le=1e6,
    )
    straight_length_mm: float | None = conditional(
        "straight middle between two end crowns that run into it without a kink",
        "mm",
        when="with profile = 'crowned'; not given: the crown spans the whole roller",
        example=30.0,
        ge=0,
        le=5000,
    )
    profile_table_um: Table | None = conditional(
        "profile as rows [position from the middle of the roller in mm, drop in um]; rows from "
        "position 0 outwards hold for both ends",
        when="needed with profile = 'table'",
        example=((0.0, 0.0), (15.0, 0.0), (20.0, 6.0), (22.0, 20.0)),
        form="a list of rows [position in mm, drop in um]",
    )
    profile_interpolation: Literal["straight_lines", "monotone"] | None = conditional(
        "curve between the rows of profile_table_um (monotone: smooth, never beyond the rows)",
        when="with profile = 'table'; not given: monotone",
        example="monotone",
    )
    slices: int = assumed(
        1,
        "slices along the roller in each contact",
        why="enough while skew and tilt are locked (planar motion)",
        effect="skew and tilt need several slices; computing time grows with them",
        ge=1,
        le=41,
    )
    material: str = assumed(
        "bearing_steel",
        "material of the rollers",
        why="the usual roller material",
        max_length=100,
    )


class CagePart(Section):
    """[cage] without its closure: rings, guidance and stiffness."""

    outer_diameter_mm: float = needed("outside diameter of the cage", "mm", example=198.0, **LARGE)
    inner_diameter_mm: float = needed("inside diameter of the cage", "mm", example=178.0, **LARGE)
    base_ring_thickness_mm: float = needed(
        "axial thickness of the ring that carries the bars", "mm", example=5.0, gt=0, le=500
    )
    cover_thickness_mm: float = needed(
        "axial thickness of the cover ring", "mm", example=4.5, gt=0, le=500
    )
    guidance: Literal["outer_ring", "inner_ring", "roller"] = needed(
        "what centres the cage", example="outer_ring"
    )
    land_width_mm: float | None = computed(
        "width of each guiding land",
        "mm",
        how="thickness of the cage ring above the land",
        example=4.5,
        gt=0,
        le=500,
    )
    mass_kg: float | None = computed(
        "mass of the cage",
        "kg",
        how="volume of the geometry times density",
        example=1.0,
        gt=0,
        le=1e5,
    )
    pocket_side_angle_deg: float = assumed(
        0.0,
        "inclination of the pocket sides against each other's mid plane",
        "degrees",
        why="parallel pocket sides",
        only={"pocket_contour_radius_mm": (None,)},
        ge=-30,
        le=30,
    )
    pocket_contour_radius_mm: float | None = conditional(
        "radius of concave pocket sides, a little larger than that of the roller; with them the "
        "rollers can hold the cage",
        "mm",
        when="flat pocket sides where it is not given",
        example=13.6,
        gt=0,
        le=5000,
    )
    pocket_fillet_mm: float = assumed(
        0.5,
        "fillet radius in the corners of bar and ring",
        "mm",
        effect="sets the notch factor at the bar roots: with a bar of 9 mm, 1.0 mm in place of "
        "0.5 mm lowers their local stress by a fifth",
        gt=0,
        le=50,
    )
    bar_stiffness_N_per_um: float | None = computed(
        "stiffness of a bar under the force of a roller",
        "N/um",
        how="from the frame model of this cage",
        example=20.0,
        effect=_EFFECT_STIFFNESS,
        gt=0,
        le=1e6,
    )
    end_stiffness_N_per_um: float | None = computed(
        "stiffness of cover and base ring under a roller end; given, it counts for both",
        "N/um",
        how="from the frame model of this cage, cover and base ring each their own",
        example=20.0,
        effect="sets the peak axial force on cover and base: " + _EFFECT_STIFFNESS,
        gt=0,
        le=1e6,
    )
    elastic_modes: int | None = computed(
        "lowest vibrations of the free cage that the forces on it drive at every step of a run "
        "(they do not act back); 0 for none",
        how="80 in spatial motion; 0 in planar motion, which sees no axial forces on the cage and "
        "where they would cost 20 to 33 % of the time (spatial: 3 to 9 %)",
        example=80,
        effect="without them the stress is that of a cage at rest under the forces of each "
        "instant, which is unsafe: on the example screens they raised it 1.4 to 2.8 times and "
        "left 0.35 to 0.42 of the reserve; with 40 the root of a bar hit for 0.3 ms was still "
        "wrong by 20 to 30 %",
        ge=0,
        le=80,
    )
    mode_damping: float = assumed(
        0.01,
        "damping of these vibrations, as a share of critical",
        why="solid metal has less than 0.01, bolted or riveted structures have 0.02 to 0.05 at "
        "working stress, value from memory; the low end, because it rings longer and is safe",
        effect="sets how long the cage rings after an impact: an amplitude falls to 1/e in 16 "
        "periods at 0.01, in 32 at 0.005; least reserve of the example screens, 1 s, at 0.005, "
        "0.01 and 0.05: rivets 0.77, 0.88, 1.18, tenons 1.83, 2.27, 2.69; counts only with "
        "elastic_modes",
        ge=0,
        le=0.5,
    )
    cover_load_diameter_mm: float | None = computed(
        "diameter at which the roller ends push on the cover",
        "mm",
        how="pitch diameter",
        example=182.0,
        effect="a load radius of 94 mm in place of 90.5 mm halved the closure stress of a cage "
        "with rivets at radius 95 mm",
        **LARGE,
    )
    pocket_pitch_tolerance_um: float = assumed(
        0.0,
        "pockets stand off their places along the pitch circle by up to this much, to either side "
        "(drawn evenly from the seed of the case)",
        "um",
        why="pockets evenly spaced",
        effect=_EFFECT_PITCH,
        ge=0,
        le=20000,
    )
    pocket_pitch_errors_um: Numbers | None = conditional(
        "place of every pocket along the pitch circle, counter-clockwise positive, in place of a "
        "tolerance: one number a pocket",
        "um",
        when="where the pockets were measured",
        example=_NO_ERRORS,
        form="a list of numbers, one a pocket",
    )
    pocket_clearance_tolerance_um: float = assumed(
        0.0,
        "clearances of the pockets differ from pocket_um by up to this much, to either side "
        "(drawn evenly from the seed of the case)",
        "um",
        why="all pockets of one width",
        effect=_EFFECT_PITCH,
        ge=0,
        le=20000,
    )
    pocket_extra_clearance_um: Table = assumed(
        (),
        "worn or mismade pockets as rows [number of the pocket from 1, clearance over pocket_um in "
        "um]",
        why="no pocket is worn",
        effect="the roller of a wide pocket meets its bars less often and after a longer way",
        form="a list of rows [number of the pocket, clearance in um]",
    )
    imbalance_gmm: float = assumed(
        0.0,
        "imbalance of the cage: mass times distance of its mass centre from its centre",
        "g mm",
        why="balanced cage",
        effect="presses the cage into its guide as it turns, with the square of the speed",
        ge=0,
        le=1e8,
    )
    imbalance_direction_deg: float = assumed(
        0.0,
        "direction of the imbalance in the cage, counter-clockwise from pocket 1",
        "degrees",
        why="towards pocket 1",
        ge=-360,
        le=360,
    )
    material: str = assumed(
        "CuZn40Pb2",
        "material of the cage",
        why="usual machined cage brass; " + PRACTICE,
        max_length=100,
    )


class Cage(CagePart):
    """[cage] with its closure."""

    closure: SteelRivet | IntegralTenon | OnePiece


class Clearance(Section):
    """[clearance]: free movement between the parts, at running temperature."""

    radial_um: float = needed(
        "radial internal clearance, diametral", "um", example=60.0, ge=-500, le=10000
    )
    pocket_um: float = needed(
        "pocket width minus roller diameter",
        "um",
        example=300.0,
        gt=0,
        le=20000,
        note="otherwise the pocket is smaller than the roller",
    )
    guidance_um: float | None = conditional(
        "guidance clearance, diametral (land minus cage)",
        "um",
        when="needed unless the rollers guide the cage",
        example=400.0,
        gt=0,
        le=50000,
    )
    pocket_axial_um: float = assumed(
        400.0,
        "pocket length minus roller length",
        "um",
        effect="room in which the rollers gather speed before they hit cover and base",
        gt=0,
        le=50000,
    )
    flange_axial_um: float = assumed(
        100.0, "distance between the flanges minus roller length", "um", gt=0, le=20000
    )
