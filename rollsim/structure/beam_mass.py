"""Consistent mass of a straight Timoshenko beam, order of motions as in `beam`."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rollsim.structure.beam import BeamProperties, rigid_link
from rollsim.structure.sections import Section


@dataclass(frozen=True)
class LineMass:
    """Mass of a beam for each metre.

    Fields: mass kg/m; about_y, about_z kg m (density times second moments of the section about
    local y and z).
    """

    mass: float
    about_y: float
    about_z: float


def line_mass(section: Section, density: float) -> LineMass:
    """Mass of a section for each metre, local y = r and z = t: rho A, rho I_r, rho I_t.

    Parameters
    ----------
    section : Section
        The section.
    density : float, kg/m3
        Density rho.

    Returns
    -------
    LineMass
    """
    return LineMass(density * section.area, density * section.about_r, density * section.about_t)


def beam_mass(line: LineMass, beam: BeamProperties, length: float) -> np.ndarray:
    """Mass matrix in local axes with the static shapes of a uniform Timoshenko beam.

    With phi = 12 EI/(k G A L^2) the deflection takes rho A L/(1+phi)^2 times
    13/35 + 7 phi/10 + phi^2/3 and so on, the turning of the sections rho I/((1+phi)^2 L) times
    6/5 and so on; stretching and twisting have linear shapes. Rigid motions are exact.
    Source: Przemieniecki, Theory of Matrix Structural Analysis (1968), ch. 11 (from memory).

    Parameters
    ----------
    line : LineMass
        Mass for each metre.
    beam : BeamProperties
        Rigidities, which set the shapes.
    length : float, m
        Length L.

    Returns
    -------
    ndarray, (12, 12)
        kg, kg m, kg m2.
    """
    mass = np.zeros((12, 12))
    linear = length / 6.0 * np.array([[2.0, 1.0], [1.0, 2.0]])
    mass[np.ix_((0, 6), (0, 6))] = line.mass * linear
    mass[np.ix_((3, 9), (3, 9))] = (line.about_y + line.about_z) * linear
    for places, rigidity, about, sign in (
        ((1, 5, 7, 11), beam.bend_z, line.about_z, 1.0),
        ((2, 4, 8, 10), beam.bend_y, line.about_y, -1.0),
    ):
        phi = 12.0 * rigidity / (beam.shear * length**2)
        block = _deflection(phi, line.mass, length) + _turning(phi, about, length)
        signs = np.array([1.0, sign, 1.0, sign])
        mass[np.ix_(places, places)] = block * np.outer(signs, signs)
    return mass


def _symmetric(a, b, c, d, e, f, length):
    """Matrix of two mirrored ends; a, c deflections, b, d couplings, e, f slopes."""
    b, d, e, f = b * length, d * length, e * length**2, f * length**2
    return np.array([[a, b, c, d], [b, e, -d, f], [c, -d, a, -b], [d, f, -b, e]])


def _deflection(phi, mass, length):
    """Mass by deflection across the beam."""
    square = phi * phi
    return (mass * length / (1.0 + phi) ** 2) * _symmetric(
        13.0 / 35.0 + 0.7 * phi + square / 3.0,
        11.0 / 210.0 + 11.0 * phi / 120.0 + square / 24.0,
        9.0 / 70.0 + 0.3 * phi + square / 6.0,
        -(13.0 / 420.0 + 3.0 * phi / 40.0 + square / 24.0),
        1.0 / 105.0 + phi / 60.0 + square / 120.0,
        -(1.0 / 140.0 + phi / 60.0 + square / 120.0),
        length,
    )


def _turning(phi, about, length):
    """Mass by the turning of the sections."""
    couple = 0.1 - 0.5 * phi
    return (about / (length * (1.0 + phi) ** 2)) * _symmetric(
        1.2,
        couple,
        -1.2,
        couple,
        2.0 / 15.0 + phi / 6.0 + phi * phi / 3.0,
        -1.0 / 30.0 - phi / 6.0 + phi * phi / 6.0,
        length,
    )


def rod_mass(mass: float, axis: np.ndarray, length: float, arm: np.ndarray) -> np.ndarray:
    """Mass of a thin rigid rod held by a node.

    Parameters
    ----------
    mass : float, kg
        Its mass; negative for metal that is missing.
    axis : ndarray, (3,)
        Its direction.
    length : float, m
        Its length.
    arm : ndarray, (3,), m
        From the node to its middle.

    Returns
    -------
    ndarray, (6, 6)
        kg, kg m, kg m2.
    """
    own = np.zeros((6, 6))
    own[:3, :3] = mass * np.eye(3)
    own[3:, 3:] = mass * length**2 / 12.0 * (np.eye(3) - np.outer(axis, axis))
    link = rigid_link(arm)
    return link.T @ own @ link
