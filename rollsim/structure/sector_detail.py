"""Solid model of one cage sector: section forces of the closure, stress, stiffness of the cover.

What it assumes: bars with the flanks that the pocket sides of the case leave them; every pocket
bears the same load; neighbouring sectors move alike; cover and bar end, and a closure and its hole,
press without friction where they touch and part where they do not; no preload. An axial load is
balanced by the base ring, evenly, or by the inertia of all parts; under a tangential one the far
face of the base ring is held. A tight rivet is bonded to its holes. A free one is held at its two
heads, fills its hole in the cover without being bonded, and has play in the bar: it leans on the
edge of that hole only (`swing_m` says how much play that takes). A tenon is one piece with its bar;
upsetting makes it fill the outer half of its hole, where it is bonded. The corner of cover and bar
of a one-piece cage is sharp.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any
from zipfile import BadZipFile

import numpy as np
from platformdirs import user_cache_dir

from rollsim.errors import RollsimError
from rollsim.structure.cage_mesh import frame_design
from rollsim.structure.design import CageDesign
from rollsim.structure.sector_contact import sector_motions, solve_contact
from rollsim.structure.sector_cut import SectorCut, sector_cut
from rollsim.structure.sector_mesh import CLOSURE, SectorMesh, sector_mesh
from rollsim.structure.sector_read import (
    balanced_push,
    bar_push,
    cover_lift,
    cover_push,
    largest_principal,
    section_force,
    shank_swing,
)
from rollsim.structure.sector_solid import Solid, build_solid, finite_elements

#: The two loads.
LOADS = ("cover", "bar")
#: What balances an axial load: the base ring, or the inertia of all parts.
HOLDS = ("base", "inertia")
#: Meshes of a convergence line, elements in every direction against the plain mesh.
MESHES = (0.5, 0.75, 1.0)
_SHARP = "sharp corner at the interface: its stress grows with every finer mesh"


@dataclass(frozen=True)
class SectorDetail:
    """What the solid model gives for one load.

    Fields: kind (of closure); load (cover or bar); held (base or inertia, face for a load on the
    bars); force_N (each roller); refine; unknowns (free motions of the mesh); deflection_m (largest
    motion of any point, from the base ring where the roller pushes); stiffness_N_per_m (force over
    the motion where the roller pushes, along the push: of the cover from the base ring, of the bar
    from the held face); swing_m (radial play in the bar that a free shank needs to touch the edge
    only); interface_force and head_force (axial,
    shear r, shear t in N, torsion, moment r, moment t in N m: of the closure in the plane between
    cover and bar and below its head, signs as in the beam model; those of a one-piece cage are its
    bar's); contact_force_N (pressure between cover and bar end); touching (share of the face's
    nodes that touch); closure_stress_Pa (largest tension within a quarter of a closure's width
    of the interface); fillet_stress_Pa and fillet_nominal_Pa (largest tension in the fillet, and
    that of a plain beam by the section forces there; 0 without a fillet); notch_factor (fillet
    over nominal; 0 without a fillet); note (what is not converged).
    """

    kind: str
    load: str
    held: str
    force_N: float
    refine: float
    unknowns: int
    deflection_m: float
    stiffness_N_per_m: float
    swing_m: float
    interface_force: tuple[float, ...]
    head_force: tuple[float, ...]
    contact_force_N: float
    touching: float
    closure_stress_Pa: float
    fillet_stress_Pa: float
    fillet_nominal_Pa: float
    notch_factor: float
    note: str

    def scaled(self, force_N: float) -> SectorDetail:
        """The same for another force: faces without a gap make the answer proportional to it.

        Parameters
        ----------
        force_N : float, N
            Force of each roller.

        Returns
        -------
        SectorDetail
        """
        ratio = force_N / self.force_N
        return replace(
            self,
            force_N=force_N,
            deflection_m=self.deflection_m * ratio,
            swing_m=self.swing_m * ratio,
            interface_force=tuple(ratio * part for part in self.interface_force),
            head_force=tuple(ratio * part for part in self.head_force),
            contact_force_N=self.contact_force_N * ratio,
            closure_stress_Pa=self.closure_stress_Pa * ratio,
            fillet_stress_Pa=self.fillet_stress_Pa * ratio,
            fillet_nominal_Pa=self.fillet_nominal_Pa * ratio,
        )


def sector_detail(
    case: Any, force_N: float, load: str = "cover", refine: float = 1.0, held: str = "base"
) -> SectorDetail:
    """Solve the solid model of one sector; a cage that was solved before is read from the cache.

    Parameters
    ----------
    case : Case
        A valid case.
    force_N : float, N
        Force of every roller: axial on the cover, or tangential on its bar.
    load : str
        cover or bar.
    refine : float
        Elements in every direction against the plain mesh of about 20 000 unknowns.
    held : str
        base or inertia, of an axial load; a load on the bars is held at the base ring's face.

    Returns
    -------
    SectorDetail

    Raises
    ------
    RollsimError
        Input out of range, scikit-fem is not installed, or the cage cannot be meshed.
    """
    _check(force_N, load, refine, held)
    return _kept(case, load, refine, held)[0].scaled(force_N)


def sector_picture(case: Any, refine: float = 1.0, held: str = "base") -> SectorCut:
    """Stress and motion in the plane through the middle of the bar, 1 N of every roller axially.

    Parameters
    ----------
    case : Case
        A valid case.
    refine, held
        As for `sector_detail`.

    Returns
    -------
    SectorCut

    Raises
    ------
    RollsimError
        As `sector_detail`.
    """
    _check(1.0, "cover", refine, held)
    return _kept(case, "cover", refine, held)[1]


def sector_convergence(
    case: Any,
    force_N: float,
    load: str = "cover",
    refines: Sequence[float] = MESHES,
    held: str = "base",
) -> tuple[SectorDetail, ...]:
    """The same on finer and finer meshes.

    Parameters
    ----------
    case : Case
        A valid case.
    force_N : float, N
        Force of every roller.
    load : str
        cover or bar.
    refines : sequence of float
        Meshes, coarse ones first.
    held : str
        As for `sector_detail`.

    Returns
    -------
    tuple of SectorDetail
        One a mesh.
    """
    return tuple(sector_detail(case, force_N, load, refine, held) for refine in refines)


def solve_sector(
    design: CageDesign, load: str, refine: float, held: str = "base"
) -> tuple[SectorDetail, SectorCut]:
    """Solve for one newton from every roller.

    Parameters
    ----------
    design : CageDesign
        The cage.
    load : str
        cover or bar.
    refine : float
        Elements in every direction against the plain mesh.
    held : str
        base or inertia.

    Returns
    -------
    SectorDetail
    SectorCut
    """
    axial = load == "cover"
    mesh = sector_mesh(design, refine, whole=not axial)
    solid = _solid(mesh)
    motions = sector_motions(mesh, clamped=not axial)
    push = cover_push(mesh) if axial else bar_push(mesh)
    forces = balanced_push(mesh, solid, push, held) if axial else push
    motion, pressure = solve_contact(solid.stiffness(), motions, mesh, forces)
    levels = mesh.levels
    way = cover_lift(mesh, push, motion) if axial else float(push @ motion)
    if axial:
        motion[2::3] -= push[2::3] @ motion[2::3] / np.sum(push[2::3]) - way
    interface = section_force(mesh, solid, motion, levels.interface, pressure)
    below = min(levels.plain_end, levels.cover - 2)
    head = interface if design.one_piece else section_force(mesh, solid, motion, below)
    face = pressure[: mesh.interface_pairs]
    middle, reach = levels.z[levels.interface], 0.25 * design.closure.width_r
    if design.one_piece:
        reach = 0.25 * (levels.z[levels.interface] - levels.z[levels.interface - 2])
    peak, nominal = _fillet(mesh, solid, motion, interface, head)
    detail = SectorDetail(
        kind=design.kind,
        load=load,
        held=held if axial else "face",
        force_N=1.0,
        refine=float(refine),
        unknowns=motions.shape[1],
        deflection_m=float(np.max(np.linalg.norm(motion.reshape(-1, 3), axis=1))),
        stiffness_N_per_m=1.0 / way,
        swing_m=shank_swing(mesh, motion),
        interface_force=tuple(map(float, interface)),
        head_force=tuple(map(float, head)),
        contact_force_N=float(_doubled(mesh, face)),
        touching=float(np.mean(face > 0.0)) if len(face) else 1.0,
        closure_stress_Pa=largest_principal(mesh, solid, motion, middle - reach, middle + reach),
        fillet_stress_Pa=peak,
        fillet_nominal_Pa=nominal,
        notch_factor=peak / nominal if nominal > 0.0 else 0.0,
        note=_SHARP if design.one_piece or _tight(design) else "",
    )
    return detail, sector_cut(mesh, solid, motion)


def nominal_stress(design: CageDesign, force: np.ndarray) -> float:
    """Largest stress N/A + M_r t/I_r - M_t r/I_t over the points of the closure's section.

    Parameters
    ----------
    design : CageDesign
        The cage.
    force : ndarray, (6,)
        Section force.

    Returns
    -------
    float
        Pa.
    """
    section = design.closure
    r, t = section.points.T
    bending = force[4] * t / section.about_r - force[5] * r / section.about_t
    return float(np.max(force[0] / section.area + bending))


def _tight(design: CageDesign) -> bool:
    """Tell whether a rivet fills its hole."""
    return design.kind == "steel_rivet" and not design.shank_free


def _solid(mesh: SectorMesh) -> Solid:
    """Bodies with their materials."""
    design = mesh.design
    own = (mesh.body == CLOSURE) & (design.kind == "steel_rivet")
    parts = design.closure_material, design.material
    modulus = np.where(own, parts[0].youngs_modulus, parts[1].youngs_modulus)
    poisson = np.where(own, parts[0].poisson, parts[1].poisson)
    return build_solid(mesh.points, mesh.bricks, modulus, poisson)


def _fillet(mesh, solid, motion, interface, head) -> tuple[float, float]:
    """Largest tension in the fillet and the nominal stress there."""
    design, levels = mesh.design, mesh.levels
    if design.one_piece or design.fillet == 0.0:
        return 0.0, 0.0
    rivet = design.kind == "steel_rivet"
    ends = (levels.plain_end, levels.cover) if rivet else (levels.interface, levels.plain_start)
    low, high = levels.z[list(ends)]
    peak = largest_principal(mesh, solid, motion, low, high)
    return peak, nominal_stress(design, head if rivet else interface)


def _doubled(mesh: SectorMesh, face: np.ndarray) -> float:
    """Pressure of a whole sector."""
    return float(np.sum(face)) * (1.0 if mesh.whole else 2.0)


def _check(force_N: float, load: str, refine: float, held: str) -> None:
    """Refuse what cannot be solved, all faults in one message."""
    faults = []
    if not (np.isfinite(force_N) and force_N > 0.0):
        faults.append(f"force_N = {force_N}: a positive force in N is needed.")
    if load not in LOADS:
        faults.append(f"load = {load!r}: one of {', '.join(LOADS)} is needed.")
    if held not in HOLDS:
        faults.append(f"held = {held!r}: one of {', '.join(HOLDS)} is needed.")
    if not 0.4 <= refine <= 2.0:
        faults.append(
            f"refine = {refine}: from 0.4 (coarse) to 2 (150 000 unknowns, 300 000 with load bar)."
        )
    if faults:
        raise RollsimError("Solid model of a cage sector: " + " ".join(faults))


def _kept(case: Any, load: str, refine: float, held: str) -> tuple[SectorDetail, SectorCut]:
    """Answer to one newton, from the cache where it is there."""
    design = replace(frame_design(case), preload=0.0)
    if design.bosses is not None:
        raise RollsimError(
            "The solid model of one sector needs a closure on every bar; the rivets of this cage"
            " stand beside the bars (cage.closure.position). Use the beam model."
        )
    if design.factors:
        raise RollsimError(
            "The solid model of one sector takes all sectors as alike; the closures of this cage"
            " differ (cage.closure.stiffness_factors). Use the beam model, or leave the key out."
        )
    file = _cache_file(design, load, refine, held)
    found = _read(file)
    if found is None:
        finite_elements()
        found = solve_sector(design, load, refine, held)
        _write(file, *found)
    return found


def _cache_file(design: CageDesign, load: str, refine: float, held: str = "base") -> Path:
    """File of a solved sector, named by a hash of cage, load, mesh and of these sources."""
    digest = hashlib.sha256()
    for path in sorted(Path(__file__).parent.glob("*.py")):
        digest.update(path.name.encode() + b"\0" + path.read_bytes() + b"\0")
    digest.update(repr((_plain(asdict(design)), load, float(refine), held)).encode())
    root = os.environ.get("ROLLSIM_CACHE") or user_cache_dir("rollsim", appauthor=False)
    return Path(root) / "sector" / f"{digest.hexdigest()[:24]}.npz"


def _plain(value: Any) -> Any:
    """Arrays as lists, so that no digit is left out of the text."""
    if isinstance(value, dict):
        return {key: _plain(part) for key, part in value.items()}
    return value.tolist() if isinstance(value, np.ndarray) else value


def _read(file: Path) -> tuple[SectorDetail, SectorCut] | None:
    """A solved sector; None where there is none or the file is damaged."""
    try:
        with np.load(file, allow_pickle=False) as kept:
            values = json.loads(str(kept["detail"]))
            for name in ("interface_force", "head_force"):
                values[name] = tuple(values[name])
            cut = SectorCut(**{name: kept[name] for name in SectorCut.__dataclass_fields__})
            return SectorDetail(**values), cut
    except (OSError, ValueError, TypeError, KeyError, BadZipFile):
        return None


def _write(file: Path, detail: SectorDetail, cut: SectorCut) -> None:
    """Keep a solved sector; a folder that cannot be written costs time only."""
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        part = file.with_suffix(f".{os.getpid()}.part.npz")
        np.savez_compressed(part, detail=json.dumps(asdict(detail)), **vars(cut))
        part.replace(file)
    except OSError:
        return
