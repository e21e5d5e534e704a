"""Rings and beams, notch factors, curved beams, fastener groups, shipped materials."""

import math
from functools import cache, partial

import numpy as np
from scipy.sparse.linalg import spsolve

from rollsim.case.materials import shipped_material
from rollsim.structure.beam import BeamProperties
from rollsim.structure.beam_mass import LineMass
from rollsim.structure.beams import BeamKind, BeamPlace, circle, make_beam, ring_beams, stack
from rollsim.structure.cage_modes import free_modes
from rollsim.structure.closed_forms import (
    built_in_deflection,
    built_in_moment,
    curved_beam_stress,
    fastener_shear,
    ring_moments,
)
from rollsim.structure.inertia_relief import FloatingSolver, rigid_motions
from rollsim.structure.notch import hole_in_bent_plate, hole_in_tension, step_notch
from rollsim.structure.ring_vibration import (
    ring_in_plane_frequency,
    ring_out_of_plane_frequency,
)
from rollsim.verification.check import Basis, Check, Source, Topic

RADIUS = 0.1
# Stretching and shear as good as rigid: thin-ring solutions know bending and twist only.
THIN = BeamKind(BeamProperties(1e11, 30.0, 50.0, 20.0, 1e11), LineMass(2.0, 1e-9, 1e-9))
INCH, POUND = 0.0254, 4.4482216
KSI, LB_PER_IN3 = 6.894757, 27679.9  # MPa, kg/m3

ROARK_READ = Source("Timoshenko; Roark table 9.2 case 7", Basis.READ)
ROARK = Source("Timoshenko; Roark table 9.2 case 7", Basis.MEMORY)
ROARK_FRAME = Source("closed form of Timoshenko against the frame of beams", Basis.ROUTE)
ROARK_1 = Source("Roark table 9.2 case 1, against the frame of beams", Basis.MEMORY)
ROARK_8 = Source("Roark table 8.1, bar built in at both ends", Basis.MEMORY)
BLEVINS = Source("Blevins 1979; validation manual of an open FE code, V2.03.109", Basis.READ)
LOVE = Source("Love; Blevins: sqrt((n^2 + 1)/(n^2 + 1 + nu))", Basis.MEMORY)
WIRE = Source("thin-ring formulas for a brass wire ring, R = 100, d = 20 mm", Basis.CLOSED)
PETERSON = Source("Peterson's charts 3.1 and 4.1 (Howland), as by Pilkey", Basis.MEMORY)
PILKEY = Source("formulas of Pilkey, second route", Basis.WORKED)
HEYWOOD = Source("Heywood, 2 + (1 - x)^3", Basis.MEMORY)
BENT = Source("exact ends for a hole in a bent plate, nu = 0.3", Basis.CLOSED)
HOOK = Source("Shigley, curved beams, crane hook", Basis.MEMORY)
BOLTS = Source("Shigley, example 8-7, eccentric group of four", Basis.MEMORY)


def _frame(segments, kind=THIN, radius=RADIUS):
    """Ring of beams: nodes, beams, stiffness, mass."""
    nodes = circle(radius, 0.0, segments)
    beams = stack(ring_beams("base", nodes, 0, kind))
    return nodes, beams, *(beams.assemble(name, segments) for name in ("stiffness", "mass"))


@cache
def _pulled(count, segments):
    """Ring under `count` equal radial forces of 1 N outward: motion and end forces."""
    nodes, beams, stiffness, mass = _frame(segments)
    load = np.zeros((segments, 6))
    loaded = np.arange(0, segments, segments // count)
    load[loaded, :3] = nodes[loaded] / RADIUS
    motion = FloatingSolver(stiffness, mass, rigid_motions(nodes)).solve(load.ravel())
    motion = motion.reshape(-1, 6)
    return motion, beams.end_forces(motion)


def _frame_moment(count, place):
    """Moment over P R of the frame, under a load (0) or midway (1), 24 beams between loads."""
    return abs(_pulled(count, 24 * count)[1][12 * place, 5]) / RADIUS


def _ring_moment(count, place):
    """Moment over P R by formula, under a load (0) or midway (1)."""
    return ring_moments(1.0, 1.0, count)[place]


def _stretch(place):
    """Change of the diameter along (0) and across (1) two loads, over P R^3/(E I)."""
    motion, _ = _pulled(2, 96)
    change = (motion[0, 0] - motion[48, 0], motion[24, 1] - motion[72, 1])[place]
    return change * THIN.rigidity.bend_z / RADIUS**3


@cache
def _held_bar():
    """Bar of two beams built in at both ends, 11 N in the middle: deflection m, moment N m."""
    places = np.linspace(0.0, 0.3, 3)[:, None] * np.array([1.0, 0.0, 0.0])
    kind = BeamKind(BeamProperties(1e9, 30.0, 50.0, 20.0, 1e14), None)
    axis = np.array([0.0, 1.0, 0.0])
    beams = stack(
        [
            make_beam(BeamPlace("bar", (k, k + 1), places[k : k + 2], axis, np.zeros((2, 3))), kind)
            for k in range(2)
        ]
    )
    motion = np.zeros((3, 6))
    load = np.array([0.0, 11.0, 0.0, 0.0, 0.0, 0.0])
    motion[1] = spsolve(beams.assemble("stiffness", 3)[6:12, 6:12], load)
    return motion[1, 1], abs(beams.end_forces(motion)[0, 5])


def _wire():
    """Rigidity and mass of a wire ring of brass: 97 GPa, 8440 kg/m3, nu = 0.35, d = 20 mm."""
    modulus, density, poisson, d = 97e9, 8440.0, 0.35, 0.02
    area, second = math.pi * d**2 / 4.0, math.pi * d**4 / 64.0
    shear = modulus / (2.0 * (1.0 + poisson))
    rigidity = BeamProperties(1e11, modulus * second, modulus * second, 2.0 * shear * second, 1e11)
    return rigidity, LineMass(density * area, 0.0, 0.0)


def _wire_formula(place):
    """Frequency of two waves by formula, out of the plane (0) or in it (1), Hz."""
    rigidity, mass = _wire()
    if place == 0:
        return ring_out_of_plane_frequency(2, 0.1, rigidity.bend_y, rigidity.torsion, mass.mass)
    return ring_in_plane_frequency(2, 0.1, rigidity.bend_z, mass.mass)


@cache
def _wire_frame():
    """Lowest four frequencies of the same ring as 180 beams, Hz."""
    _, _, stiffness, weight = _frame(180, BeamKind(*_wire()))
    return free_modes(stiffness, weight, 4).frequencies


def _flat_ring():
    """Rigidities out of the plane and in it, mass a length of the ring of Blevins."""
    modulus, density, radial, axial = 185e9, 7800.0, 0.048, 0.05
    in_plane, across = axial * radial**3 / 12.0, radial * axial**3 / 12.0
    return modulus * across, modulus * in_plane, density * radial * axial


@cache
def _flat_frame():
    """Frequencies in the plane of that ring as 144 beams, Hz."""
    across, in_plane, mass = _flat_ring()
    kind = BeamKind(BeamProperties(1e13, across, in_plane, 1e8, 1e13), LineMass(mass, 0.0, 0.0))
    _, _, stiffness, weight = _frame(144, kind, 0.369)
    found = free_modes(stiffness, weight, 16)
    # Vibrations in the plane move nothing along z.
    flat = [np.abs(shape[:, 2]).max() < 1e-6 * np.abs(shape[:, :2]).max() for shape in found.shapes]
    return found.frequencies[np.array(flat)]


def _flat_formula(waves):
    """The same by formula, Hz."""
    _, in_plane, mass = _flat_ring()
    return ring_in_plane_frequency(waves, 0.369, in_plane, mass)


@cache
def _bolts():
    """Secondary, largest and least force of four fasteners, kN; 16 kN at 425 mm."""
    places = np.array([[75, 60], [-75, 60], [-75, -60], [75, -60]]) * 1e-3
    force = np.array([0.0, -16e3])
    both = fastener_shear(places, force, np.array([0.425, 0.0]))
    size = np.hypot(*both.T) / 1e3
    return (np.hypot(*(both - force / 4).T) / 1e3).max(), size.max(), size.min()


@cache
def _hook():
    """Neutral radius in in, stress inside and outside in kpsi."""
    found = curved_beam_stress(5000 * POUND, 2 * INCH, 6 * INCH, 0.75 * INCH)
    kpsi = 1e3 * POUND / INCH**2
    return found[0] / INCH, found[1] / kpsi, found[2] / kpsi


def _rings():
    """Rows of rings under radial loads and of the built-in bar."""
    table = (
        ("S01", 2, 0.31831, 0.18169), ("S02", 3, 0.18879, 0.0998854), ("S03", 4, 0.13662, 0.070487),
        ("S05", 8, 0.0661328, 0.0333234),
    )  # fmt: skip
    names = ("under a load", "midway")
    for key, count, *values in table:
        source = ROARK_READ if count == 2 else ROARK
        for k, value in enumerate(values):
            yield Check(f"{key}{'ab'[k]}", f"M/(P R) {names[k]}, {count} radial loads", source,
                        value, 1e-3, partial(_ring_moment, count, k))  # fmt: skip
    for key, count, *_ in (*table, ("S07", 18)):
        for k in range(2):
            yield Check(f"{key}{'cd'[k]}", f"M/(P R) {names[k]}, {count} loads, frame", ROARK_FRAME,
                        partial(_ring_moment, count, k), 0.002 * (k + 1),
                        partial(_frame_moment, count, k))  # fmt: skip
    for part, name, value, k in (("a", "along", 0.1488, 0), ("b", "across", -0.1366, 1)):
        yield Check(f"S06{part}", f"diameter {name} two loads over P R^3/(E I)", ROARK_1, value,
                    0.005, partial(_stretch, k))  # fmt: skip
    yield Check("S19a", "built-in bar, deflection over F L^3/(E I)", ROARK_8, 0.00520833, 1e-6,
                partial(built_in_deflection, 1.0, 1.0, 1.0))  # fmt: skip
    yield Check("S19b", "built-in bar, end moment over F L", ROARK_8, 0.125, 1e-12,
                partial(built_in_moment, 1.0, 1.0))  # fmt: skip
    scale = (11.0 * 0.3**3 / 50.0, 11.0 * 0.3)
    for part, name, value, k in (
        ("c", "deflection", 1.0 / 192.0, 0),
        ("d", "end moment", 0.125, 1),
    ):
        yield Check(f"S19{part}", f"built-in bar, {name}, as beams", ROARK_8, value, 1e-8,
                    partial(lambda k, s: _held_bar()[k] / s, k, scale[k]))  # fmt: skip


def _vibrations():
    """Rows of free rings."""
    inputs = "R 369, 48 x 50 mm, 185 GPa"
    for part, waves, value in (("a", 2, 211.65), ("b", 3, 598.64)):
        yield Check(f"S08{part}", f"{waves} waves in the plane, {inputs}", BLEVINS, value, 1e-4,
                    partial(_flat_formula, waves), "Hz")  # fmt: skip
    for part, place, value in (
        ("c", 0, 211.65),
        ("d", 1, 211.65),
        ("e", 2, 598.64),
        ("f", 3, 598.64),
    ):
        what = f"{2 + place // 2} waves in the plane, 144 beams ({1 + place % 2} of 2)"
        yield Check(f"S08{part}", what, BLEVINS, value, 1e-3,
                    partial(lambda k: _flat_frame()[k], place), "Hz")  # fmt: skip
    yield Check("S09", "out of plane over in plane, 2 waves, nu = 0.35", LOVE, 0.966736, 1e-6,
                lambda: _wire_formula(0) / _wire_formula(1))  # fmt: skip
    for part, name, value, k in (("a", "out of", 699.808, 0), ("b", "in", 723.887, 1)):
        yield Check(f"S10{part}", f"2 waves {name} the plane by formula", WIRE, value, 1e-5,
                    partial(_wire_formula, k), "Hz")  # fmt: skip
    for part, place in zip("cdef", range(4), strict=True):
        value = (699.808, 723.887)[place // 2]
        what = f"2 waves {('out of', 'in')[place // 2]} the plane, 180 beams ({1 + place % 2} of 2)"
        yield Check(f"S10{part}", what, WIRE, value, 5e-4,
                    partial(lambda k: _wire_frame()[k], place), "Hz")  # fmt: skip


def _notches():
    """Rows of notches, curved beams and fasteners."""
    step = ("flat", "tension", 30e-3, 20e-3, 2e-3)
    yield Check("S11a", "stepped flat bar, H = 30, d = 20, r = 2 mm", PETERSON, 2.15, 0.05,
                lambda: step_notch(*step).value)  # fmt: skip
    yield Check("S11b", "stepped flat bar, formula, more digits", PILKEY, 2.22724, 5e-6,
                lambda: step_notch(*step).value, absolute=True)  # fmt: skip
    for key, ratio, howland, heywood in (("S13", 0.0, 3.0, 3.0), ("S14", 0.3, 2.3468, 2.343)):
        hole = partial(lambda x: hole_in_tension(x, 1.0).value, ratio)
        yield Check(f"{key}a", f"hole in a strip, d/D = {ratio:g}, net section", PETERSON, howland,
                    5e-5, hole, absolute=True)  # fmt: skip
        yield Check(f"{key}b", f"hole in a strip, d/D = {ratio:g}", HEYWOOD, heywood, 0.02, hole)
    for part, name, arguments, value in (("a", "thick", (1e-9, 1.0, 1.0), 3.0),
                                         ("b", "thin", (1.0, 1e9, 1e-3), 5.9 / 3.3)):  # fmt: skip
        yield Check(f"S15{part}", f"hole in a bent plate, {name}", BENT, value, 0.01,
                    partial(lambda *a: hole_in_bent_plate(*a).value, *arguments))  # fmt: skip
    hook = (("neutral radius", 3.641, 5e-4 / 3.641, "in"), ("stress inside", 16.9, 0.003, "kpsi"),
            ("stress outside", -5.63, 0.003, "kpsi"))  # fmt: skip
    for k, (name, value, tolerance, unit) in enumerate(hook):
        yield Check(f"S16{'abc'[k]}", f"{name}, 5000 lbf, radii 2 and 6 in", HOOK, value, tolerance,
                    partial(lambda k: _hook()[k], k), unit)  # fmt: skip
    bolts = (("secondary force", 17.7), ("largest force", 21.0), ("least force", 14.8))
    for k, (name, value) in enumerate(bolts):
        yield Check(f"S17{'abc'[k]}", f"{name}, 16 kN at 425 mm", BOLTS, value, 0.05,
                    partial(lambda k: _bolts()[k], k), "kN", absolute=True)  # fmt: skip


def _materials():
    """Rows of shipped materials, in the units of their data sheets."""
    brass = Source("copper institute, data sheet 2.0402", Basis.READ)
    rod = Source("C36000 rod, half hard: 20 ksi at 1e8 cycles", Basis.MEMORY)
    bronze = Source("C86300, published alloy data", Basis.READ)
    recalled = "published alloy data, fatigue at 1e8 cycles"
    rows = [
        ("F13a", "CuZn40Pb2", "youngs_modulus_GPa", brass, 97.0, "GPa", 1.0, 1e-9),
        ("F13b", "CuZn40Pb2", "density_kg_per_m3", brass, 8.44, "kg/dm3", 1e3, 1e-9),
        ("F16", "CuZn40Pb2", "fatigue_strength_MPa", rod, 20.0, "ksi", KSI, 3e-3),
        ("F15a", "C86300", "ultimate_MPa", bronze, 110.0, "ksi", KSI, 2e-3),
        ("F15b", "C86300", "yield_MPa", bronze, 62.0, "ksi", KSI, 2e-3),
        ("F15c", "C86300", "youngs_modulus_GPa", bronze, 14.2, "Msi", KSI, 2e-3),
        ("F15d", "C86300", "density_kg_per_m3", bronze, 0.283, "lb/in3", LB_PER_IN3, 2e-3),
        ("F15e", "C86300", "fatigue_strength_MPa", Source(f"C86300, {recalled}", Basis.MEMORY),
         25.0, "ksi", KSI, 3e-3),
    ]  # fmt: skip
    for key, name, *values in (("F41", "C90500", 45.0, 22.0, 15.0, 0.315, 13.0),
                               ("F42", "C95400", 85.0, 35.0, 15.5, 0.269, 28.0)):  # fmt: skip
        source = Source(f"{name}, {recalled}", Basis.MEMORY)
        kinds = (("ultimate_MPa", "ksi", KSI, 3e-3), ("yield_MPa", "ksi", KSI, 3e-3),
                 ("youngs_modulus_GPa", "Msi", KSI, 5e-3),
                 ("density_kg_per_m3", "lb/in3", LB_PER_IN3, 2e-3),
                 ("fatigue_strength_MPa", "ksi", KSI, 5e-3))  # fmt: skip
        for part, value, (field, unit, factor, tolerance) in zip(
            "abcde", values, kinds, strict=True
        ):
            rows.append((key + part, name, field, source, value, unit, factor, tolerance))
    for key, name, field, source, value, unit, factor, tolerance in rows:
        what = (
            field.rpartition("_")[0]
            .removesuffix("_kg_per")
            .replace("_", " ")
            .replace("youngs", "Young's")
        )
        yield Check(key, f"{name}, {what}", source, value, tolerance,
                    partial(lambda m, f, u: getattr(shipped_material(m), f) / u, name, field,
                            factor), unit)  # fmt: skip


TOPICS = (
    Topic("Rings and bars as frames of beams", tuple(_rings())),
    Topic("Free vibrations of rings", tuple(_vibrations())),
    Topic("Notches, curved beams, groups of rivets", tuple(_notches())),
    Topic("Shipped materials", tuple(_materials())),
)
