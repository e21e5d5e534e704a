"""Section of `rollsim check` on the cage: masses, stiffness behind the pocket faces."""

from __future__ import annotations

import numpy as np

from rollsim.errors import RollsimError
from rollsim.model.elasticity import given_backing
from rollsim.report.plain_data import number, table
from rollsim.structure.elasticity import frame_backing
from rollsim.units import N_PER_UM

#: Factor from the frame model beyond which a given stiffness is warned of.
_FAR = 2.0
#: Force at which the stiffness of roller and bar is told with the line contact, N.
_FORCE = 1000.0
_FACES = ("bar", "cover", "base")


def cage_section(case, built, backing) -> dict:
    """Masses, and what gives way under a roller.

    Parameters
    ----------
    case : Case
        The case.
    built : BuiltModel
        Its model.
    backing : Backing
        Stiffness behind the pocket faces that a run takes.

    Returns
    -------
    dict
        Name -> value, units in the names; the stiffest face of each sort, and the softest where
        they differ.
    """
    model = built.model
    found = {
        "mass_kg": model.cage.mass,
        "axial_inertia_kg_m2": model.cage.axial,
        "transverse_inertia_kg_m2": model.cage.transverse,
        "roller_mass_kg": model.roller.mass,
        "inner_ring_and_rotor_mass_kg": model.ring.mass + model.shaft.mass,
    }
    for face in _FACES:
        values = getattr(backing, face) / N_PER_UM
        found[f"stiffness_behind_{face}_N_per_um"] = float(values.max())
        if _unlike(values):
            found[f"stiffness_behind_softest_{face}_N_per_um"] = float(values.min())
    whole = contact_stiffness(model.pocket.constant, float(backing.bar.max()), _FORCE)
    found[f"roller_on_bar_at_{_FORCE:.0f}_N_with_line_contact_N_per_um"] = whole / N_PER_UM
    return {**found, "source_of_stiffness": stiffness_source(case)}


def contact_stiffness(constant, backing, force):
    """Force over approach of a line contact in series with a spring, F/((F/K)^(9/10) + F/k).

    The law of the bars of a pocket, see `rollsim.kernels.line_contact.series_line_force`.

    Parameters
    ----------
    constant : float, N/m^(10/9)
        K of the line contact.
    backing : float, N/m
        k of the spring.
    force : float, N
        F.

    Returns
    -------
    float
        N/m.

    Examples
    --------
    >>> round(contact_stiffness(1e9, 2e7, 1000.0) / 1e6, 2)
    18.53
    """
    return force / ((force / constant) ** 0.9 + force / backing)


def stiffness_source(case) -> str:
    """Where the stiffness behind the pocket faces comes from, in words.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    str
    """
    given = given_backing(case)
    frame = [face for face in _FACES if face not in given]
    parts = []
    if given:
        parts.append(f"{', '.join(given)}: given in the case")
    if frame:
        parts.append(f"{', '.join(frame)}: frame model of this cage")
    return "; ".join(parts)


def stiffness_warnings(case) -> list[str]:
    """Warn of a given stiffness that is far from that of the frame model.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    list of str
        One line a face; none where the cage has no frame model.
    """
    given = given_backing(case)
    if not given:
        return []
    try:
        frame = frame_backing(case)
    except RollsimError:
        return []
    return [
        _far(face, value / N_PER_UM, getattr(frame, face) / N_PER_UM)
        for face, value in given.items()
        if not frame_share(value, getattr(frame, face)) < _FAR
    ]


def frame_share(value, frame):
    """Factor, at least 1, between a stiffness and the nearest one of a frame model.

    Parameters
    ----------
    value : float, N/m
        As given.
    frame : ndarray, N/m
        Behind the same face of every pocket; a loose closure makes them differ.

    Returns
    -------
    float

    Examples
    --------
    >>> [frame_share(k, np.array([2.0, 4.0])) for k in (1.0, 3.0, 10.0)]
    [2.0, 1.0, 2.5]
    """
    return float(max(frame.min() / value, value / frame.max(), 1.0))


def _far(face, value, frame) -> str:
    """The warning on one face, N/um."""
    key = "bar" if face == "bar" else "end"
    low, high = number(float(frame.min()), 3), number(float(frame.max()), 3)
    span = low if low == high else f"{low} to {high}"
    return (
        f"cage.{key}_stiffness_N_per_um = {value:g} is far from the stiffness behind the {face} by "
        f"the frame model of this cage, {span} N/um. Check it, or leave the key out."
    )


def pocket_rows(backing) -> list[dict]:
    """Stiffness behind the faces of every pocket.

    Parameters
    ----------
    backing : Backing
        That a run takes.

    Returns
    -------
    list of dict
        pocket (from 1); leading, trailing, cover, base in N/um.
    """
    faces = {
        "leading": backing.bar,
        "trailing": np.roll(backing.bar, 1),
        "cover": backing.cover,
        "base": backing.base,
    }
    columns = {f"{name}_N_per_um": own / N_PER_UM for name, own in faces.items()}
    return [
        {"pocket": j + 1, **{name: float(own[j]) for name, own in columns.items()}}
        for j in range(len(backing.bar))
    ]


def pocket_lines(rows) -> list[str]:
    """Stiffness pocket by pocket as lines; none where all pockets are alike.

    Parameters
    ----------
    rows : list of dict
        As from `pocket_rows`.

    Returns
    -------
    list of str
    """
    names = [name for name in rows[0] if name != "pocket"]
    if not any(_unlike(np.array([row[name] for row in rows])) for name in names):
        return []
    cells = [[str(row["pocket"]), *(number(row[name], 3) for name in names)] for row in rows]
    return table(["N/um, pocket", *(name.removesuffix("_N_per_um") for name in names)], cells)


def _unlike(values) -> bool:
    """Whether values differ by more than what rounding does."""
    return bool(values.min() < 0.999 * values.max())
