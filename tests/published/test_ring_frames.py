"""Beams and rings of beams: closed solutions of textbooks.

Timoshenko, Strength of Materials II; Roark's Formulas for Stress and Strain, tables 8.1 and 9.2;
Blevins, Formulas for Natural Frequency and Mode Shape (1979), table 9-1; values from memory unless
said otherwise.
"""

import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.sparse.linalg import spsolve

from rollsim.structure.beam import BeamProperties
from rollsim.structure.beam_mass import LineMass
from rollsim.structure.beams import BeamKind, BeamPlace, circle, make_beam, ring_beams, stack
from rollsim.structure.cage_modes import free_modes
from rollsim.structure.closed_forms import (
    built_in_deflection,
    built_in_moment,
    ring_moments,
)
from rollsim.structure.inertia_relief import FloatingSolver, rigid_motions
from rollsim.structure.ring_vibration import (
    ring_in_plane_frequency,
    ring_out_of_plane_frequency,
)

RADIUS = 0.1
# Stretching and shear as good as rigid: thin-ring solutions know bending and twist only.
THIN = BeamKind(BeamProperties(1e11, 30.0, 50.0, 20.0, 1e11), LineMass(2.0, 1e-9, 1e-9))


def ring(segments, kind=THIN, radius=RADIUS):
    """Ring of beams: nodes, beams, stiffness, mass."""
    nodes = circle(radius, 0.0, segments)
    beams = stack(ring_beams("base", nodes, 0, kind))
    return nodes, beams, *(beams.assemble(name, segments) for name in ("stiffness", "mass"))


def line(kind, length, segments):
    """Straight beam along x of equal parts: beams and stiffness."""
    places = np.linspace(0.0, length, segments + 1)[:, None] * np.array([1.0, 0.0, 0.0])
    beams = [
        make_beam(
            BeamPlace(
                "bar", (k, k + 1), places[k : k + 2], np.array([0, 1.0, 0]), np.zeros((2, 3))
            ),
            kind,
        )
        for k in range(segments)
    ]
    beams = stack(beams)
    return beams, beams.assemble("stiffness", segments + 1)


def test_cantilever_with_shear():
    kind = BeamKind(BeamProperties(2e6, 30.0, 50.0, 20.0, 7e4), None)
    length = 0.3
    _, stiffness = line(kind, length, 3)
    load = np.zeros(24)
    load[[18, 19, 20, 21]] = 100.0, 7.0, -5.0, 2.0
    motion = np.zeros(24)
    motion[6:] = spsolve(stiffness[6:, 6:], load[6:])
    tip = motion[18:]
    bent = length**3 / 3.0
    assert tip[0] == pytest.approx(100.0 * length / 2e6, rel=1e-10)
    assert tip[1] == pytest.approx(7.0 * (bent / 50.0 + length / 7e4), rel=1e-10)
    assert tip[2] == pytest.approx(-5.0 * (bent / 30.0 + length / 7e4), rel=1e-10)
    assert tip[3] == pytest.approx(2.0 * length / 20.0, rel=1e-10)
    assert tip[5] == pytest.approx(7.0 * length**2 / (2.0 * 50.0), rel=1e-10)


def test_built_in_bar():
    # Roark, table 8.1: F L^3/(192 E I) and F L/8.
    beams, stiffness = line(BeamKind(BeamProperties(1e9, 30.0, 50.0, 20.0, 1e14), None), 0.3, 2)
    motion = np.zeros((3, 6))
    load = np.array([0.0, 11.0, 0.0, 0.0, 0.0, 0.0])
    motion[1] = spsolve(stiffness[6:12, 6:12], load)
    assert motion[1, 1] == pytest.approx(built_in_deflection(11.0, 0.3, 50.0), rel=1e-8)
    assert abs(beams.end_forces(motion)[0, 5]) == pytest.approx(
        built_in_moment(11.0, 0.3), rel=1e-8
    )


def pulled_ring(count, segments):
    """Ring under `count` equal radial forces of 1 N outward: motion and end forces."""
    nodes, beams, stiffness, mass = ring(segments)
    load = np.zeros((segments, 6))
    loaded = np.arange(0, segments, segments // count)
    load[loaded, :3] = nodes[loaded] / RADIUS
    motion = FloatingSolver(stiffness, mass, rigid_motions(nodes)).solve(load.ravel())
    motion = motion.reshape(-1, 6)
    return motion, beams.end_forces(motion)


@pytest.mark.parametrize(("per_pitch", "bound"), [(12, 0.007), (24, 0.002)])
@pytest.mark.parametrize("count", [2, 3, 4, 8, 18])
def test_ring_under_equal_radial_forces(count, per_pitch, bound):
    # Roark, table 9.2 case 7: n = 2 was read (0.3183, 0.1817).
    _, ends = pulled_ring(count, count * per_pitch)
    under, midway = ring_moments(1.0, RADIUS, count)
    assert abs(ends[0, 5]) == pytest.approx(under, rel=bound)
    # Midway the moment is a difference of two nearly equal ones: the corners count twice.
    assert abs(ends[per_pitch // 2, 5]) == pytest.approx(midway, rel=2.0 * bound)
    # They bend the ring to opposite sides.
    assert ends[0, 5] * ends[per_pitch // 2, 5] < 0.0


def test_ring_diameters_under_two_forces():
    # Roark, table 9.2 case 1: 0.1488 and -0.1366 W R^3/(E I).
    motion, _ = pulled_ring(2, 96)
    unit = RADIUS**3 / THIN.rigidity.bend_z
    along = motion[0, 0] - motion[48, 0]
    across = motion[24, 1] - motion[72, 1]
    assert along == pytest.approx(0.1488 * unit, rel=0.005)
    assert across == pytest.approx(-0.1366 * unit, rel=0.005)


@pytest.mark.parametrize("count", [3, 6, 18])
def test_ring_on_supports_under_forces_midway(count):
    # Timoshenko, Strength of Materials II, circular ring loaded across its plane: by symmetry a
    # span is determinate: M = (P R/2)(tan(a/2) cos t - sin t), T = (P R/2)(tan(a/2) sin t - 1 + cos
    # t), t from the force, a = pi/n; deflection from the energy of M and T.
    per_pitch = 36
    nodes, beams, stiffness, _ = ring(count * per_pitch)
    load, motion = np.zeros((len(nodes), 6)), np.zeros(6 * len(nodes))
    load[per_pitch // 2 :: per_pitch, 2] = 1.0
    # Supports hold the axial motion; three motions in the plane must be held as well.
    held = [*(6 * np.arange(0, len(nodes), per_pitch) + 2), 0, 1, 7]
    free = np.setdiff1d(np.arange(6 * len(nodes)), held)
    motion[free] = spsolve(stiffness[free][:, free], load.ravel()[free])
    motion = motion.reshape(-1, 6)
    a = math.pi / count
    grip = math.tan(0.5 * a)

    def energy(t):
        bending = 0.5 * RADIUS * (grip * math.cos(t) - math.sin(t))
        twist = 0.5 * RADIUS * (grip * math.sin(t) - 1.0 + math.cos(t))
        return (bending**2 / THIN.rigidity.bend_y + twist**2 / THIN.rigidity.torsion) * RADIUS

    sag = 2.0 * quad(energy, 0.0, a)[0]
    assert motion[per_pitch // 2, 2] == pytest.approx(sag, rel=1e-3)
    ends = beams.end_forces(motion)
    at_force = abs(ends[per_pitch // 2, 4])
    assert at_force == pytest.approx(0.5 * RADIUS * grip, rel=1e-3)


def wire_ring():
    """Wire ring of brass: R = 100 mm, d = 20 mm, 97 GPa, 8440 kg/m3, Poisson's ratio 0.35."""
    modulus, density, poisson, d = 97e9, 8440.0, 0.35, 0.02
    area, second = math.pi * d**2 / 4.0, math.pi * d**4 / 64.0
    shear = modulus / (2.0 * (1.0 + poisson))
    rigidity = BeamProperties(
        modulus * area, modulus * second, modulus * second, 2.0 * shear * second, 0.9 * shear * area
    )
    return rigidity, LineMass(density * area, density * second, density * second)


def wire_ring_closed_forms():
    """Frequencies with two waves, out of the plane and in it."""
    rigidity, mass = wire_ring()
    return [
        ring_out_of_plane_frequency(2, 0.1, rigidity.bend_y, rigidity.torsion, mass.mass),
        ring_in_plane_frequency(2, 0.1, rigidity.bend_z, mass.mass),
    ]


def test_free_wire_ring():
    closed = wire_ring_closed_forms()
    assert closed == pytest.approx([699.808, 723.887], rel=1e-5)
    rigidity, mass = wire_ring()
    stiff = BeamProperties(1e11, rigidity.bend_y, rigidity.bend_z, rigidity.torsion, 1e11)
    _, _, stiffness, weight = ring(180, BeamKind(stiff, LineMass(mass.mass, 0.0, 0.0)))
    modes = free_modes(stiffness, weight, 4)
    assert modes.rigid_frequency < 0.5
    assert modes.frequencies == pytest.approx(np.repeat(closed, 2), rel=5e-4)


def test_shear_and_turning_sections_lower_the_frequencies_of_a_wire_ring():
    # First correction of a Timoshenko beam: (k r)^2 (1 + E/(kappa G))/2 with k = n/R, r = d/4.
    rigidity, mass = wire_ring()
    _, _, stiffness, weight = ring(180, BeamKind(rigidity, mass))
    found = free_modes(stiffness, weight, 4).frequencies[[0, 2]]
    lower = 1.0 - found / wire_ring_closed_forms()
    expected = 0.5 * (2.0 / 0.1 * 0.005) ** 2 * (1.0 + rigidity.axial / rigidity.shear)
    assert lower == pytest.approx([expected, expected], rel=0.15)


def test_free_flat_ring():
    # Blevins (1979): R = 369 mm, 48 mm radially by 50 mm, 185 GPa, 7800 kg/m3: 211.65 and 598.64
    # Hz in the plane (read).
    modulus, density, radial, axial = 185e9, 7800.0, 0.048, 0.05
    in_plane, across = axial * radial**3 / 12.0, radial * axial**3 / 12.0
    area = radial * axial
    rigidity = BeamProperties(1e13, modulus * across, modulus * in_plane, 1e8, 1e13)
    _, _, stiffness, weight = ring(
        144, BeamKind(rigidity, LineMass(density * area, 0.0, 0.0)), 0.369
    )
    found = free_modes(stiffness, weight, 16)
    # Vibrations in the plane move nothing along z.
    flat = [np.abs(shape[:, 2]).max() < 1e-6 * np.abs(shape[:, :2]).max() for shape in found.shapes]
    frequencies = found.frequencies[np.array(flat)][:4]
    assert frequencies == pytest.approx([211.65, 211.65, 598.64, 598.64], rel=1e-3)
