"""The black box of a failed run in words and as plain data."""

from __future__ import annotations

import numpy as np

from rollsim.history.black_box import BlackBox
from rollsim.history.layout import FACES, RINGS

_ROWS = 12
#: Kinds of contact: channel, words, labels of its last dimension.
CONTACTS = (
    ("raceway_force", "raceway", RINGS),
    ("pocket_force", "pocket face", FACES),
    ("land_force", "land", ("base", "cover")),
)


def land_force(box: BlackBox) -> np.ndarray:
    """Size of the force of the lands on the cage.

    Parameters
    ----------
    box : BlackBox
        What a failed run left.

    Returns
    -------
    ndarray (step, land), N
    """
    return np.linalg.norm(box.channels["land_force"], axis=2)


def largest_forces(box: BlackBox) -> dict[str, np.ndarray]:
    """Largest force of every kind of contact at the end of every step.

    Parameters
    ----------
    box : BlackBox
        What a failed run left.

    Returns
    -------
    dict of str to ndarray (step,), N
        Words of `CONTACTS` to forces.
    """
    return {
        words: _forces(box, name).reshape(len(box.steps["time"]), -1).max(axis=1)
        for name, words, _ in CONTACTS
    }


def _forces(box, name):
    """Forces of a kind of contact, N; steps first."""
    return land_force(box) if name == "land_force" else np.asarray(box.channels[name])


def black_box_dict(box: BlackBox, path) -> dict:
    """The black box as plain data: what failed, the last steps, the largest forces in them.

    Parameters
    ----------
    box : BlackBox
        What a failed run left.
    path : Path
        Its file.

    Returns
    -------
    dict
    """
    time = np.asarray(box.steps["time"])
    largest = largest_forces(box)
    return {
        "file": str(path),
        "case_name": box.attributes.get("case_name"),
        "solver": box.attributes.get("solver"),
        "reason": box.attributes.get("reason"),
        "failed_at_s": box.attributes.get("failed_at_s"),
        "steps": len(time),
        "from_s": float(time[0]),
        "to_s": float(time[-1]),
        "shortest_step_s": float(np.min(box.steps["length"])),
        "longest_step_s": float(np.max(box.steps["length"])),
        "largest_forces": [_largest(box, *contact) for contact in CONTACTS],
        "last_steps": [
            {
                "time_s": float(time[i]),
                "length_s": float(box.steps["length"][i]),
                "error": float(box.steps["error"][i]),
                **{f"{name.replace(' ', '_')}_N": float(f[i]) for name, f in largest.items()},
            }
            for i in range(max(0, len(time) - _ROWS), len(time))
        ],
    }


def _largest(box, name, words, labels):
    """Where and when the largest force of a kind of contact acted."""
    forces = _forces(box, name)
    if not np.isfinite(forces).any():
        return {"contact": words, "force_N": None, "time_s": None, "where": ""}
    place = np.unravel_index(np.nanargmax(forces), forces.shape)
    where = labels[place[-1]] if len(place) < 3 else f"roller {place[1] + 1}, {labels[place[-1]]}"
    return {
        "contact": words,
        "force_N": float(forces[place]),
        "time_s": float(box.steps["time"][place[0]]),
        "where": where,
    }


def black_box_text(found: dict) -> str:
    """The black box in words, its last steps as a table.

    Parameters
    ----------
    found : dict
        From `black_box_dict`.

    Returns
    -------
    str
    """
    span = 1e3 * (found["to_s"] - found["from_s"])
    lines = [
        f"{found['case_name']}: the run stopped: {found['reason']}",
        f"kept: {found['steps']} internal steps, the last {span:.3g} ms up to "
        f"{found['to_s']:.9g} s; steps of {1e6 * found['shortest_step_s']:.3g} to "
        f"{1e6 * found['longest_step_s']:.3g} us",
        "largest forces in them:",
    ]
    for item in found["largest_forces"]:
        if item["force_N"]:
            before = 1e6 * (found["to_s"] - item["time_s"])
            lines.append(
                f"  {item['contact']}: {item['force_N']:.4g} N ({item['where']}), {before:.4g} us "
                "before the end"
            )
        else:
            lines.append(f"  {item['contact']}: no contact")
    lines += ["last steps:", "  before the end    length    error   raceway   pocket face    land"]
    lines.append("              us        us               N             N       N")
    for row in found["last_steps"]:
        before = 1e6 * (found["to_s"] - row["time_s"])
        lines.append(
            f"  {before:14.4g} {1e6 * row['length_s']:9.3g} {row['error']:8.2g} "
            f"{row['raceway_N']:9.4g} {row['pocket_face_N']:13.4g} {row['land_N']:7.4g}"
        )
    lines.append(f"every channel of every step: {found['file']} (HDF5, group history)")
    return "\n".join(lines)
