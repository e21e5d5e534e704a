"""Hexahedra of the solid sector model: patch test, bending, stress at notches."""

import numpy as np
import pytest

from rollsim.errors import RollsimError
from rollsim.structure.sector_solid import build_solid, finite_elements

pytest.importorskip("skfem")
MODULUS, POISSON = 200e9, 0.3


def grid_solid(points, poisson=POISSON):
    """Solid of a grid of nodes (odd numbers in each direction) and the numbers of its nodes."""
    number = np.arange(points[..., 0].size).reshape(points.shape[:3])
    size = [(n - 1) // 2 for n in points.shape[:3]]
    bricks = np.array(
        [
            number[2 * i : 2 * i + 3, 2 * j : 2 * j + 3, 2 * k : 2 * k + 3]
            for i in range(size[0])
            for j in range(size[1])
            for k in range(size[2])
        ]
    )
    fill = np.ones(len(bricks))
    return build_solid(points.reshape(-1, 3), bricks, MODULUS * fill, poisson * fill), number


def straight_grid(*sides):
    """Grid of bricks between given places."""
    return np.stack(np.meshgrid(*sides, indexing="ij"), axis=-1)


def solved(solid, held, load):
    """Motion with some motions held at zero."""
    from scipy.sparse.linalg import spsolve

    free = np.setdiff1d(np.arange(len(load)), held)
    motion = np.zeros(len(load))
    matrix = solid.stiffness().tocsc()
    motion[free] = spsolve(matrix[free][:, free], load[free])
    return motion


def test_patch_of_skewed_hexahedra_holds_a_uniform_strain():
    ends = np.linspace(0.0, 1.0, 3)
    corner = straight_grid(ends, ends, ends)
    corner[1, 1, 1] += [0.08, -0.06, 0.05]
    corner[1, 0, 1] += [0.07, 0.0, -0.05]
    for axis in range(3):
        low = np.moveaxis(corner, axis, 0)
        middles = 0.5 * (low[1:] + low[:-1])
        fine = np.empty((2 * len(low) - 1, *low.shape[1:]))
        fine[::2], fine[1::2] = low, middles
        corner = np.moveaxis(fine, 0, axis)
    solid, number = grid_solid(corner)
    slope = 1e-3 * np.array([[1.0, 0.4, -0.2], [0.3, -0.5, 0.6], [0.1, 0.2, 0.8]])
    motion = (solid.points @ slope.T).ravel()
    chosen = np.ones(len(solid.nodes), dtype=bool)
    inner = number[1:-1, 1:-1, 1:-1].ravel()
    forces = solid.forces(motion, chosen)
    assert np.max(np.abs(forces[inner])) < 1e-10 * np.max(np.abs(forces))
    strain = 0.5 * (slope + slope.T)
    first, second = 200e9 * 0.3 / (1.3 * 0.4), 200e9 / 2.6
    expected = first * np.trace(strain) * np.eye(3) + 2.0 * second * strain
    _, stress = solid.stress(motion, chosen)
    assert np.allclose(stress, expected, rtol=1e-9, atol=1e-6 * np.max(expected))


def test_cantilever_of_four_hexahedra_bends_as_a_beam():
    # One element over the depth. Pure bending M L^2/(2 E I) is exact for Poisson's ratio 0; an end
    # force gives F L^3/(3 E I) + 6 F L/(5 G A) (Timoshenko) to 1 %.
    length, depth, width = 100e-3, 8e-3, 5e-3
    grid = straight_grid(
        np.linspace(0, length, 9), np.linspace(-depth / 2, depth / 2, 3), np.linspace(0, width, 3)
    )
    solid, number = grid_solid(grid, poisson=0.0)
    simpson = np.array([1.0, 4.0, 1.0]) / 6.0
    held = 3 * number[0].ravel()
    held = np.concatenate([held, 3 * number[0, 1].ravel() + 1, [3 * number[0, 1, 1] + 2]])
    end, line = number[-1], np.array([-1.0, 0.0, 1.0])
    second = width * depth**3 / 12.0
    load = np.zeros(3 * len(solid.points))
    # Linear stress 6 M y'/(w h^2) on the end: forces by Simpson's rule, exact here.
    load[3 * end] = np.outer(simpson * line, simpson) * 6.0 / depth
    motion = solved(solid, held, load).reshape(-1, 3)
    tip = motion[end[1, 1], 1]
    assert tip == pytest.approx(-(length**2) / (2.0 * MODULUS * second), rel=1e-8)
    load[:] = 0.0
    load[3 * end + 1] = np.outer(simpson, simpson)
    tip = solved(solid, held, load).reshape(-1, 3)[end[1, 1], 1]
    beam = length**3 / (3 * MODULUS * second) + 1.2 * length / (0.5 * MODULUS * width * depth)
    assert tip == pytest.approx(beam, rel=1e-2)


def plate_with_hole(ratio, per_side=4, thick=0.02):
    """Kt on the net section of a pulled plate with a hole, quarter model, thin."""
    half, hole, length = 1.0, ratio, 4.0
    angle = np.linspace(0.0, 0.5 * np.pi, 4 * per_side + 1)
    share = np.linspace(0.0, 1.0, 2 * per_side + 1) ** 2
    share[1::2] = 0.5 * (share[:-1:2] + share[2::2])
    inner = hole * np.column_stack([np.cos(angle), np.sin(angle)])
    # x from the hole along the pull, y across it; the outer side follows a rectangle.
    turn = np.linspace(0.0, 1.0, 2 * per_side + 1)
    right = np.column_stack([np.full(len(turn), half), half * turn])
    top = np.column_stack([half * (1.0 - turn[1:]), np.full(len(turn) - 1, half)])
    outer = np.concatenate([right, top])
    ring = inner[:, None] + share[:, None] * (outer - inner)[:, None]
    tail = right[:, None] + np.linspace(0.0, 1.0, 5)[:, None] * np.array([length - half, 0.0])
    grids, start = [ring, tail[:, :]], 0
    raw = np.concatenate([grid.reshape(-1, 2) for grid in grids])
    _, first, label = np.unique(np.round(raw, 9), axis=0, return_index=True, return_inverse=True)
    plane, label = raw[first], label.ravel()
    bricks, heights, count = [], np.array([0.0, 0.5, 1.0]) * thick, len(first)
    for grid in grids:
        number = label[start : start + grid.shape[0] * grid.shape[1]].reshape(grid.shape[:2])
        start += number.size
        for i in range(0, number.shape[0] - 1, 2):
            for j in range(0, number.shape[1] - 1, 2):
                quad = number[i : i + 3, j : j + 3]
                bricks.append(np.stack([quad + k * count for k in range(3)], axis=-1))
    points = np.concatenate([np.column_stack([plane, np.full(count, z)]) for z in heights])
    bricks = np.array(bricks)
    fill = np.ones(len(bricks))
    solid = build_solid(points, bricks, MODULUS * fill, POISSON * fill)
    x, y, z = points.T
    held = [3 * np.flatnonzero(x < 1e-9), 3 * np.flatnonzero(y < 1e-9) + 1]
    held.append(3 * np.flatnonzero(z < 1e-9) + 2)
    # Far end moved as a whole: far from the hole the stress is even.
    pulled = 3 * np.flatnonzero(x > length - 1e-9)
    motion = np.zeros(points.size)
    motion[pulled] = 1e-3
    held = np.unique(np.concatenate([*held, pulled]))
    motion += solved(solid, held, -(solid.stiffness() @ motion))
    chosen = np.ones(len(bricks), dtype=bool)
    forces = solid.forces(motion, chosen)
    nominal = np.sum(forces[pulled // 3, 0]) / ((half - hole) * thick)
    _, stress = solid.stress(motion, chosen)
    return float(np.max(np.linalg.eigvalsh(stress)[:, -1]) / nominal)


def test_notch_factor_of_a_plate_with_hole():
    # Hole of 0.3 of the width: 2.3468 (Howland's fit, Peterson chart 4.1), 2.343 (Heywood), on the
    # net section.
    assert plate_with_hole(0.3) == pytest.approx(2.3468, rel=0.02)
    assert plate_with_hole(0.3, per_side=6) == pytest.approx(2.3468, rel=0.01)


def test_an_inside_out_mesh_is_refused():
    grid = straight_grid(*[np.linspace(0.0, 1.0, 3)] * 3)
    grid[1, :, :, 0] = 1.4
    with pytest.raises(RollsimError, match="folds over"):
        grid_solid(grid)


def test_missing_library_is_said_in_plain_words(monkeypatch):
    import sys

    monkeypatch.setitem(sys.modules, "skfem", None)
    with pytest.raises(RollsimError, match=r"rollsim\[detail\]"):
        finite_elements()
