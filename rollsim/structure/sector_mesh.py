"""Hexahedra of a cage sector: the plane mesh drawn out along the axis, bodies kept apart.

Three bodies: closure (shank and head; of a tenon the core of its bar too), base with bar, cover.
Nodes on a closure's outline belong to two bodies as one node where the closure is bonded and as two
where it is not. z = 0 is the far face of the base ring.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from rollsim.errors import RollsimError
from rollsim.structure.design import CageDesign
from rollsim.structure.sector_plane import COLLAR, CORE, POCKET, Plane, half_plane

CLOSURE, BASE, COVER = 0, 1, 2
#: Height of the head of a closure over its radial width; common practice, no source.
HEAD_HEIGHT = 0.5
_LEAST_REST = 0.2


@dataclass(frozen=True)
class Levels:
    """Nodes along the axis.

    Fields: z (levels,) m; offset (levels,) growth of the closure's outline by its fillet, m;
    relief (levels,) that of the hole in the cover, m; base, interface, plain_start, plain_end,
    cover, top: numbers of the levels where base ring and bar end, where the straight hole in the
    cover starts and ends, where the cover ends, and the last one.
    """

    z: np.ndarray
    offset: np.ndarray
    relief: np.ndarray
    drop: np.ndarray
    base: int
    interface: int
    plain_start: int
    plain_end: int
    cover: int
    top: int


@dataclass(frozen=True)
class SectorMesh:
    """Mesh of a sector.

    Fields: design; plane; levels; whole (True for a whole sector); points (n, 3) m; bricks
    (elements, 3, 3, 3); body and low (elements,): body code and lowest level; node_level,
    node_plane, node_body, node_mirrored (n,); pairs (m, 2) nodes that may touch (outer, inner) and
    pair_normals (m, 3), from inner to outer; interface_pairs: how many of the first pairs lie
    between cover and bar.
    """

    design: CageDesign
    plane: Plane
    levels: Levels
    whole: bool
    points: np.ndarray
    bricks: np.ndarray
    body: np.ndarray
    low: np.ndarray
    node_level: np.ndarray
    node_plane: np.ndarray
    node_body: np.ndarray
    node_mirrored: np.ndarray
    pairs: np.ndarray
    pair_normals: np.ndarray
    interface_pairs: int


def sector_levels(design: CageDesign, refine: float) -> Levels:
    """Levels of nodes along the axis.

    Parameters
    ----------
    design : CageDesign
        The cage.
    refine : float
        Elements in every direction against the coarse mesh.

    Returns
    -------
    Levels

    Raises
    ------
    RollsimError
        The fillet takes up the thickness of the cover.
    """
    fillet = 0.0 if design.kind == "one_piece" else design.fillet
    if fillet > (1.0 - _LEAST_REST) * design.cover_thickness:
        raise RollsimError(
            f"The fillet of {fillet * 1e3:g} mm is too large for a cover"
            f" {design.cover_thickness * 1e3:g} mm thick: no straight closure is left."
        )
    base = np.linspace(0.0, design.base_thickness, _number(1, refine) + 1)
    number = _number(2, refine)
    half = 0.5 * design.bar_length * np.linspace(0.0, 1.0, number + 1) ** 1.7
    bar = design.base_thickness + np.concatenate([half, design.bar_length - half[-2::-1]])
    start, end = bar[-1], bar[-1] + design.cover_thickness
    plain = np.linspace(fillet, design.cover_thickness, 2 * _number(1, refine) + 1)
    up, out, arc = _fillet(fillet, _number(4, refine))
    rivet = design.kind == "steel_rivet"
    head = [] if design.kind == "one_piece" else np.linspace(0.0, 1.0, _number(1, refine) + 1)
    head = end + HEAD_HEIGHT * design.closure.width_r * np.asarray(head)
    below = _with_middles(np.concatenate([base, bar[1:]]))
    straight = _with_middles(end - plain[::-1] if rivet else start + plain)
    bent = len(up) - 1
    if bent == 0:
        parts = [below, straight[1:]]
    elif rivet:
        parts = [below, straight[1:], (end - up[::-1])[1:]]
    else:
        parts = [below, (start + up)[1:], straight[1:]]
    solid = np.concatenate(parts)
    z = np.concatenate([solid, _with_middles(head)[1:] if len(head) else []])
    interface, last = len(below) - 1, len(solid) - 1
    ends = (interface, last - bent) if rivet else (interface + bent, last)
    offset, relief, drop = np.zeros((3, len(z)))
    curve = slice(ends[1], last + 1) if rivet else slice(interface, ends[0] + 1)
    turn = slice(None, None, -1) if rivet else slice(None)
    if bent:
        offset[curve], relief[curve], drop[curve] = out[turn], (fillet - up)[turn], arc[turn]
        offset[last + 1 :] = fillet if rivet else 0.0
        offset[:interface] = 0.0 if rivet else fillet
        drop *= -1.0 if rivet else 1.0
    places = (2 * (len(base) - 1), interface, *ends, last, len(z) - 1)
    return Levels(z, offset, relief, drop, *places)


def _fillet(radius: float, number: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Levels along a fillet from its face: height, how far out it lies, and lift of its middles."""
    if radius == 0.0:
        return np.zeros(1), np.zeros(1), np.zeros(1)
    angle = np.linspace(0.0, 0.5 * math.pi, 2 * number + 1)
    exact = radius * (1.0 - np.cos(angle))
    level = _with_middles(exact[::2])
    return level, radius * (1.0 - np.sin(angle)), exact - level


def sector_mesh(design: CageDesign, refine: float, whole: bool) -> SectorMesh:
    """Mesh of half a sector, or of a whole one.

    Parameters
    ----------
    design : CageDesign
        The cage.
    refine : float
        Elements in every direction against the coarse mesh.
    whole : bool
        True for both halves.

    Returns
    -------
    SectorMesh

    Raises
    ------
    RollsimError
        Some bars have no closure, or the fillet is too large.
    """
    if design.bosses is not None:
        raise RollsimError(
            "The solid model of one sector needs closures on the bars, not beside them. Use the"
            " beam model."
        )
    if design.kind != "one_piece" and design.closure_every != 1:
        raise RollsimError(
            "The solid model of one sector needs a closure on every bar; this cage has one on every"
            f" {design.closure_every}. Use the beam model."
        )
    plane, levels = half_plane(design, refine), sector_levels(design, refine)
    keys, body, low = _elements(plane, levels, design)
    own, place = np.unique(keys, return_inverse=True)
    bricks = place.reshape(-1, 3, 3, 3)
    count, layers = len(plane.first), len(levels.z)
    node_body, rest = np.divmod(own, count * layers)
    node_level, node_plane = np.divmod(rest, count)
    points = _points(plane, levels, node_body, node_level, node_plane)
    pairs, normals, first = _pairs(plane, levels, design, own)
    mirrored = np.zeros(len(own), dtype=bool)
    nodes = (node_level, node_plane, node_body)
    if whole:
        twin = np.arange(len(own))
        off = points[:, 1] > 1e-9
        twin[off] = len(own) + np.arange(np.count_nonzero(off))
        points = np.concatenate([points, points[off] * [1.0, -1.0, 1.0]])
        mirrored = np.concatenate([mirrored, np.ones(np.count_nonzero(off), dtype=bool)])
        nodes = tuple(np.concatenate([part, part[off]]) for part in nodes)
        bricks = np.concatenate([bricks, twin[bricks]])
        body, low = np.tile(body, 2), np.tile(low, 2)
        pairs, normals, first = _both(pairs, normals, first, twin)
    return SectorMesh(
        design,
        plane,
        levels,
        whole,
        points,
        bricks,
        body,
        low,
        *nodes,
        mirrored,
        pairs,
        normals,
        first,
    )


def _number(count: int, refine: float) -> int:
    """Elements along a side."""
    return max(1, round(count * refine))


def _with_middles(ends: np.ndarray) -> np.ndarray:
    """Levels and the middles between them."""
    out = np.empty(2 * len(ends) - 1)
    out[::2], out[1::2] = ends, 0.5 * (ends[1:] + ends[:-1])
    return out


def _elements(plane: Plane, levels: Levels, design: CageDesign):
    """Node keys, body and lowest level of every element."""
    keys, bodies, lows = [], [], []
    for low in range(0, levels.top, 2):
        for part in range(4):
            body = _body(part, low, levels, design.one_piece)
            if body is None:
                continue
            quads = plane.quads[plane.parts == part]
            stack = np.stack([quads] * 3, axis=-1)
            level = np.broadcast_to(low + np.arange(3), stack.shape)
            keys.append(_key(plane, levels, design, np.full(stack.shape, body), level, stack))
            bodies.append(np.full(len(quads), body))
            lows.append(np.full(len(quads), low))
    return np.concatenate(keys), np.concatenate(bodies), np.concatenate(lows)


def _body(part: int, low: int, levels: Levels, one_piece: bool) -> int | None:
    """Body of a part of the plane in a layer; None where there is no metal."""
    if low >= levels.cover:
        return CLOSURE if part in (CORE, COLLAR) else None
    if part == POCKET and levels.base <= low < levels.interface:
        return None
    if part == CORE or one_piece:
        return CLOSURE
    return BASE if low < levels.interface else COVER


def _key(plane, levels, design, body, level, place):
    """Number of a node: body, level and place in the plane; bonded places are the closure's."""
    on_wall = np.zeros(len(plane.first), dtype=bool)
    on_wall[plane.wall] = True
    bonded = _bonded(levels, design, body, level) & on_wall[place]
    # The head of the closure sits on the cover.
    seat = (level == levels.cover) & (body == CLOSURE) & ~_in_core(plane)[place]
    body = np.where(bonded, CLOSURE, np.where(seat & (not design.one_piece), COVER, body))
    return (body * len(levels.z) + level) * len(plane.first) + place


def _in_core(plane: Plane) -> np.ndarray:
    """Places inside the closure or on its outline."""
    inside = np.zeros(len(plane.first), dtype=bool)
    inside[plane.quads[plane.parts == CORE]] = True
    return inside


def _bonded(levels: Levels, design: CageDesign, body, level):
    """Tell where a body's hole is bonded to the closure."""
    if design.kind == "integral_tenon":
        filled = (levels.plain_start + levels.plain_end) // 2
        bar, cover = level >= 0, level >= filled
    elif design.shank_free:
        bar, cover = level == 0, level < 0
    else:
        bar, cover = level >= 0, (level > levels.interface) & (level <= levels.plain_end)
    return np.where(
        body == BASE, bar, np.where(body == COVER, cover | (level == levels.cover), False)
    )


def _points(plane, levels, body, level, place) -> np.ndarray:
    """Places of the nodes."""
    out = np.empty((len(body), 3))
    out[:, 2] = levels.z[level]
    for k in range(len(levels.z)):
        for code in (CLOSURE, BASE, COVER):
            chosen = (level == k) & (body == code)
            if np.any(chosen):
                grown = levels.relief[k] if code == COVER else levels.offset[k]
                out[chosen, :2] = plane.points(grown)[place[chosen]]
    out[:, 2] += np.where(body == CLOSURE, levels.drop[level] * plane.nearness[place], 0.0)
    return out


def _pairs(plane, levels, design, own):
    """Pairs of nodes that may touch: cover on bar, then holes on the closure."""
    if design.one_piece:
        return np.zeros((0, 2), dtype=int), np.zeros((0, 3)), 0
    places = np.unique(plane.quads[(plane.parts != CORE) & (plane.parts != POCKET)])
    level = np.full(len(places), levels.interface)
    groups = [(COVER, BASE, level, places, np.tile([0.0, 0.0, 1.0], (len(places), 1)))]
    straight = np.linalg.norm(plane.normals, axis=1) > 0.5
    wall = plane.wall[straight]
    flat = np.column_stack([plane.normals[straight], np.zeros(len(wall))])
    for k in range(1, levels.plain_end + 1):
        # A free shank has play in its bar and leans on the edge of the hole only.
        if k == levels.interface and design.shank_free:
            groups.append((BASE, CLOSURE, np.full(len(wall), k), wall, flat))
        if k >= levels.plain_start:
            groups.append((COVER, CLOSURE, np.full(len(wall), k), wall, flat))
    pairs, normals = [], []
    for outer, inner, level, place, normal in groups:
        ends = [
            _key(plane, levels, design, np.full(len(place), body), level, place)
            for body in (outer, inner)
        ]
        apart = ends[0] != ends[1]
        pairs.append(np.searchsorted(own, np.column_stack(ends)[apart]))
        normals.append(normal[apart])
    return np.concatenate(pairs), np.concatenate(normals), len(pairs[0])


def _both(pairs, normals, first, twin):
    """Pairs of both halves, those between cover and bar first."""
    new = twin[pairs]
    fresh = np.any(new != pairs, axis=1)
    turned = normals * [1.0, -1.0, 1.0]
    order = [(pairs, normals, slice(0, first)), (pairs, normals, slice(first, None))]
    kept = [(new[part][fresh[part]], turned[part][fresh[part]]) for _, _, part in order]
    all_pairs = np.concatenate([pairs[:first], kept[0][0], pairs[first:], kept[1][0]])
    all_normals = np.concatenate([normals[:first], kept[0][1], normals[first:], kept[1][1]])
    return all_pairs, all_normals, first + len(kept[0][0])
