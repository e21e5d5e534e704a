"""Mesh of half a cage sector at right angles to the axis: from a bar's middle to a pocket's.

x runs outward along the middle of the bar, y in the sense of positive rotation. The outline of the
closure (a half circle or half rectangle, three sides) is a mesh line; around it lies the bar,
bounded by the roller-cut flank; beside the bar lies the pocket, which cover and base ring fill.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from rollsim.structure.design import CageDesign

#: Parts of the plane.
CORE, COLLAR, BAR, POCKET = 0, 1, 2, 3
_SAME = 1e-9
_CORE_SHARE = 0.5


@dataclass(frozen=True)
class Plane:
    """Quadrilaterals of nine nodes.

    Fields: design; counts (elements along the sides of the closure, top of it, inside it, round it,
    inner end of the bar, outer end, across the pocket, along a fillet); quads (n, 3, 3) of node
    numbers; parts (n,) of part codes; wall: nodes on the closure's outline; normals
    (wall, 2), outward, 0 at corners;
    first: place in the raw list of every node; area m2 that belongs to every node; nearness: 1 on
    the outline, 1/2 in the middle of the elements inside it, else 0.
    """

    design: CageDesign
    counts: tuple[int, ...]
    quads: np.ndarray
    parts: np.ndarray
    wall: np.ndarray
    normals: np.ndarray
    first: np.ndarray
    area: np.ndarray
    nearness: np.ndarray

    def points(self, offset: float) -> np.ndarray:
        """Nodes when the outline of the closure lies further out by `offset`.

        Parameters
        ----------
        offset : float, m
            Growth of the outline.

        Returns
        -------
        ndarray, (n, 2)
            x and y in m.
        """
        blocks = _blocks(self.design, self.counts, offset)
        return np.concatenate([grid.reshape(-1, 2) for _, grid in blocks])[self.first]


def half_plane(design: CageDesign, refine: float) -> Plane:
    """Mesh of half a sector.

    Parameters
    ----------
    design : CageDesign
        The cage.
    refine : float
        Elements in every direction against the coarse mesh.

    Returns
    -------
    Plane
    """
    counts = tuple(max(1, round(k * refine)) for k in (2, 3, 4, 2, 2, 1, 3, 4))
    if not _is_round(design):
        counts = (max(1, round(refine)), max(3, round(4 * refine)), *counts[2:])
    blocks = _blocks(design, counts, 0.0)
    raw = np.concatenate([grid.reshape(-1, 2) for _, grid in blocks])
    pairs = cKDTree(raw).query_pairs(_SAME, output_type="ndarray")
    graph = coo_matrix((np.ones(len(pairs)), pairs.T), shape=(len(raw), len(raw)))
    number, label = connected_components(graph, directed=False)
    first = np.full(number, len(raw))
    np.minimum.at(first, label, np.arange(len(raw)))
    quads, parts, start = [], [], 0
    for part, grid in blocks:
        size = grid.shape[0] * grid.shape[1]
        own = _nine(label[start : start + size].reshape(grid.shape[:2]))
        quads.append(own)
        parts.append(np.full(len(own), part))
        start += size
    quads, parts = np.concatenate(quads), np.concatenate(parts)
    points = raw[first]
    outline = np.concatenate(_outline(design, counts, 0.0))
    wall = np.unique(cKDTree(points).query(outline)[1])
    normals = _normals(design, points[wall])
    nearness = np.zeros(number)
    beside = quads[(parts == CORE) & np.isin(quads[:, 1, 0], wall)]
    nearness[beside[:, :, 1]] = 0.5
    nearness[wall] = 1.0
    area = _areas(points, quads)
    return Plane(design, counts, quads, parts, wall, normals, first, area, nearness)


def edge_angle(design: CageDesign, radius: np.ndarray) -> np.ndarray:
    """Angle from the middle of the bar to its flank: half width / radius = sin.

    Parameters
    ----------
    design : CageDesign
        The cage.
    radius : ndarray, m
        Distance from the bearing axis.

    Returns
    -------
    ndarray
        rad.
    """
    return np.arcsin(0.5 * design.shape.width(np.asarray(radius)) / np.asarray(radius))


def _is_round(design: CageDesign) -> bool:
    """Tell whether the outline is a circle; that of a one-piece cage is a mere mesh line."""
    return design.one_piece or design.closure.is_round


def _half_sides(design: CageDesign) -> tuple[float, float]:
    """Half extent of the closure along x and y; of a one-piece cage, of a line inside its bar."""
    if design.kind == "one_piece":
        half = 0.25 * float(design.shape.width(np.array(design.closure_radius)))
        return half, half
    return 0.5 * design.closure.width_r, 0.5 * design.closure.width_t


def _outline(design: CageDesign, counts: tuple[int, ...], offset: float) -> list[np.ndarray]:
    """Inner side, top and outer side of the closure's outline."""
    side, top = counts[0], counts[1]
    half_x, half_y = _half_sides(design)
    along, across = np.linspace(0.0, 1.0, 2 * side + 1), np.linspace(-1.0, 1.0, 2 * top + 1)
    middle = design.closure_radius
    if _is_round(design):
        radius, quarter = half_x + offset, 0.25 * math.pi
        angles = [math.pi - quarter * along, 2 * quarter - quarter * across, quarter * along]
        return [np.column_stack([middle + radius * np.cos(a), radius * np.sin(a)]) for a in angles]
    x, y = half_x + offset, half_y + offset
    ends = [
        _below_flank(design, middle - x, half_y, y),
        _below_flank(design, middle + x, half_y, y),
    ]
    beside = _side_count(top)
    xs = middle + np.linspace(-1.0, 1.0, 2 * (top - 2 * beside) + 1) * x
    tops = np.column_stack([xs, _below_flank(design, xs, half_y, y)])
    # The sides are cut at half their height: what is beside the corners then lies at an angle.
    rise = np.linspace(0.5, 1.0, 2 * beside + 1)
    left = np.column_stack([np.full(len(rise), middle - x), rise * ends[0]])
    right = np.column_stack([np.full(len(rise), middle + x), rise * ends[1]])
    return [
        np.column_stack([np.full(len(along), middle - x), 0.5 * along * ends[0]]),
        np.concatenate([left[:-1], tops, right[-2::-1]]),
        np.column_stack([np.full(len(along), middle + x), 0.5 * along * ends[1]]),
    ]


def _below_flank(design: CageDesign, x, base: float, wanted: float):
    """Height of a fillet's edge: where the bar ends before it, half of what is left is used."""
    flank = np.asarray(x) * np.tan(edge_angle(design, np.asarray(x)))
    return np.minimum(wanted, base + 0.5 * (flank - base))


def _blocks(design, counts, offset) -> list[tuple[int, np.ndarray]]:
    """Blocks of the mesh: part code and grid of points (odd numbers of points both ways)."""
    _, top, inside, around, inner, outer, across, _ = counts
    half_x, _ = _half_sides(design)
    low, high = design.shape.inner_radius, design.shape.outer_radius
    near = design.closure_radius - half_x
    far = design.closure_radius + half_x
    near, far = near - design.fillet, far + design.fillet
    near, far = near - 0.5 * (near - low), far + 0.5 * (high - far)
    rows = [
        np.linspace(low, near, 2 * inner + 1),
        _flank_rows(design, near, far, top),
        np.linspace(far, high, 2 * outer + 1),
    ]
    share = np.linspace(0.0, 1.0, 2 * counts[0] + 1)
    outline = _outline(design, counts, offset)
    frame = [
        _arc(near, share * edge_angle(design, near)),
        _arc(rows[1], edge_angle(design, rows[1])),
        _arc(far, share * edge_angle(design, far)),
    ]
    middle = np.array([design.closure_radius, 0.0])
    core = [middle + _CORE_SHARE * (side - middle) for side in outline]
    blocks = [(CORE, _coons(core))]
    layers = _graded(inside, _power(design, inside, counts[7]))
    blocks += [(CORE, _between(s, c, layers)) for s, c in zip(outline, core, strict=True)]
    split = max(1, around // 2) if around > 1 else 1
    for side, edge in zip(outline, frame, strict=True):
        grid = _between(side, edge, np.linspace(0.0, 1.0, 2 * around + 1))
        blocks.append((COLLAR, grid[:, : 2 * split + 1]))
        if around > split:
            blocks.append((BAR, grid[:, 2 * split :]))
    for row in (rows[0], rows[2]):
        blocks.append((BAR, _arc(row[:, None], share * edge_angle(design, row)[:, None])))
    to_middle = np.linspace(0.0, 1.0, 2 * across + 1)
    for row in rows:
        edge = edge_angle(design, row)[:, None]
        angle = edge + to_middle * (math.pi / design.count - edge)
        blocks.append((POCKET, _arc(row[:, None], angle)))
    return blocks


def _arc(radius, angle) -> np.ndarray:
    """Points at radii and angles from the middle of the bar."""
    return np.stack(np.broadcast_arrays(radius * np.cos(angle), radius * np.sin(angle)), axis=-1)


def _power(design: CageDesign, number: int, bends: int) -> float:
    """Power that grades the layers inside the outline.

    The first is as thick as 0.6 of an element along the fillet, thin enough for the peak of the
    stress and thick enough for the bend of the fillet's elements.
    """
    if number == 1 or design.fillet == 0.0:
        return 1.0
    thick = (1.0 - _CORE_SHARE) * min(_half_sides(design))
    first = 0.6 * design.fillet * 0.5 * math.pi / bends
    return float(np.clip(math.log(thick / first) / math.log(number), 1.0, 3.0))


def _graded(number: int, power: float) -> np.ndarray:
    """Shares from 0 to 1, fine at 0; middles halfway."""
    ends = np.linspace(0.0, 1.0, number + 1) ** power
    out = np.empty(2 * number + 1)
    out[::2], out[1::2] = ends, 0.5 * (ends[1:] + ends[:-1])
    return out


def _side_count(top: int) -> int:
    """Elements of the middle part of a tenon's outline that lie on its inner or outer side."""
    return max(1, top // 4)


def _flank_rows(design: CageDesign, near: float, far: float, top: int) -> np.ndarray:
    """Radii of the nodes on the flank beside the closure; a tenon's corners get their own."""
    if _is_round(design):
        return np.linspace(near, far, 2 * top + 1)
    half_x, half_y = _half_sides(design)
    reach, side = half_x + design.fillet, _side_count(top)
    low = math.hypot(design.closure_radius - reach, half_y)
    high = design.closure_radius + reach
    for _ in range(5):
        height = high * math.sin(edge_angle(design, high))
        high = math.hypot(design.closure_radius + reach, height)
    # A little further out, so that no angle at the corner comes to half a turn.
    high += 0.25 * (far - high)
    return np.concatenate(
        [
            np.linspace(near, low, 2 * side + 1)[:-1],
            np.linspace(low, high, 2 * (top - 2 * side) + 1),
            np.linspace(high, far, 2 * side + 1)[1:],
        ]
    )


def _between(start: np.ndarray, end: np.ndarray, share: np.ndarray) -> np.ndarray:
    """Grid of straight lines from one curve to another."""
    return start[:, None] + share[:, None] * (end - start)[:, None]


def _coons(sides: list[np.ndarray]) -> np.ndarray:
    """Grid between three sides and the line y = 0 (Coons patch)."""
    left, top, right = sides
    v = np.linspace(0.0, 1.0, len(left))[None, :, None]
    u = np.linspace(0.0, 1.0, len(top))[:, None, None]
    bottom = left[0] + u[:, 0] * (right[0] - left[0])
    grid = (1 - v) * bottom[:, None] + v * top[:, None] + (1 - u) * left + u * right
    grid -= (1 - u) * ((1 - v) * left[0] + v * left[-1]) + u * ((1 - v) * right[0] + v * right[-1])
    return grid


def _nine(grid: np.ndarray) -> np.ndarray:
    """Nine nodes of every quadrilateral of a grid of node numbers."""
    rows, columns = (grid.shape[0] - 1) // 2, (grid.shape[1] - 1) // 2
    out = np.empty((rows, columns, 3, 3), dtype=int)
    for a in range(3):
        for b in range(3):
            out[:, :, a, b] = grid[a : a + 2 * rows : 2, b : b + 2 * columns : 2]
    return out.reshape(-1, 3, 3)


def _normals(design: CageDesign, points: np.ndarray) -> np.ndarray:
    """Outward normals of the closure's outline; zero at the corners of a tenon."""
    half_x, half_y = _half_sides(design)
    x, y = points[:, 0] - design.closure_radius, points[:, 1]
    if _is_round(design):
        return np.column_stack([x, y]) / half_x
    on_x, on_y = np.abs(np.abs(x) - half_x) < _SAME, np.abs(y - half_y) < _SAME
    return np.column_stack([np.sign(x) * (on_x & ~on_y), 1.0 * (on_y & ~on_x)])


def _areas(points: np.ndarray, quads: np.ndarray) -> np.ndarray:
    """Area of every node: Simpson's weights of its quadrilaterals."""
    weight = np.array([1.0, 4.0, 1.0]) / 6.0
    corner = points[quads[:, ::2, ::2]]
    diagonal = corner[:, 1, 1] - corner[:, 0, 0], corner[:, 0, 1] - corner[:, 1, 0]
    size = 0.5 * np.abs(
        diagonal[0][:, 0] * diagonal[1][:, 1] - diagonal[0][:, 1] * diagonal[1][:, 0]
    )
    share = size[:, None, None] * np.outer(weight, weight)
    return np.bincount(quads.ravel(), share.ravel(), minlength=len(points))
