"""Solids of 27-node hexahedra (three quadratics in each direction): stiffness and stress.

Plain 8-node hexahedra bend badly; straight ones of these carry a constant bending moment exactly,
and four of them bend under an end force within 1 %. Curved edges follow the same quadratics.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy import sparse

from rollsim.errors import RollsimError

#: Order of the Gauss points: three in each direction, exact for the stiffness of straight bricks.
_ORDER = 4
_HALF_SPAN = 0.5 / np.sqrt(3.0)
_EIGHT = 0.5 + _HALF_SPAN * (2.0 * np.indices((2, 2, 2)).reshape(3, 8).T - 1.0)


def finite_elements() -> Any:
    """The library of finite elements, or plain words where it is not installed.

    Returns
    -------
    module

    Raises
    ------
    RollsimError
        The library is not installed.
    """
    try:
        import skfem
    except ImportError as missing:
        raise RollsimError(
            "The solid model of a cage sector needs the library scikit-fem:"
            " pip install 'rollsim[detail]'. The beam model does without it."
        ) from missing
    return skfem


@dataclass(frozen=True)
class Solid:
    """Nodes, hexahedra and their stiffness.

    Fields: points (n, 3) m; nodes (elements, 27), in the order of the library; modulus Pa and
    poisson (elements,); matrices (elements, 81, 81) N/m, motions of a node side by side;
    gradients (elements, 8 places, 27 nodes, 3) 1/m, slopes of the shapes at two Gauss points
    in each direction, where stresses are best; carry (27, 8), from there to the nodes.
    """

    points: np.ndarray
    nodes: np.ndarray
    modulus: np.ndarray
    poisson: np.ndarray
    matrices: np.ndarray
    volumes: np.ndarray
    gradients: np.ndarray
    carry: np.ndarray

    def stiffness(self) -> sparse.csr_matrix:
        """Stiffness of all elements together.

        Returns
        -------
        sparse matrix, (3 n, 3 n)
            N/m.
        """
        dofs = self._dofs()
        rows = np.repeat(dofs, 81, axis=1).ravel()
        columns = np.tile(dofs, (1, 81)).ravel()
        size = 3 * len(self.points)
        return sparse.csr_matrix((self.matrices.ravel(), (rows, columns)), shape=(size, size))

    def forces(self, motion: np.ndarray, chosen: np.ndarray) -> np.ndarray:
        """Forces that hold the chosen elements in their motion, summed at the nodes.

        Parameters
        ----------
        motion : ndarray, (3 n,)
            m.
        chosen : ndarray of bool, (elements,)
            Elements.

        Returns
        -------
        ndarray, (n, 3)
            N.
        """
        dofs = self._dofs()[chosen]
        force = np.einsum("eij,ej->ei", self.matrices[chosen], motion[dofs])
        total = np.bincount(dofs.ravel(), force.ravel(), minlength=3 * len(self.points))
        return total.reshape(-1, 3)

    def stress(self, motion: np.ndarray, chosen: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Stress at the nodes, the mean over the chosen elements that meet there.

        Parameters
        ----------
        motion : ndarray, (3 n,)
            m.
        chosen : ndarray of bool, (elements,)
            Elements.

        Returns
        -------
        nodes : ndarray of int
            Nodes of the chosen elements.
        stress : ndarray, (nodes, 3, 3)
            Pa.
        """
        nodes = self.nodes[chosen]
        own = motion.reshape(-1, 3)[nodes]
        slope = np.einsum("epni,enj->epij", self.gradients[chosen], own, optimize=True)
        strain = 0.5 * (slope + np.swapaxes(slope, 2, 3))
        first, second = lame(self.modulus[chosen], self.poisson[chosen])
        trace = np.trace(strain, axis1=2, axis2=3)[..., None, None]
        local = first[:, None, None, None] * trace * np.eye(3)
        local = local + 2.0 * second[:, None, None, None] * strain
        local = np.einsum("np,epij->enij", self.carry, local)
        unique, place = np.unique(nodes, return_inverse=True)
        place = place.ravel()
        total = np.zeros((len(unique), 3, 3))
        np.add.at(total, place, local.reshape(-1, 3, 3))
        return unique, total / np.bincount(place)[:, None, None]

    def _dofs(self) -> np.ndarray:
        """Places of the motions of every element, (elements, 81)."""
        return (3 * self.nodes[:, :, None] + np.arange(3)).reshape(len(self.nodes), 81)


def lame(modulus: np.ndarray, poisson: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Constants of Lame: first E nu/((1 + nu)(1 - 2 nu)), second E/(2 (1 + nu)).

    Parameters
    ----------
    modulus : ndarray, Pa
        E.
    poisson : ndarray
        nu.

    Returns
    -------
    first, second : ndarray
        Pa.

    Examples
    --------
    >>> [round(float(x), 4) for x in lame(2.5, 0.25)]
    [1.0, 1.0]
    """
    return modulus * poisson / ((1 + poisson) * (1 - 2 * poisson)), modulus / (2 * (1 + poisson))


def build_solid(
    points: np.ndarray, bricks: np.ndarray, modulus: np.ndarray, poisson: np.ndarray
) -> Solid:
    """Stiffness of hexahedra.

    Parameters
    ----------
    points : ndarray, (n, 3), m
        Nodes.
    bricks : ndarray of int, (elements, 3, 3, 3)
        Nodes of every element along its three directions.
    modulus : ndarray, (elements,), Pa
        Modulus E.
    poisson : ndarray, (elements,)
        Poisson's ratio.

    Returns
    -------
    Solid

    Raises
    ------
    RollsimError
        The library is not installed, or an element is turned inside out.
    """
    fem = finite_elements()
    shape = fem.ElementHex2()
    order = np.rint(2.0 * np.asarray(shape.doflocs)).astype(int)
    bricks = _right_handed(points, bricks)
    nodes = bricks[:, order[:, 0], order[:, 1], order[:, 2]]
    corners, compact = np.unique(nodes[:, :8], return_inverse=True)
    plain = fem.MeshHex(points[corners].T.copy(), compact.reshape(-1, 8).T.copy())
    mesh = fem.MeshHex2.from_mesh(plain)
    places = mesh.doflocs.copy()
    places[:, mesh.dofs.element_dofs] = points[nodes.T].transpose(2, 0, 1)
    mesh = fem.MeshHex2(places, mesh.t)
    gauss = fem.Basis(mesh, shape, intorder=_ORDER)
    read = fem.Basis(mesh, shape, quadrature=(_EIGHT.T.copy(), np.ones(8)))
    weights = np.asarray(gauss.dx)
    if np.min(gauss.mapping.detDF(gauss.X)) <= 0.0:
        raise RollsimError(
            "The mesh of the cage sector folds over: the closure, its fillet or its head come too"
            " close to the edge of the bar. Use a smaller fillet or closure."
        )
    matrices = _matrices(_slopes(gauss), weights, *lame(modulus, poisson))
    gradients = np.ascontiguousarray(_slopes(read).transpose(1, 2, 0, 3))
    volumes = np.stack([np.sum(_value(f) * weights, axis=1) for f in gauss.basis], axis=1)
    carry = _carry(shape.doflocs)
    return Solid(points, nodes, modulus, poisson, matrices, volumes, gradients, carry)


def _value(shape: Any) -> np.ndarray:
    """Values of one shape at the places of Gauss's rule."""
    return np.asarray(shape[0])


def _slopes(basis: Any) -> np.ndarray:
    """Slopes of the 27 shapes, (27, elements, places, 3)."""
    return np.array([np.asarray(f[0].grad).transpose(1, 2, 0) for f in basis.basis])


def _carry(places: np.ndarray) -> np.ndarray:
    """Linear in each direction through the eight Gauss points, at other places."""
    share = 0.5 + 0.5 * (np.asarray(places)[:, None, :] - 0.5) / (_EIGHT - 0.5)
    return np.prod(share, axis=2)


def _matrices(slopes, weights, first, second) -> np.ndarray:
    """Integrals of first d_i a d_j b + second (d_j a d_i b + delta_ij d a d b)."""
    number = slopes.shape[1]
    flat = slopes.transpose(1, 0, 3, 2).reshape(number, 81, -1)
    product = (flat * weights[:, None, :]) @ flat.transpose(0, 2, 1)
    blocks = product.reshape(number, 27, 3, 27, 3)
    out = first[:, None, None, None, None] * blocks
    out = out + second[:, None, None, None, None] * blocks.transpose(0, 1, 4, 3, 2)
    trace = np.einsum("eaibi->eab", blocks) * second[:, None, None]
    for i in range(3):
        out[:, :, i, :, i] += trace
    return out.reshape(number, 81, 81)


def _right_handed(points: np.ndarray, bricks: np.ndarray) -> np.ndarray:
    """Turn the first direction of elements that are mirrored."""
    low, high = points[bricks[:, 0]], points[bricks[:, 2]]
    along = (high - low)[:, 1, 1]
    second = points[bricks[:, 1, 2, 1]] - points[bricks[:, 1, 0, 1]]
    third = points[bricks[:, 1, 1, 2]] - points[bricks[:, 1, 1, 0]]
    mirrored = np.einsum("ei,ei->e", np.cross(along, second), third) < 0.0
    out = bricks.copy()
    out[mirrored] = bricks[mirrored][:, ::-1]
    return out
