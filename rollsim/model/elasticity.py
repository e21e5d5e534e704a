"""What the elastic cage hands to the dynamics, as plain numbers."""

from dataclasses import replace
from typing import NamedTuple

import numpy as np

from rollsim.model.stiffness import cage_bar_stiffness
from rollsim.units import N_PER_UM

#: Stiffness of cover and base ring under a roller end where no frame model is at hand, N/m: order
#: of magnitude of a brass cage of 1 kg; common practice, no source.
END_STIFFNESS = 50.0 * N_PER_UM


#: Modes of a run that nothing is said about, by its motion; a planar one sees no axial forces.
#: With 80 the moment of a bar root under a pulse on the bar of 0.3 to 3 ms came out within 1 to 5 %
#: of a direct march, for a cage of 18 pockets; 40 modes left 20 to 30 % at 0.3 ms, because the
#: vibrations of the bars themselves come only after some fifty modes of the rings.
USUAL_MODES = {"planar": 0, "spatial": 80}


class Backing(NamedTuple):
    """Stiffness behind the faces of all pockets, N/m: what a contact has in series.

    bar (Z,): of every bar under a tangential force spread along it; bar j lies ahead of pocket j
    (in the sense of positive rotation) and behind pocket j + 1; cover, base (Z,): of the ring at
    every pocket under the axial force of its roller.
    """

    bar: np.ndarray
    cover: np.ndarray
    base: np.ndarray


class CageModesData(NamedTuple):
    """Free vibrations of the cage with unit modal mass.

    frequencies (N,), Hz, rising; damping, share of critical; participation (loads, N), 1/sqrt(kg):
    motion of a mode along each load, in the order of `rollsim.structure.cage_influence.KINDS`, spin
    last (then m sqrt(kg)); shapes (N, nodes, 6), 1/sqrt(kg) and rad/(m sqrt(kg)), of the nodes of
    the frame of the cage.
    """

    frequencies: np.ndarray
    damping: float
    participation: np.ndarray
    shapes: np.ndarray


class CageElasticity(NamedTuple):
    """Elasticity of the cage of a case.

    backing: Backing; modes: CageModesData, or None where the motion of the cage has none.
    """

    backing: Backing
    modes: CageModesData | None = None


def modes_wanted(case):
    """Number of elastic modes of the cage that a run follows.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    int
        As given in the case; else as usual for its motion.
    """
    given = case.cage.elastic_modes
    return USUAL_MODES[case.solver.motion] if given is None else given


def mode_count(elasticity=None):
    """Number of modes of an elasticity; 0 without one.

    Parameters
    ----------
    elasticity : CageElasticity or None
        Of a cage.

    Returns
    -------
    int
    """
    modes = None if elasticity is None else elasticity.modes
    return 0 if modes is None else len(modes.frequencies)


def given_backing(case):
    """Stiffness behind the pocket faces as far as the case gives it.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    dict
        Field of `Backing` -> N/m; without the faces that are not given.
    """
    cage = case.cage
    given = {
        "bar": cage.bar_stiffness_N_per_um,
        "cover": cage.end_stiffness_N_per_um,
        "base": cage.end_stiffness_N_per_um,
    }
    return {face: N_PER_UM * value for face, value in given.items() if value is not None}


def backing_in_force(case, elasticity=None):
    """Stiffness behind the pocket faces that a run takes.

    What the case gives goes before the elasticity. Without either: a bar built in at both ends
    (`cage_bar_stiffness`) and `END_STIFFNESS`.

    Parameters
    ----------
    case : Case
        The case.
    elasticity : CageElasticity or None
        Of the cage of the case.

    Returns
    -------
    Backing
    """
    count = case.roller.count
    found = {"cover": END_STIFFNESS, "base": END_STIFFNESS}
    if elasticity is not None:
        found = elasticity.backing._asdict()
    found |= given_backing(case)
    if "bar" not in found:
        found["bar"] = cage_bar_stiffness(case)
    return Backing(**{name: np.broadcast_to(found[name], (count,)) for name in Backing._fields})


def backing_data(case, elasticity=None):
    """Stiffness behind the pocket faces that a run takes, as a history keeps it.

    Parameters
    ----------
    case : Case
        The case.
    elasticity : CageElasticity or None
        Of the cage of the case.

    Returns
    -------
    dict
        Field of `Backing` -> list of N/m, one a pocket.
    """
    return {k: v.tolist() for k, v in backing_in_force(case, elasticity)._asdict().items()}


def elasticity_assumptions(case, backing, elasticity=None):
    """What the user should know of the elasticity that the case does not give.

    Parameters
    ----------
    case : Case
        The case.
    backing : Backing
        In force.
    elasticity : CageElasticity or None
        Where it came from; None for the beam formula.

    Returns
    -------
    list of Assumption
        Stiffnesses in N/um: a number, or words where the faces differ; number of modes.
    """
    entries = {item.key: item for item in case.assumptions}
    values = {
        "cage.bar_stiffness_N_per_um": _span(backing.bar),
        "cage.end_stiffness_N_per_um": _of_ends(backing),
        "cage.elastic_modes": mode_count(elasticity),
    }
    why = {} if elasticity is not None else _WITHOUT_FRAME
    return [
        replace(entries[key], value=value, why=why.get(key, entries[key].why))
        for key, value in values.items()
        if key in entries
    ]


_WITHOUT_FRAME = {
    "cage.bar_stiffness_N_per_um": "computed: bar built in at both ends, no frame model",
    "cage.end_stiffness_N_per_um": "order of magnitude of a brass cage of 1 kg; "
    "common practice, no source",
    "cage.elastic_modes": "computed: none, no frame model",
}


def _span(values):
    """Values in N/um: a number, or the smallest and the largest in words."""
    low, high = (round(1e-6 * float(own(values)), 4) for own in (np.min, np.max))
    return low if low == high else f"{low:g} to {high:g}"


def _of_ends(backing):
    """Stiffness of both end rings: one number where they are alike."""
    cover, base = _span(backing.cover), _span(backing.base)
    return cover if cover == base else f"{cover} (cover), {base} (base)"
