"""Shape of rollers and cage as points and cells, and where the points are at an instant."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from rollsim.report.document.shapes import pocket_edges
from rollsim.units import MM, UM

#: Codes of the cell data `part`.
PARTS = ("roller", "bar", "base ring", "cover")
ROLLER, BAR, BASE, COVER = range(4)
#: Cell types of VTK.
TRIANGLE, QUAD, HEXAHEDRON = 5, 9, 12
_SIDES, _A_POCKET = 24, 6


class Mesh(NamedTuple):
    """Points at rest, m, and cells; kind (of VTK), part and number (from 1) of every cell."""

    points: np.ndarray
    cells: list[np.ndarray]
    kinds: np.ndarray
    parts: np.ndarray
    numbers: np.ndarray


class Mechanism:
    """Rollers and cage of a history.

    Bars and rings are plain: closures, bosses and slanted or round pocket sides beyond the width
    of a bar at its inner and outer radius are not drawn.

    Parameters
    ----------
    history : History
        Open for reading.
    """

    def __init__(self, history: Any):
        case = history.case
        self.count = history.roller_count
        self.half = 0.5 * (MM * case.roller.length_mm + UM * case.clearance.pocket_axial_um)
        self._roller = _cylinder(0.5 * MM * case.roller.diameter_mm, MM * case.roller.length_mm)
        bars = _bars(history, case, self.half)
        rings = [
            _ring(case, self.count, self.half, -MM * case.cage.base_ring_thickness_mm, BASE),
            _ring(case, self.count, self.half, MM * case.cage.cover_thickness_mm, COVER),
        ]
        rollers = [
            self._roller._replace(numbers=self._roller.numbers + k) for k in range(self.count)
        ]
        self.mesh = _joined([*rollers, bars, *rings])
        self._of_cage = _joined([bars, *rings]).points

    def points(self, now: dict[str, np.ndarray]) -> np.ndarray:
        """Where all points of the mesh are.

        Parameters
        ----------
        now : dict of ndarray
            roller_position, roller_azimuth, roller_skew, roller_tilt, cage_position, cage_angle,
            cage_tilt at one instant.

        Returns
        -------
        ndarray (points, 3), m
        """
        angle, skew, tilt = (now[f"roller_{name}"] for name in ("azimuth", "skew", "tilt"))
        # Skew and tilt are the axis along the orbit and along the radius.
        leaning = np.stack(
            [
                tilt * np.cos(angle) - skew * np.sin(angle),
                tilt * np.sin(angle) + skew * np.cos(angle),
            ],
            axis=1,
        )
        own = self._roller.points
        rollers = [
            _leaned(own, axis) + place
            for axis, place in zip(leaning, now["roller_position"], strict=True)
        ]
        turned = _turned(self._of_cage, float(now["cage_angle"]))
        return np.concatenate([*rollers, _leaned(turned, now["cage_tilt"]) + now["cage_position"]])


def _leaned(points: np.ndarray, axis: np.ndarray) -> np.ndarray:
    """Points of a body whose axis became (ux, uy, 1), both small."""
    moved = points.copy()
    moved[:, :2] += points[:, 2:] * axis
    moved[:, 2] -= points[:, :2] @ axis
    return moved


def _turned(points: np.ndarray, angle: float) -> np.ndarray:
    """Points turned about z."""
    c, s = np.cos(angle), np.sin(angle)
    return points @ np.array([[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]])


def _joined(parts: list[Mesh]) -> Mesh:
    """Several meshes as one."""
    cells, first = [], 0
    for part in parts:
        cells += [cell + first for cell in part.cells]
        first += len(part.points)
    return Mesh(
        np.concatenate([part.points for part in parts]),
        cells,
        *(np.concatenate([getattr(part, name) for part in parts]) for name in Mesh._fields[2:]),
    )


def _cylinder(radius: float, length: float) -> Mesh:
    """A roller with its ends, number 1."""
    angle = 2.0 * np.pi * np.arange(_SIDES) / _SIDES
    circle = np.stack([radius * np.cos(angle), radius * np.sin(angle), 0.0 * angle], axis=1)
    up = np.array([0.0, 0.0, 0.5 * length])
    points = np.concatenate([circle - up, circle + up, [-up], [up]])
    k = np.arange(_SIDES)
    after = (k + 1) % _SIDES
    low, high = 2 * _SIDES, 2 * _SIDES + 1
    cells = [
        *np.stack([k, after, after + _SIDES, k + _SIDES], axis=1),
        *np.stack([after, k, 0 * k + low], axis=1),
        *np.stack([k + _SIDES, after + _SIDES, 0 * k + high], axis=1),
    ]
    kinds = np.repeat([QUAD, TRIANGLE, TRIANGLE], _SIDES)
    return Mesh(points, cells, kinds, 0 * kinds + ROLLER, 0 * kinds + 1)


def _bars(history: Any, case: Any, half: float) -> Mesh:
    """Bars between the pockets: bar j follows pocket j."""
    count = history.roller_count
    radii = 0.5 * np.array([case.cage.inner_diameter_mm, case.cage.outer_diameter_mm])
    cut = np.nan_to_num(pocket_edges(case, radii))
    shift = np.broadcast_to(history.attributes.get("pocket_shift_m", 0.0), count)
    pitch = 0.5 * MM * case.bearing.pitch_diameter_mm
    pocket = 2.0 * np.pi * np.arange(count) / count + shift / pitch
    ahead = np.append(pocket[1:], pocket[0] + 2.0 * np.pi)
    begin, end = pocket[:, None] + cut, ahead[:, None] - cut
    corners = [
        _polar(MM * radii[place], angle[:, place], z)
        for z in (-half, half)
        for place, angle in ((0, begin), (1, begin), (1, end), (0, end))
    ]
    points = np.stack(corners, axis=1).reshape(-1, 3)
    cells = list(np.arange(8 * count).reshape(count, 8))
    numbers = np.arange(1, count + 1)
    return Mesh(points, cells, 0 * numbers + HEXAHEDRON, 0 * numbers + BAR, numbers)


def _ring(case: Any, count: int, half: float, thickness: float, part: int) -> Mesh:
    """A ring beside the bars; number 1."""
    around = _A_POCKET * count
    angle = 2.0 * np.pi * np.arange(around) / around
    start = np.sign(thickness) * half
    radii = 0.5 * MM * np.array([case.cage.inner_diameter_mm, case.cage.outer_diameter_mm])
    low, high = sorted((start, start + thickness))
    points = np.concatenate([_polar(r, angle, z) for z in (low, high) for r in radii])
    k = np.arange(around)
    after = (k + 1) % around
    face = [k, k + around, after + around, after]
    cells = list(np.stack([*face, *(corner + 2 * around for corner in face)], axis=1))
    return Mesh(points, cells, 0 * k + HEXAHEDRON, 0 * k + part, 0 * k + 1)


def _polar(radius: Any, angle: np.ndarray, z: float) -> np.ndarray:
    """Points on a circle."""
    return np.stack([radius * np.cos(angle), radius * np.sin(angle), 0.0 * angle + z], axis=1)
