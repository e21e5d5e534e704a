"""A plane model of the stepped bar, as a second route to the notch factor of the fit."""

import numpy as np
import pytest

from rollsim.structure.notch import step_notch

skfem = pytest.importorskip("skfem")
WIDE, NARROW, FILLET, LONG = 30.0, 20.0, 2.0, 60.0
CENTRE = np.array([FILLET, 0.5 * NARROW + FILLET])


def block(bottom, top, rows):
    """Quadrilaterals between two lines of points, finer towards the upper one."""
    share = 1.0 - (1.0 - np.linspace(0.0, 1.0, rows + 1)) ** 2
    points = bottom[None] + share[:, None, None] * (top - bottom)[None]
    number = np.arange(points.shape[0] * points.shape[1]).reshape(points.shape[:2])
    corners = (number[:-1, :-1], number[:-1, 1:], number[1:, 1:], number[1:, :-1])
    return points.reshape(-1, 2), np.array([own.ravel() for own in corners])


def stepped_bar(fine):
    """Upper half of the bar: wide for x < 0, narrow beyond the fillet; edges of the arc curved."""
    along = LONG * np.linspace(0.0, 1.0, 2 * fine + 1) ** 2
    turn = np.linspace(np.pi, 1.5 * np.pi, fine + 1)
    arc = CENTRE + FILLET * np.stack([np.cos(turn), np.sin(turn)], axis=1)

    def line(start, end, shares):
        return np.array(start) + shares[:, None] * (np.array(end) - np.array(start))

    left, right, even = 1.0 - along[::-1] / LONG, along / LONG, np.linspace(0.0, 1.0, fine + 1)
    foot, shoulder, far = (-8.0, 0.0), (0.0, CENTRE[1]), -LONG
    parts = [
        block(line((far, 0.0), foot, left), line((far, CENTRE[1]), shoulder, left), 2 * fine),
        block(line(foot, (FILLET, 0.0), even), arc, 2 * fine),
        block(
            line((FILLET, 0.0), (LONG, 0.0), right),
            line((FILLET, 0.5 * NARROW), (LONG, 0.5 * NARROW), right),
            2 * fine,
        ),
        # Turned upside down, so that it is finest at the shoulder.
        block(
            line((0.0, 0.5 * WIDE), (far, 0.5 * WIDE), 1.0 - left[::-1]),
            line(shoulder, (far, CENTRE[1]), 1.0 - left[::-1]),
            fine,
        ),
    ]
    starts = np.cumsum([0, *(len(points) for points, _ in parts)])
    points = np.concatenate([points for points, _ in parts])
    quads = np.concatenate([own + k for (_, own), k in zip(parts, starts, strict=False)], axis=1)
    _, first, same = np.unique(np.round(points, 9), axis=0, return_index=True, return_inverse=True)
    mesh = skfem.MeshQuad2.from_mesh(skfem.MeshQuad(points[first].T, same.ravel()[quads]))
    places = mesh.doflocs.copy()
    away = places - CENTRE[:, None]
    size = np.hypot(*away)
    near = (size > 0.95 * FILLET) & (size < FILLET) & (away < 1e-9).all(axis=0)
    places[:, near] = CENTRE[:, None] + away[:, near] * FILLET / size[near]
    return skfem.MeshQuad2(places, mesh.t)


def peak_over_nominal(fine, poisson=0.3):
    """Largest tension at the fillet over the mean tension of the narrow part; plane stress."""
    from skfem.helpers import ddot, eye, sym_grad, trace

    def stress(strain):
        whole = eye(trace(strain), 2)
        return (strain + poisson / (1.0 - poisson) * whole) / (1.0 + poisson)

    mesh, element = stepped_bar(fine), skfem.ElementVector(skfem.ElementQuad2())
    basis = skfem.Basis(mesh, element, intorder=5)
    stiffness = skfem.BilinearForm(lambda u, v, w: ddot(stress(sym_grad(u)), sym_grad(v)))
    end = mesh.facets_satisfying(lambda x: np.isclose(x[0], LONG))
    pull = skfem.LinearForm(lambda v, w: v[0])
    force = pull.assemble(skfem.FacetBasis(mesh, element, facets=end, intorder=5))
    held = [
        basis.get_dofs(lambda x: np.isclose(x[1], 0.0)).all("u^2"),
        basis.get_dofs(lambda x: np.isclose(x[0], -LONG)).all("u^1"),
    ]
    system = skfem.condense(stiffness.assemble(basis), force, D=np.concatenate(held))
    moved = skfem.solve(*system)

    def on_arc(x):
        away = x - CENTRE[:, None]
        return (np.abs(np.hypot(*away) - FILLET) < 0.05) & (away < 1e-9).all(axis=0)

    arc = skfem.FacetBasis(mesh, element, facets=mesh.facets_satisfying(on_arc), intorder=5)
    found = stress(sym_grad(arc.interpolate(moved)))
    # The edge is free: the sum of both principal stresses is the one along it.
    return float((found[0, 0] + found[1, 1]).max())


def test_stepped_flat_bar_by_finite_elements():
    # Chart 3.1 at H = 30, d = 20, r = 2 mm: 2.15 +- 5 % (value from memory), fit 2.227. The plane
    # model converges to 2.296, 3 % above the fit: that much the fit is on the unsafe side here.
    coarse, fine = peak_over_nominal(8), peak_over_nominal(12)
    assert fine == pytest.approx(coarse, rel=0.01)
    assert fine == pytest.approx(
        step_notch("flat", "tension", WIDE, NARROW, FILLET).value, rel=0.05
    )
