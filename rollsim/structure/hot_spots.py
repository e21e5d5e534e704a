"""Places where a closure or bar breaks, and the stress there.

Nominal stress at a point (r, t) of a section: axial / A + moment_r t / I_r - moment_t r / I_t.
Local stress: each of the three parts times its own notch factor. Shear and torsion enter the
comparison with yield only, where they are taken at their largest value at every point.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from rollsim.case.materials import Material
from rollsim.structure.design import CageDesign
from rollsim.structure.notch import NotchFactor, step_notch
from rollsim.structure.sections import Section
from rollsim.units import MM

#: Parts of a cage that are judged apart.
CLOSURE, BARS = "closure", "bars"
#: Head over shank diameter of a rivet; common practice, no source.
HEAD_RATIO = 1.6
#: Roots of the bars at the base ring: with a closure, and those of bars left without a rivet.
ROOT, BARE_ROOT = "bar root at base ring", "root of unriveted bar"
#: Foot of what stands round a rivet beside the bars: of one piece with the base ring, or loose.
BOSS_ROOT, PIECE = "boss root at base ring", "foot of distance piece"


@dataclass(frozen=True)
class HotSpot:
    """One place of every closure or bar.

    Fields: name; part (`CLOSURE` or `BARS`); place (interface, head, bar_root: where the section
    force is taken); bars (numbers of the bars that have it); section; material; notch_tension,
    notch_about_r, notch_about_t (factors of the stress by the axial force and by the moments about
    r and t); preload N; note (how the factors were found).
    """

    name: str
    part: str
    place: str
    bars: np.ndarray
    section: Section
    material: Material
    notch_tension: float
    notch_about_r: float
    notch_about_t: float
    preload: float
    note: str

    @property
    def field(self) -> str:
        """Field of `SectionForcesOfCage` with the section force of the place."""
        return {"bar_root": "bar_base"}.get(self.place, self.place)

    def coefficients(self, notched: bool = True) -> np.ndarray:
        """Stress at every point for one unit of axial force, moment_r and moment_t.

        Parameters
        ----------
        notched : bool
            True for local stress, False for nominal stress.

        Returns
        -------
        ndarray, (points, 3)
            Pa/N, Pa/(N m), Pa/(N m).
        """
        factors = (self.notch_tension, self.notch_about_r, self.notch_about_t)
        k_n, k_r, k_t = factors if notched else (1.0, 1.0, 1.0)
        r, t = self.section.points.T
        return np.column_stack(
            [
                np.full(len(r), k_n / self.section.area),
                k_r * t / self.section.about_r,
                -k_t * r / self.section.about_t,
            ]
        )

    def preload_stress(self, notched: bool = True) -> float:
        """Stress by the preload.

        Parameters
        ----------
        notched : bool
            True for local stress, False for nominal stress.

        Returns
        -------
        float
            Pa.
        """
        return (self.notch_tension if notched else 1.0) * self.preload / self.section.area

    def stress(self, forces: np.ndarray, notched: bool = True) -> np.ndarray:
        """Stress at every point without preload.

        Parameters
        ----------
        forces : ndarray, (..., 6)
            Section forces at the place of the spot.
        notched : bool
            True for local stress, False for nominal stress.

        Returns
        -------
        ndarray, (..., points)
            Pa.
        """
        return forces[..., [0, 4, 5]] @ self.coefficients(notched).T

    def equivalent(self, forces: np.ndarray) -> np.ndarray:
        """Largest nominal equivalent stress (von Mises) over the points, with preload.

        sqrt(s^2 + 3 tau^2), tau = (largest over mean) V/A + T c/J, c half the smaller width: the
        largest shear is added to the largest normal stress, so on the safe side.

        Parameters
        ----------
        forces : ndarray, (..., 6)
            Section forces at the place of the spot.

        Returns
        -------
        ndarray, (...)
            Pa.
        """
        section = self.section
        static = self.preload_stress(notched=False)
        if section.is_round:
            bending = np.hypot(forces[..., 4], forces[..., 5]) * 0.5 * section.width_r
            normal = np.abs(forces[..., 0] / section.area + static) + bending / section.about_r
        else:
            normal = np.max(np.abs(self.stress(forces, notched=False) + static), axis=-1)
        shear = section.shear_peak * np.hypot(forces[..., 1], forces[..., 2]) / section.area
        half = 0.5 * min(section.width_r, section.width_t)
        shear = shear + np.abs(forces[..., 3]) * half / section.torsion
        return np.sqrt(normal**2 + 3.0 * shear**2)


def hot_spots(design: CageDesign, notch_factor: float | None = None) -> tuple[HotSpot, ...]:
    """Hot spots of a cage.

    Steel rivet: fillet below the head, plane between cover and bar. Integral tenon: its root. One
    piece: the bar where it meets the cover. All: the bar where it meets the base ring; bars without
    a rivet have no hole and are a place of their own.

    Parameters
    ----------
    design : CageDesign
        Numbers of the cage.
    notch_factor : float or None
        The user's own factor, used everywhere; None for the factors from the fillets.

    Returns
    -------
    tuple of HotSpot
    """
    closures = design.closure_bars
    own = (CLOSURE, closures, design.closure, design.closure_material)
    every = (BARS, design.closure_places, design.bar, design.material)
    if design.kind == "steel_rivet":
        spots = [
            _spot("rivet head fillet", "head", own, _head_notch(design), design.preload),
            _spot("rivet at interface", "interface", own, _plain(), design.preload),
        ]
    elif design.kind == "integral_tenon":
        spots = [_spot("tenon root", "interface", own, _tenon_notch(design), design.preload)]
    else:
        spots = [_spot("bar root at cover", "interface", every, _bar_notch(design), 0.0)]
    if len(design.bare_bars):
        bare = (BARS, design.bare_bars, design.solid_bar, design.material)
        spots.append(_spot(BARE_ROOT, "bar_root", bare, _bar_notch(design), 0.0))
    if design.bosses is None:
        spots.append(_spot(ROOT, "bar_root", every, _bar_notch(design), 0.0))
    else:
        spots.append(_boss_spot(design))
    return tuple(spot if notch_factor is None else _override(spot, notch_factor) for spot in spots)


def _boss_spot(design: CageDesign) -> HotSpot:
    """Where a boss meets the base ring; a distance piece only presses against it there."""
    bosses = design.bosses
    where = (BARS, design.closure_places, bosses.section, bosses.material)
    if bosses.separate:
        note = "end of a tube, factor 1; pressure of its edge on the ring is not covered"
        return _spot(PIECE, "bar_root", where, (1.0, 1.0, 1.0, note), 0.0)
    wide = 2.0 * np.pi * design.closure_radius / design.count
    narrow, fillet = bosses.section.width_r, design.pocket_fillet
    pull, bend = (
        step_notch("round", kind, wide, narrow, fillet) for kind in ("tension", "bending")
    )
    notches = (pull.value, bend.value, bend.value, _note(fillet, pull, bend))
    return _spot(BOSS_ROOT, "bar_root", where, notches, 0.0)


def _spot(name, place, where, notches, preload) -> HotSpot:
    """A spot; `where` = (part, bars, section, material), `notches` = (three factors, note)."""
    part, *rest = where
    return HotSpot(name, part, place, *rest, *notches[:3], preload, notches[3])


def _override(spot: HotSpot, factor: float) -> HotSpot:
    """The same spot with the user's notch factor."""
    return replace(
        spot,
        notch_tension=factor,
        notch_about_r=factor,
        notch_about_t=factor,
        note="notch factor given in the case",
    )


def _plain() -> tuple[float, float, float, str]:
    """Plain shank: no notch; what is left out is said."""
    return 1.0, 1.0, 1.0, "plain shank, factor 1; fretting at the hole edge is not covered"


def _head_notch(design: CageDesign) -> tuple[float, float, float, str]:
    """Head of a rivet as a stepped round bar."""
    narrow = design.closure.width_r
    wide = HEAD_RATIO * narrow
    pull = step_notch("round", "tension", wide, narrow, design.fillet)
    bend = step_notch("round", "bending", wide, narrow, design.fillet)
    return pull.value, bend.value, bend.value, _note(design.fillet, pull, bend)


def _tenon_notch(design: CageDesign) -> tuple[float, float, float, str]:
    """Root of a tenon: stepped bar in each of the two directions, the worse in tension.

    A rectangular tenon as a flat bar, a round one as a round bar whose thick part is as wide as
    the bar is in that direction.
    """
    shape = "round" if design.closure.is_round else "flat"
    wide_t = float(design.shape.width(np.array(design.closure_radius)))
    wide_r = design.shape.outer_radius - design.shape.inner_radius
    narrow_r, narrow_t = design.closure.width_r, design.closure.width_t
    fillet = design.fillet
    pulls = [
        step_notch(shape, "tension", wide, narrow, fillet)
        for wide, narrow in ((wide_r, narrow_r), (wide_t, narrow_t))
    ]
    about_r = step_notch(shape, "bending", wide_t, narrow_t, fillet)
    about_t = step_notch(shape, "bending", wide_r, narrow_r, fillet)
    pull = max(pulls, key=lambda factor: factor.value)
    return pull.value, about_r.value, about_t.value, _note(fillet, pull, about_r, about_t)


def bar_root_factors(design: CageDesign, fillet: float) -> tuple[NotchFactor, NotchFactor]:
    """Notch factors of a bar running into a ring: a step to the pocket pitch, flush radially.

    The bar is taken as a flat one of the mean width of its two faces; the ring as wide as a pocket
    pitch.

    Parameters
    ----------
    design : CageDesign
        Numbers of the cage.
    fillet : float, m
        Fillet radius in the corner.

    Returns
    -------
    pull, about_r : NotchFactor
        For tension (and bending about t) and for bending about r, by forces on the bar.
    """
    pitch = 2.0 * np.pi * design.bar.centroid / design.count
    pull = step_notch("flat", "tension", pitch, design.bar.width_t, fillet)
    return pull, step_notch("flat", "bending", pitch, design.bar.width_t, fillet)


def _bar_notch(design: CageDesign) -> tuple[float, float, float, str]:
    """Notch factors of a bar root with the fillet of the case."""
    pull, about_r = bar_root_factors(design, design.pocket_fillet)
    note = _note(design.pocket_fillet, pull, about_r)
    return pull.value, about_r.value, pull.value, note


def _note(fillet: float, *factors: NotchFactor) -> str:
    """How the factors were found, each remark once."""
    parts = [f"stepped bar, fillet {fillet / MM:g} mm"]
    parts += [factor.formula for factor in factors if factor.formula]
    parts += [factor.note for factor in factors if factor.note]
    return "; ".join(dict.fromkeys(parts))
