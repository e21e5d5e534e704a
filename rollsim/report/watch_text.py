"""What the cage does at the moment, in words, for a terminal that is refreshed."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from rollsim.errors import HistoryError
from rollsim.history.layout import FACES
from rollsim.history.live import latest, read_live
from rollsim.report.status_text import status_text

_BAR = 40


def watched(path: str | Path, found: dict) -> dict | None:
    """Motion and forces of the latest blocks of a run.

    Parameters
    ----------
    path : str or Path
        Output file of the run.
    found : dict
        Result of `rollsim.history.status_summary`.

    Returns
    -------
    dict or None
        from_s, until_s; pocket_force_N (largest, by face); eccentricity_um, eccentricity_share (of
        the guidance clearance; None without one): mean and largest; cage_speed_rpm. None where
        there is no block. From the live view where it reaches as far as the blocks, else from the
        last block.
    """
    if not found["blocks"]:
        return None
    try:
        attributes, rows = read_live(path)
        current = len(rows["time"]) and abs(rows["time"][-1] - found["simulated_s"]) < 1e-9
    except (HistoryError, KeyError):
        current = False
    if not current:
        attributes, rows = latest(path)
    return _measures(attributes, rows) if len(rows["time"]) else None


def _measures(attributes: dict, rows: dict) -> dict:
    """Numbers of the view."""
    found = {"from_s": float(rows["time"][0]), "until_s": float(rows["time"][-1])}
    if "pocket_force" in rows:
        found["pocket_force_N"] = dict(
            zip(FACES, rows["pocket_force"].max(axis=0).astype(float).tolist(), strict=True)
        )
    if "cage_eccentricity" in rows:
        off = rows["cage_eccentricity"]
        both = np.array([off.mean(), off.max()])
        found["eccentricity_um"] = (1e6 * both).tolist()
        play = float(attributes.get("guidance_clearance_m", 0.0))
        found["eccentricity_share"] = (both / play).tolist() if play > 0.0 else None
    if "cage_speed" in rows:
        found["cage_speed_rpm"] = float(rows["cage_speed"].mean() * 30.0 / np.pi)
    return found


def watch_text(name: str, found: dict, view: dict | None) -> str:
    """One picture of the terminal.

    Parameters
    ----------
    name : str
        Of the run.
    found : dict
        Result of `rollsim.history.status_summary`.
    view : dict or None
        Result of `watched`.

    Returns
    -------
    str
    """
    lines = [name]
    if found["share_done"] is not None:
        done = round(_BAR * found["share_done"])
        lines.append(f"[{'#' * done}{'.' * (_BAR - done)}] {100 * found['share_done']:.1f} %")
    lines.append(status_text(found))
    return "\n".join(lines + (_view_lines(view) if view else []))


def _view_lines(view: dict) -> list[str]:
    """The latest blocks in words."""
    lines = [f"latest, {view['from_s']:.4g} to {view['until_s']:.4g} s:"]
    if "pocket_force_N" in view:
        forces = ", ".join(f"{face} {value:.0f}" for face, value in view["pocket_force_N"].items())
        lines.append(f"  largest pocket force in N: {forces}")
    if "eccentricity_um" in view:
        mean, most = view["eccentricity_um"]
        words = f"  cage off centre: mean {mean:.1f} um, at most {most:.1f} um"
        if view["eccentricity_share"]:
            mean, most = view["eccentricity_share"]
            words += f" ({100 * mean:.0f} and {100 * most:.0f} % of the guidance clearance)"
        lines.append(words)
    if "cage_speed_rpm" in view:
        lines.append(f"  cage speed: mean {view['cage_speed_rpm']:.1f} rpm")
    return lines
