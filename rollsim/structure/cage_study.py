"""What is asked about the elastic cage at rest: mass, vibrations of its own, one static load."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rollsim.errors import RollsimError
from rollsim.structure.cage_closures import ClosureLoad
from rollsim.units import G0

#: What balances the load: the base ring, or the inertia of the free cage.
BASE, INERTIA = "base", "inertia"
#: Largest load that is taken, N or g: beyond it a typing error is likelier.
MOST = 1e7
#: Force a roller on the cover where no load is asked for.
USUAL_COVER_FORCE = 1000.0
#: Parts of the cage in the order in which they are shown.
PARTS = ("base ring", "bars", "cover", "closures")


class BadLoad(RollsimError):
    """A load that cannot be used (exit code 2)."""

    exit_code = 2


@dataclass(frozen=True)
class CageLoad:
    """A static load, the same at every roller.

    Fields: cover N, axial force of every roller on the cover, away from the base; bar N, force on
    every bar in the sense of positive rotation; radial_acceleration m/s2, outward, at the middle
    radius of the rings, growing with the radius as on a turning cage; held (`BASE`, what the
    forces have left over is carried evenly by the base ring, or `INERTIA`, by the inertia of the
    free cage); assumed (True where nobody asked for this load).
    """

    cover: float
    bar: float
    radial_acceleration: float
    held: str = BASE
    assumed: bool = False


def cage_load(
    cover: float | None, bar: float | None, acceleration_g: float | None, held: str = BASE
) -> CageLoad:
    """Load as asked for; 1 kN a roller on the cover where nothing was asked.

    Parameters
    ----------
    cover : float or None, N
        Axial force of every roller on the cover, not negative.
    bar : float or None, N
        Tangential force on every bar.
    acceleration_g : float or None, g
        Radial acceleration in units of the standard acceleration of fall, not negative.
    held : str
        `BASE` or `INERTIA`.

    Returns
    -------
    CageLoad

    Raises
    ------
    BadLoad
        A number is not finite or negative where it must not be, or every load is zero.

    Examples
    --------
    >>> cage_load(None, None, None)
    CageLoad(cover=1000.0, bar=0.0, radial_acceleration=0.0, held='base', assumed=True)
    """
    if cover is None and bar is None and acceleration_g is None:
        return CageLoad(USUAL_COVER_FORCE, 0.0, 0.0, held, assumed=True)
    cover, bar, acceleration_g = (value or 0.0 for value in (cover, bar, acceleration_g))
    faults = [
        f"{name} {value:g} {unit}: at most {MOST:g} {unit} can be used."
        for name, value, unit in (
            ("Cover force", cover, "N"),
            ("Bar force", bar, "N"),
            ("Radial acceleration", acceleration_g, "g"),
        )
        if not abs(value) <= MOST
    ]
    if cover < 0.0:
        faults.append(
            f"Cover force {cover:g} N: a roller pushes the cover away from the base and cannot"
            " pull it. Give 0 or more."
        )
    if acceleration_g < 0.0:
        faults.append(
            f"Radial acceleration {acceleration_g:g} g: turning presses every part outward, in"
            " either sense. Give 0 or more."
        )
    if cover == bar == acceleration_g == 0.0:
        faults.append(
            "All loads are zero: give a cover force, a bar force or a radial acceleration above 0,"
            f" or none of the three for {USUAL_COVER_FORCE:g} N of every roller on the cover."
        )
    if faults:
        raise BadLoad("\n".join(faults))
    return CageLoad(cover, bar, acceleration_g * G0, held)


@dataclass(frozen=True)
class PartMotion:
    """How far a part moves under the load, counted from the mean rigid motion of the base ring.

    Fields: part; largest, axial, tangential, radial: largest magnitudes over its nodes in m;
    pocket (count from 0): the pitch where the largest one lies.
    """

    part: str
    largest: float
    axial: float
    tangential: float
    radial: float
    pocket: int


@dataclass(frozen=True)
class PlaceStress:
    """Stress at one sort of place under the load.

    Fields: place; bar (count from 0), the worst one; material; axial, shear N and bending N m:
    section force there (magnitudes); preload, nominal, equivalent Pa: stress by the preload,
    largest normal stress with preload, largest von Mises stress of nominal stresses; local Pa:
    largest normal stress with preload and notch factors (NaN where none is known);
    notch_factors: tension, about r, about t (empty where none is known); yield_share: equivalent
    over yield stress; note: where the factors come from, what they leave out.
    """

    place: str
    bar: int
    material: str
    axial: float
    shear: float
    bending: float
    preload: float
    nominal: float
    equivalent: float
    local: float
    notch_factors: tuple[float, ...]
    yield_share: float
    note: str


@dataclass(frozen=True)
class CageStudy:
    """Everything that the command shows about one cage.

    Fields: case_name; closure (its kind); count of rollers; mass kg; centre (3,) m from the middle
    of the pockets; inertia (3, 3) kg m2 about it; nodes (n, 3) m; lines (m, 2), beams between
    nodes; parts (m,), part of each beam; numbers (m,), bar or pitch of each beam; load;
    displacement (n, 6) m and rad, as `PartMotion` counts it; frequencies (k,) Hz; shapes
    (k, n, 6); motions; lift m, most that the cover moves axially from the base ring where a roller
    pushes; stresses; open_share: part of the interface's area that is open;
    residual: force that is not in balance over the load; stiffness: pocket face -> (count,) N/m
    behind it (`local_compliances`); in_runs: the same as the motion takes it; assumptions;
    closures, one by one where some are weak; beside_bars: rivets stand in place of bars.
    """

    case_name: str
    closure: str
    count: int
    mass: float
    centre: np.ndarray
    inertia: np.ndarray
    nodes: np.ndarray
    lines: np.ndarray
    parts: tuple[str, ...]
    numbers: np.ndarray
    load: CageLoad
    displacement: np.ndarray
    frequencies: np.ndarray
    shapes: np.ndarray
    motions: tuple[PartMotion, ...]
    lift: float
    stresses: tuple[PlaceStress, ...]
    open_share: float
    residual: float
    stiffness: dict[str, np.ndarray]
    in_runs: dict[str, np.ndarray]
    assumptions: tuple[str, ...]
    closures: tuple[ClosureLoad, ...] = ()
    beside_bars: bool = False


def count_from_base(nodes: np.ndarray, displacement: np.ndarray, base: np.ndarray) -> np.ndarray:
    """Take out of a motion the rigid part that fits the base ring best (least squares).

    Parameters
    ----------
    nodes : ndarray, (n, 3), m
        Places.
    displacement : ndarray, (n, 6), m and rad
        Motions.
    base : ndarray of int
        Nodes of the base ring.

    Returns
    -------
    ndarray, (n, 6)
        What is left.

    Examples
    --------
    >>> nodes = np.array([[1.0, 0, 0], [0, 1.0, 0], [-1.0, 0, 0], [0, 0, 1.0]])
    >>> turned = np.hstack([np.cross([1e-3, 2e-3, 3e-3], nodes) + 0.1, np.tile([1e-3, 2e-3, 3e-3],
    ...     (4, 1))])
    >>> bool(np.abs(count_from_base(nodes, turned, np.arange(3))).max() < 1e-15)
    True
    """
    rigid = np.zeros((len(nodes), 6, 6))
    rigid[:, np.arange(6), np.arange(6)] = 1.0
    x, y, z = nodes.T
    rigid[:, 0, 4], rigid[:, 0, 5] = z, -y
    rigid[:, 1, 3], rigid[:, 1, 5] = -z, x
    rigid[:, 2, 3], rigid[:, 2, 4] = y, -x
    ends = rigid[base, :3].reshape(-1, 6)
    motion = np.linalg.lstsq(ends, displacement[base, :3].ravel(), rcond=None)[0]
    return displacement - rigid @ motion


def part_motions(
    nodes: np.ndarray, displacement: np.ndarray, members: dict[str, np.ndarray], count: int
) -> tuple[PartMotion, ...]:
    """Largest motions of every part.

    Parameters
    ----------
    nodes : ndarray, (n, 3), m
        Places.
    displacement : ndarray, (n, 6), m and rad
        Motions.
    members : dict
        Part -> numbers of its nodes.
    count : int
        Number of rollers.

    Returns
    -------
    tuple of PartMotion
    """
    radial, tangential = polar(nodes, displacement[:, :3])
    axial = np.abs(displacement[:, 2])
    size = np.linalg.norm(displacement[:, :3], axis=1)
    pitch = np.round(np.arctan2(nodes[:, 1], nodes[:, 0]) / (2.0 * np.pi / count)).astype(int)
    found = []
    for part, own in members.items():
        worst = own[np.argmax(size[own])]
        found.append(
            PartMotion(
                part,
                float(size[worst]),
                float(axial[own].max()),
                float(np.abs(tangential[own]).max()),
                float(np.abs(radial[own]).max()),
                int(pitch[worst] % count),
            )
        )
    return tuple(found)


def polar(nodes: np.ndarray, vectors: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Radial and tangential components of vectors at places.

    Parameters
    ----------
    nodes : ndarray, (n, 3), m
        Places, off the z axis.
    vectors : ndarray, (n, 3)
        Vectors.

    Returns
    -------
    tuple of ndarray, (n,)
        Outward, and in the sense of positive rotation about z.
    """
    distance = np.hypot(nodes[:, 0], nodes[:, 1])
    c, s = nodes[:, 0] / distance, nodes[:, 1] / distance
    return c * vectors[:, 0] + s * vectors[:, 1], c * vectors[:, 1] - s * vectors[:, 0]
