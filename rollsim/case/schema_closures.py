"""Tables of the case file for the closures of the cage: rivets, tenons, none."""

from __future__ import annotations

from typing import Literal

from rollsim.case.fields import (
    LARGE,
    PRACTICE,
    Section,
    Table,
    assumed,
    computed,
    conditional,
    needed,
)

_EFFECT_HOLE = (
    "decides the rivet stress: 1 kN axially from every roller on the cover gave about 250 MPa "
    "with tight holes and about 470 MPa with free ones on a cage of 1 kg"
)
_EFFECT_JOINT = (
    "a distance piece stands loose between both rings and is held by the shank alone: it presses, "
    "a boss also bends with the base ring"
)
_FACTORS = (
    "closures that are loose, cracked or missing as rows [number of the closure from 1, counted "
    "counter-clockwise; stiffness over that of a sound one: 0 missing, else 0.001 to 1 (sound)]"
)
_EFFECT_FACTORS = (
    "the neighbours of a missing closure carry its load; rollsim cage shows which is loaded most. "
    "In the motion the faces beside it give way more; the fatigue verdict sees it too"
)


#: Places of rivets: through every bar (or every n-th), or in bosses that stand in place of bars.
THROUGH, BESIDE = "through_bars", "beside_bars"
_IN_BOSS = {"position": (BESIDE,)}


class SteelRivet(Section):
    """[cage.closure] kind = "steel_rivet": rivets through the bars or beside them."""

    kind: Literal["steel_rivet"] = needed("how cover and bars are joined", example="steel_rivet")
    position: Literal["through_bars", "beside_bars"] = assumed(
        THROUGH,
        "where the rivets stand: through every bar (or every n-th), or beside the bars in round "
        "bosses or distance pieces, any number of them, each in place of the bar between two "
        "rollers",
        why="the usual place of rivets in machined cages; " + PRACTICE,
        effect="bars beside the rivets are not riveted: they only press against the cover, and "
        "the fewer rivets carry all of the pull",
    )
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
        "number of rivets; required beside the bars, where it is free up to that of rollers and "
        "the rivets stand as evenly as the gaps between rollers allow",
        how="one a bar, as many as rollers",
        example=18,
        ge=2,
        le=200,
    )
    boss_diameter_mm: float | None = conditional(
        "outside diameter of the boss or distance piece round each rivet",
        "mm",
        when=f'needed with position = "{BESIDE}"',
        example=6.4,
        gt=0,
        le=500,
    )
    boss_joint: Literal["one_piece", "separate"] = assumed(
        "one_piece",
        "boss of one piece with the base ring, or separate distance piece between both rings",
        why="milled from the base ring like the bars; " + PRACTICE,
        effect=_EFFECT_JOINT,
        only=_IN_BOSS,
    )
    boss_material: str | None = assumed(
        None,
        "material of separate distance pieces",
        why="the material of the cage",
        max_length=100,
        only=_IN_BOSS | {"boss_joint": ("separate",)},
    )
    first_gap: int = assumed(
        1,
        "gap between rollers where the first rivet stands, counted like the bars: gap 1 lies ahead "
        "of roller 1",
        why="where the count of rollers starts",
        effect="turns all rivets against the rollers",
        only=_IN_BOSS,
        ge=1,
        le=200,
    )
    stiffness_factors: Table = assumed(
        (),
        _FACTORS,
        why="every closure is sound",
        effect=_EFFECT_FACTORS,
        form="a list of rows [number of the closure, factor]",
    )
    hole_fit: Literal["tight", "free"] = assumed(
        "free",
        "fit of the shank in its hole through the bar or boss",
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
    tenon_shape: Literal["rectangular", "round"] = assumed(
        "rectangular",
        "section of the tenon",
        why="with the width and height of the tenon",
        effect="a round one keeps out of the corners of its hole, a rectangular one fills more of "
        "the bar and bears more",
        only={"tangential_width_mm": (None,)},
    )
    tangential_width_mm: float | None = conditional(
        "width of the tenon in circumferential direction",
        "mm",
        when="needed for a rectangular tenon",
        example=5.6,
        gt=0,
        le=500,
    )
    radial_height_mm: float | None = conditional(
        "height of the tenon in radial direction",
        "mm",
        when="needed for a rectangular tenon",
        example=4.8,
        gt=0,
        le=500,
    )
    diameter_mm: float | None = conditional(
        "diameter of the tenon",
        "mm",
        when="needed for a round tenon",
        example=5.5,
        gt=0,
        le=500,
    )
    stiffness_factors: Table = assumed(
        (),
        _FACTORS,
        why="every closure is sound",
        effect=_EFFECT_FACTORS,
        form="a list of rows [number of the closure, factor]",
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
