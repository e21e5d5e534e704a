"""Numbers of a cage that its beam model needs, taken from the case."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from rollsim.case.materials import Material
from rollsim.errors import RollsimError
from rollsim.structure.boss import Bosses, bosses_of
from rollsim.structure.faces import interface_points, ring_points
from rollsim.structure.sections import (
    BarShape,
    Section,
    bar_section,
    rectangle_section,
    round_section,
)
from rollsim.units import MM, UM


@dataclass(frozen=True)
class CageDesign:
    """Cage of bars, cover and closures in SI.

    Fields: kind (steel_rivet, integral_tenon, one_piece); count of bars; closure_every (1 = a
    closure on every bar); shank_free; bar_length, base_thickness, cover_thickness, cover_radius
    (middle of the ring), closure_radius, load_radius in m; bar (one
    that carries a closure), cover, closure sections; material
    of the cage, closure_material; preload N; fillet m of the closure, pocket_fillet m of the bar
    roots; shape of the bar; interface_points (n, 3) = (radius m, t m, area m2) of one bar end;
    bedding N/m3; factors, stiffness of every closure over that of a sound one (0: it is missing and
    its hole is empty); empty where all are sound; bosses, of rivets beside the bars: bars then have
    no hole, and `closure_every` is 1.
    """

    kind: str
    count: int
    closure_every: int
    shank_free: bool
    bar_length: float
    base_thickness: float
    cover_thickness: float
    cover_radius: float
    closure_radius: float
    load_radius: float
    bar: Section
    cover: Section
    closure: Section
    material: Material
    closure_material: Material
    preload: float
    fillet: float
    pocket_fillet: float
    shape: BarShape
    interface_points: np.ndarray
    bedding: float
    factors: tuple[float, ...] = ()
    bosses: Bosses | None = None

    @property
    def one_piece(self) -> bool:
        """True where cover and bars are one piece of metal."""
        return self.kind == "one_piece"

    @property
    def closure_bars(self) -> np.ndarray:
        """Numbers of the bars that carry a closure (count from 0), missing ones left out."""
        places = self.closure_places
        return np.array([j for j in places if self.closure_factor(j) > 0.0], dtype=int)

    @property
    def closure_places(self) -> np.ndarray:
        """Numbers of the bars that are made for a closure (count from 0), in its order.

        A boss stands in place of a bar and has the number of that bar.
        """
        if self.bosses is not None:
            return np.array(self.bosses.gaps, dtype=int)
        return np.arange(0, self.count, self.closure_every)

    @property
    def pockets_alike(self) -> bool:
        """True where every bar or boss has a sound closure: one pocket stands for all."""
        return self.one_piece or (len(self.closure_places) == self.count and not self.factors)

    def closure_factor(self, j: int) -> float:
        """Stiffness of the closure of one bar over that of a sound one.

        Parameters
        ----------
        j : int
            Bar that is made for a closure (count from 0).

        Returns
        -------
        float
            1 sound, 0 missing.
        """
        if not self.factors:
            return 1.0
        return self.factors[int(np.flatnonzero(self.closure_places == j)[0])]

    @cached_property
    def boss_places(self) -> frozenset[int]:
        """Numbers of the bars in whose place a boss stands (count from 0)."""
        return frozenset(() if self.bosses is None else self.bosses.gaps)

    @property
    def bare_bars(self) -> np.ndarray:
        """Numbers of the bars that are not made for a closure (count from 0)."""
        return np.setdiff1d(np.arange(self.count), self.closure_places)

    @cached_property
    def solid_bar(self) -> Section:
        """Section of a bar without a hole."""
        return bar_section(self.shape)

    def bar_at(self, j: int) -> Section:
        """Section of one bar or boss: only a rivet that goes through it takes metal out.

        Parameters
        ----------
        j : int
            Bar (count from 0).

        Returns
        -------
        Section
        """
        if j in self.boss_places:
            return self.bosses.section
        return self.solid_bar if j % self.closure_every else self.bar

    def material_at(self, j: int) -> Material:
        """Material of one bar or boss.

        Parameters
        ----------
        j : int
            Bar (count from 0).

        Returns
        -------
        Material
        """
        return self.bosses.material if j in self.boss_places else self.material

    def faces_at(self, j: int) -> tuple[tuple[str, np.ndarray], ...]:
        """Springs at the end faces of one bar or boss; every bar has equally many.

        Parameters
        ----------
        j : int
            Bar (count from 0).

        Returns
        -------
        tuple of (str, ndarray (n, 4))
            Ring that is pressed (cover, base); radius m, t m, area m2, stiffness N/m.
        """
        points = self.interface_points
        if j not in self.boss_places:
            stiffness = self.bedding * points[:, 2:]
            return (("cover", np.hstack([points, stiffness])),)
        rings = ("cover", "base") if self.bosses.separate else ("cover",)
        face = ring_points(self.bosses.section, self.bosses.bore, len(points) // len(rings))
        face[:, 0] += self.closure_radius
        springs = np.hstack([face, self.bosses.bedding * face[:, 2:]])
        return tuple((ring, springs) for ring in rings)


def cage_numbers(case: Any) -> CageDesign:
    """Numbers of the cage of a case; what the case leaves open gets its documented default.

    Parameters
    ----------
    case : Case
        A valid case.

    Returns
    -------
    CageDesign

    Raises
    ------
    RollsimError
        The parts cannot be made: no metal left in a bar, closure outside its bar, number of
        rivets that does not divide the number of bars.
    """
    cage, closure = case.cage, case.cage.closure
    shape = _bar_shape(case)
    middle = 0.5 * (shape.inner_radius + shape.outer_radius)
    riveted = closure.kind == "steel_rivet"
    closure_radius = _half(closure.circle_diameter_mm, middle)
    bosses = bosses_of(case, bedding_modulus)
    hole = closure.diameter_mm * MM if riveted and not bosses else 0.0
    bar = bar_section(shape, hole, closure_radius)
    section = _closure_section(closure, bar)
    if not bosses:
        _check_closure(shape, section, closure_radius, closure.kind)
    cover_thickness = cage.cover_thickness_mm * MM
    material = case.materials[cage.material]
    points = interface_points(shape, None if bosses else section, closure_radius, closure.kind)
    return CageDesign(
        kind=closure.kind,
        count=case.roller.count,
        closure_every=1 if bosses else _closure_every(case),
        shank_free=riveted and closure.hole_fit == "free",
        bar_length=case.roller.length_mm * MM + case.clearance.pocket_axial_um * UM,
        base_thickness=cage.base_ring_thickness_mm * MM,
        cover_thickness=cover_thickness,
        cover_radius=middle,
        closure_radius=closure_radius if closure.kind != "one_piece" else bar.centroid,
        load_radius=_half(cage.cover_load_diameter_mm, shape.pitch_radius),
        bar=bar,
        cover=rectangle_section(shape.outer_radius - shape.inner_radius, cover_thickness),
        closure=section,
        material=material,
        closure_material=case.materials[closure.material or cage.material],
        preload=closure.preload_N,
        fillet=_fillet(closure),
        pocket_fillet=cage.pocket_fillet_mm * MM,
        shape=shape,
        interface_points=points,
        bedding=bedding_modulus(material.youngs_modulus, cover_thickness, bar.width_t),
        bosses=bosses,
    )


def bar_period(design: CageDesign) -> float:
    """Period of the lowest tangential vibration of a bar built in at both ends.

    T = 2 pi L^2 / 4.730^2 sqrt(rho A / (E I)), no shear (value of the root from memory).

    Parameters
    ----------
    design : CageDesign
        The cage.

    Returns
    -------
    float
        s.
    """
    material, bar = design.material, design.bar
    ratio = material.density * bar.area / (material.youngs_modulus * bar.about_r)
    return 2.0 * math.pi * design.bar_length**2 / 4.730**2 * math.sqrt(ratio)


def bedding_modulus(modulus: float, cover_thickness: float, bar_width: float) -> float:
    """Pressure for each metre of approach of cover and bar end, k = E / (t/2 + w/2).

    The depth that gives way is taken as half the cover and half a bar width: an engineering
    choice without source; it spreads the pressure over the rim of the bar end.

    Parameters
    ----------
    modulus : float, Pa
        Modulus E of the cage.
    cover_thickness : float, m
        t.
    bar_width : float, m
        w.

    Returns
    -------
    float
        k in N/m3.
    """
    return modulus / (0.5 * cover_thickness + 0.5 * bar_width)


def _half(diameter_mm: float | None, default: float) -> float:
    """Radius in m of a diameter that may be left open."""
    return default if diameter_mm is None else 0.5 * diameter_mm * MM


def _bar_shape(case: Any) -> BarShape:
    """Outline of the bars."""
    return BarShape(
        0.5 * case.cage.inner_diameter_mm * MM,
        0.5 * case.cage.outer_diameter_mm * MM,
        0.5 * case.bearing.pitch_diameter_mm * MM,
        0.5 * (case.roller.diameter_mm * MM + case.clearance.pocket_um * UM),
        case.roller.count,
    )


def _closure_section(closure: Any, bar: Section) -> Section:
    """Section of a closure; a cage in one piece goes on with the bar's."""
    if closure.kind == "one_piece":
        return bar
    if closure.diameter_mm is not None:
        return round_section(closure.diameter_mm * MM)
    return rectangle_section(closure.radial_height_mm * MM, closure.tangential_width_mm * MM)


def _fillet(closure: Any) -> float:
    """Fillet radius of the closure in m, 0 where there is none."""
    name = {"steel_rivet": "head_fillet_mm", "integral_tenon": "root_fillet_mm"}.get(closure.kind)
    return getattr(closure, name) * MM if name else 0.0


def _closure_every(case: Any) -> int:
    """Bars from one closure to the next."""
    count = getattr(case.cage.closure, "count", None) or case.roller.count
    if case.roller.count % count:
        raise RollsimError(
            f"{count} rivets on {case.roller.count} bars: the cage model needs evenly spaced"
            " rivets, so the number of rivets must divide the number of rollers."
        )
    return case.roller.count // count


def _check_closure(shape: BarShape, section: Section, radius: float, kind: str) -> None:
    """Refuse a closure that does not fit on the end face of its bar, measured at its middle."""
    if kind == "one_piece":
        return
    low, high = radius - 0.5 * section.width_r, radius + 0.5 * section.width_r
    room = shape.width(np.array(radius))
    if low < shape.inner_radius or high > shape.outer_radius or section.width_t > room:
        raise RollsimError(
            f"The closure ({kind}, {section.width_r * 1e3:.2f} mm radially,"
            f" {section.width_t * 1e3:.2f} mm tangentially, on radius {radius * 1e3:.2f} mm) does"
            f" not fit into the bar, which is {room * 1e3:.2f} mm wide there and"
            f" reaches from radius {shape.inner_radius * 1e3:.2f} to"
            f" {shape.outer_radius * 1e3:.2f} mm."
        )
