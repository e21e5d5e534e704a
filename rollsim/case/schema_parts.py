"""Tables of the case file for the parts: bearing, roller, cage and its closures, clearances."""

from __future__ import annotations

from typing import Literal

from rollsim.case.fields import (
    PRACTICE,
    Pair,
    Section,
    assumed,
    computed,
    conditional,
    list_of,
    needed,
)

Flange = Literal["outer_base", "outer_cover", "inner_base", "inner_cover"]
# 5 m is far beyond any rolling bearing: the limit catches a wrong unit, not a bold design.
LARGE = {"gt": 0, "le": 5000}

_EFFECT_STIFFNESS = (
    "among what moves the peak pocket force most: with 18 rollers under 5 g rms random vibration "
    "a pocket ten times stiffer gave 2.6 times the 99th percentile, ten times softer 0.4 times"
)
_EFFECT_HOLE = (
    "decides the rivet stress: 1 kN axially from every roller on the cover gave about 250 MPa "
    "with tight holes and about 470 MPa with free ones on a cage of 1 kg"
)


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
    misalignment_mrad: Pair = assumed(
        (0.0, 0.0),
        "tilt of the outer ring axis towards x and y",
        "mrad",
        why="rings aligned",
        effect="skews and tilts the rollers and loads their ends (spatial motion)",
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
    profile: Literal["straight", "logarithmic"] = assumed(
        "straight",
        "profile of the roller",
        why="the simplest profile; " + PRACTICE,
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
        ge=-30,
        le=30,
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
        how="bar built in at both ends",
        example=400.0,
        effect=_EFFECT_STIFFNESS,
        gt=0,
        le=1e6,
    )
    end_stiffness_N_per_um: float = assumed(
        50.0,
        "stiffness of cover and base ring under a roller end",
        "N/um",
        why="order of magnitude of a brass cage of 1 kg; " + PRACTICE,
        effect="sets the peak axial force on cover and base: " + _EFFECT_STIFFNESS,
        gt=0,
        le=1e6,
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
    material: str = assumed(
        "CuZn40Pb2",
        "material of the cage",
        why="usual machined cage brass; " + PRACTICE,
        max_length=100,
    )


class SteelRivet(Section):
    """[cage.closure] kind = "steel_rivet": a rivet through every bar (or every n-th)."""

    kind: Literal["steel_rivet"] = needed("how cover and bars are joined", example="steel_rivet")
    circle_diameter_mm: float | None = computed(
        "diameter of the circle of rivets",
        "mm",
        how="middle of the cage ring",
        example=190.0,
        effect="sets the lever arm of the roller ends on the rivets",
        **LARGE,
    )
    material: str = assumed(
        "rivet_steel",
        "material of the rivets",
        why="low carbon cold heading steel; " + PRACTICE,
        max_length=100,
    )
    preload_N: float = assumed(
        0.0,
        "tension of each rivet after closing",
        "N",
        why="not known: none is on the safe side",
        effect="preload keeps the joint closed and lowers the stress amplitude",
        ge=0,
        le=1e6,
    )
    diameter_mm: float = needed("shank diameter of the rivets", "mm", example=5.0, gt=0, le=200)
    count: int | None = computed(
        "number of rivets", how="one a bar, as many as rollers", example=18, ge=2, le=200
    )
    hole_fit: Literal["tight", "free"] = assumed(
        "free",
        "fit of the shank in its hole through the bar",
        why="the unfavourable choice where the fit is not known",
        effect=_EFFECT_HOLE,
    )
    head_fillet_mm: float = assumed(
        0.3,
        "fillet radius below the rivet head",
        "mm",
        effect="sets the notch factor at the head",
        gt=0,
        le=50,
    )


class IntegralTenon(Section):
    """[cage.closure] kind = "integral_tenon": extension of every bar, upset into the cover."""

    kind: Literal["integral_tenon"] = needed(
        "how cover and bars are joined", example="integral_tenon"
    )
    circle_diameter_mm: float | None = computed(
        "diameter of the circle of tenons",
        "mm",
        how="middle of the cage ring",
        example=190.0,
        effect="sets the lever arm of the roller ends on the tenons",
        **LARGE,
    )
    material: str | None = assumed(
        None,
        "material of the tenons",
        why="one piece with the bars: the material of the cage",
        max_length=100,
    )
    preload_N: float = assumed(
        0.0,
        "tension of each tenon after closing",
        "N",
        why="not known: none is on the safe side",
        effect="preload keeps the joint closed and lowers the stress amplitude",
        ge=0,
        le=1e6,
    )
    tangential_width_mm: float = needed(
        "width of the tenon in circumferential direction", "mm", example=5.6, gt=0, le=500
    )
    radial_height_mm: float = needed(
        "height of the tenon in radial direction", "mm", example=4.8, gt=0, le=500
    )
    root_fillet_mm: float = assumed(
        0.3,
        "fillet radius at the tenon root",
        "mm",
        effect="a sharp root gave about 480 MPa, 0.3-0.5 mm about 350 MPa for 1 kN axially from "
        "every roller on the cover of a cage of 1 kg",
        gt=0,
        le=50,
    )


class OnePiece(Section):
    """[cage.closure] kind = "one_piece": a cage without joints."""

    kind: Literal["one_piece"] = needed("how cover and bars are joined", example="one_piece")

    @property
    def circle_diameter_mm(self) -> None:
        """No closure, no circle."""
        return None

    @property
    def material(self) -> None:
        """No closure, no material of its own."""
        return None

    @property
    def preload_N(self) -> float:
        """No closure, no preload."""
        return 0.0


CLOSURES = {"steel_rivet": SteelRivet, "integral_tenon": IntegralTenon, "one_piece": OnePiece}


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
