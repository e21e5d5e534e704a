"""Directions of a cage, rigidities of its parts: what mesh, contact and loads share."""

from __future__ import annotations

import numpy as np

from rollsim.case.materials import Material
from rollsim.structure.beam import BeamProperties
from rollsim.structure.design import CageDesign
from rollsim.structure.sections import Section

#: Flexibility of each end of a closure, as a length in diameters. Frames agree with solid models
#: of cages within 5-10 % for 0.25-0.5.
END_FLEXIBILITY = 0.4
AXIAL = np.array([0.0, 0.0, 1.0])


def directions(design: CageDesign, position: float) -> tuple[np.ndarray, np.ndarray]:
    """Radial and tangential direction at pocket j (position j) or bar j (position j + 1/2).

    Parameters
    ----------
    design : CageDesign
        The cage.
    position : float
        In pocket pitches from pocket 0.

    Returns
    -------
    tuple of ndarray, (3,)
    """
    angle = 2.0 * np.pi * position / design.count
    c, s = np.cos(angle), np.sin(angle)
    return np.array([c, s, 0.0]), np.array([-s, c, 0.0])


def beam_of(section: Section, material: Material) -> BeamProperties:
    """Rigidities of a beam with local y = r and z = t.

    Parameters
    ----------
    section : Section
        Its section.
    material : Material
        Its material.

    Returns
    -------
    BeamProperties
    """
    modulus = material.youngs_modulus
    shear_modulus = modulus / (2.0 * (1.0 + material.poisson))
    return BeamProperties(
        modulus * section.area,
        modulus * section.about_r,
        modulus * section.about_t,
        shear_modulus * section.torsion,
        section.shear_share * shear_modulus * section.area,
    )
