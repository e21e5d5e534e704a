"""Numbers of a cage that its beam model needs, taken from the case."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from rollsim.case.materials import Material
from rollsim.errors import RollsimError
from rollsim.structure.sections import (
    BarShape,
    Section,
    bar_section,
    rectangle_section,
    round_section,
)
from rollsim.units import MM, UM

_POINTS_ALONG_R = 16
_POINTS_ALONG_T = 4


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
    its hole is empty); empty where all are sound, as they always are in the model of `cover_frame`.
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
        """Numbers of the bars that are made for a closure (count from 0)."""
        return np.arange(0, self.count, self.closure_every)

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
        return self.factors[j // self.closure_every] if self.factors else 1.0

    @property
    def bare_bars(self) -> np.ndarray:
        """Numbers of the bars that are not made for a closure (count from 0)."""
        return np.setdiff1d(np.arange(self.count), self.closure_places)

    @cached_property
    def solid_bar(self) -> Section:
        """Section of a bar without a hole."""
        return bar_section(self.shape)

    def bar_at(self, j: int) -> Section:
        """Section of one bar: only a rivet that goes through it takes metal out.

        Parameters
        ----------
        j : int
            Bar (count from 0).

        Returns
        -------
        Section
        """
        return self.solid_bar if j % self.closure_every else self.bar


def cage_design(case: Any) -> CageDesign:
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
    hole = closure.diameter_mm * MM if riveted else 0.0
    bar = bar_section(shape, hole, closure_radius)
    section = _closure_section(closure, bar)
    _check_closure(shape, section, closure_radius, closure.kind)
    cover_thickness = cage.cover_thickness_mm * MM
    material = case.materials[cage.material]
    points = interface_points(shape, section, closure_radius, closure.kind)
    return CageDesign(
        kind=closure.kind,
        count=case.roller.count,
        closure_every=_closure_every(case),
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


def interface_points(
    shape: BarShape, section: Section, closure_radius: float, kind: str
) -> np.ndarray:
    """Places and areas of the springs over the end face of a bar, outside the closure.

    Parameters
    ----------
    shape : BarShape
        Outline of the bar.
    section : Section
        Section of the closure.
    closure_radius : float, m
        Distance of its middle from the bearing axis.
    kind : str
        steel_rivet, integral_tenon or one_piece (no interface).

    Returns
    -------
    ndarray, (n, 3)
        Radius in m, t in m, area in m2.
    """
    if kind == "one_piece":
        return np.zeros((0, 3))
    edges = np.linspace(shape.inner_radius, shape.outer_radius, _POINTS_ALONG_R + 1)
    points = []
    for r in 0.5 * (edges[1:] + edges[:-1]):
        width = float(shape.width(r))
        for k in range(_POINTS_ALONG_T):
            t = width * ((k + 0.5) / _POINTS_ALONG_T - 0.5)
            if not _inside(r - closure_radius, t, section):
                points.append((r, t, width / _POINTS_ALONG_T * (edges[1] - edges[0])))
    return np.array(points)


def _inside(r: float, t: float, section: Section) -> bool:
    """Tell whether a point lies on the section of the closure."""
    if section.is_round:
        return bool(np.hypot(r, t) < 0.5 * section.width_r)
    return abs(r) < 0.5 * section.width_r and abs(t) < 0.5 * section.width_t
