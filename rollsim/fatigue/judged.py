"""Everything that the verdict needs from one history, read once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from rollsim.analysis.contacts import select_episodes
from rollsim.analysis.declustering import independent_peaks
from rollsim.analysis.peaks import SEPARATION_S
from rollsim.analysis.pooling import RunPeaks
from rollsim.analysis.settled import FACES, settled_window
from rollsim.analysis.wear import has_sums, wear
from rollsim.fatigue.kept_pieces import KeptPieces
from rollsim.fatigue.result import FatigueResult
from rollsim.fatigue.verdict import fatigue
from rollsim.history.worked_out import once_a_history
from rollsim.model.lands import land_width
from rollsim.units import HOUR, MM

#: Loads whose peaks are kept, beside the parts (share of yield): N.
POCKET, LAND = "pocket side", "land"
#: Wear measures: N, J/h, N, J/h, Pa m/s.
POCKET_IMPULSE, POCKET_WORK, LAND_IMPULSE, LAND_WORK, LAND_PV = (
    "pocket impulse", "pocket friction work", "land impulse", "land friction work", "land PV",
)  # fmt: skip
_SIDES = 2


@dataclass(frozen=True)
class JudgedRun:
    """One run, evaluated.

    Fields: case; seed; result (closures and bars, with their cycles); hours (evaluated time);
    peaks (load, or part of the cage -> independent peaks: N, or share of yield); greatest
    (likewise, the largest observed); places (load -> roller or land of the greatest, as text);
    wear (measure -> the largest over pocket sides or lands; empty without the sums); wear_places.
    """

    case: Any
    seed: int
    result: FatigueResult
    hours: float
    peaks: dict[str, RunPeaks]
    greatest: dict[str, float]
    places: dict[str, str]
    wear: dict[str, float]
    wear_places: dict[str, str]


@once_a_history(apart=("kept",))
def judged_run(history, method: str | None = None, kept: KeptPieces | None = None) -> JudgedRun:
    """Evaluate a history for the verdict.

    Parameters
    ----------
    history : History
        Opened history.
    method : str or None
        As in `rollsim.fatigue.verdict.fatigue`.
    kept : KeptPieces or None
        As there.

    Returns
    -------
    JudgedRun

    Raises
    ------
    RollsimError
        As in `rollsim.fatigue.verdict.fatigue`.
    """
    kept = kept or KeptPieces()
    result = fatigue(history, method, kept)
    peaks, places = _force_peaks(history)
    peaks |= {part.part: _yield_peaks(result, part.part) for part in result.parts}
    greatest = {POCKET: result.largest_bar_force, LAND: result.largest_land_force}
    greatest |= {part.part: part.yield_share for part in result.parts}
    measures, where = _wear(history, kept)
    return JudgedRun(
        case=history.case,
        seed=int(history.attributes.get("seed", 0)),
        result=result,
        hours=result.duration_s / HOUR,
        peaks=peaks,
        greatest=greatest,
        places=places,
        wear=measures,
        wear_places=where,
    )


def _force_peaks(history) -> tuple[dict[str, RunPeaks], dict[str, str]]:
    """Independent peaks of the forces on pocket sides and on lands."""
    window = settled_window(history)
    pockets, lands, _ = select_episodes(
        history.impacts(), window.start, window.end, history.roller_count
    )
    hours = window.duration / HOUR
    found, places = {}, {}
    sides = pockets.contact % len(FACES) < _SIDES
    for name, table, own in ((POCKET, pockets, sides), (LAND, lands, slice(None))):
        start, peak, contact = table.start[own], table.peak[own], table.contact[own]
        found[name] = RunPeaks(peak[independent_peaks(start, peak, SEPARATION_S)], hours)
        places[name] = _place(name, int(contact[np.argmax(peak)])) if len(peak) else "none touched"
    return found, places


def _place(name: str, contact: int) -> str:
    """Words for a pocket side or a land."""
    if name == LAND:
        return f"{('base', 'cover')[contact]} land"
    return f"pocket {contact // len(FACES) + 1}, {FACES[contact % len(FACES)]} side"


def _yield_peaks(result: FatigueResult, part: str) -> RunPeaks:
    """Independent peaks of the equivalent stress of a part, as shares of yield."""
    shares = np.max(
        [spot.maxima / spot.yield_strength for spot in result.spots if spot.part == part], axis=0
    )
    time = np.arange(len(shares)) * result.duration_s / max(len(shares), 1)
    marks = independent_peaks(time, shares, SEPARATION_S)
    return RunPeaks(shares[marks].astype(float), result.duration_s / HOUR)


def _wear(history, kept: KeptPieces) -> tuple[dict[str, float], dict[str, str]]:
    """Largest impulse rates and friction work over pocket sides and lands."""
    if not has_sums(history):
        return {}, {}
    found = kept.once("wear", lambda: wear(history))
    values, places = {}, {}
    for name, rate in (
        (POCKET_IMPULSE, found.pocket_impulse),
        (POCKET_WORK, found.pocket_work),
    ):
        sides = rate.mean[:, :_SIDES]
        roller, face = np.unravel_index(int(np.argmax(sides)), sides.shape)
        values[name] = float(sides[roller, face])
        places[name] = f"pocket {roller + 1}, {FACES[face]} side"
    if history.case.cage.guidance == "roller":
        return values, places
    for name, rate in ((LAND_IMPULSE, found.land_impulse), (LAND_WORK, found.land_work)):
        land = int(np.argmax(rate.mean))
        values[name], places[name] = float(rate.mean[land]), f"{('base', 'cover')[land]} land"
    values[LAND_PV] = values[LAND_IMPULSE] * _sliding_over_area(history)
    places[LAND_PV] = places[LAND_IMPULSE]
    return values, places


def _sliding_over_area(history) -> float:
    """Mean sliding speed of the lands over their projected area, 1/(m s)."""
    case, window = history.case, settled_window(history)
    inside = case.cage.guidance == "inner_ring"
    ring = np.asarray(history.channel("inner_speed" if inside else "outer_speed"))[window.slice]
    cage = np.asarray(history.channel("cage_speed"))[window.slice]
    diameter = MM * (case.cage.inner_diameter_mm if inside else case.cage.outer_diameter_mm)
    speed = 0.5 * diameter * float(np.mean(np.abs(ring - cage)))
    return speed / (land_width(case) * diameter)
