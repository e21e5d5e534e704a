"""What one history says about the things that can be seen on a cage."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from rollsim.analysis.rolling import has_channel
from rollsim.analysis.settled import settled_window
from rollsim.analysis.wear import WearResult, has_sums, wear
from rollsim.analysis.whirl import WhirlResult, whirl
from rollsim.fatigue.result import FatigueResult
from rollsim.fatigue.verdict import fatigue
from rollsim.history.reader import open_history
from rollsim.structure.hot_spots import BARS, CLOSURE

SECTORS = 36


@dataclass(frozen=True)
class LandMap:
    """How the force of the lands is spread around.

    Attributes
    ----------
    cage, ring : ndarray (sectors,)
        Share of the land impulse by azimuth, in the frame of the cage (pocket 1 at 0 degrees) and
        of the guiding ring; counter-clockwise from 0 degrees, sectors of 10 degrees.
    cage_one_sided, ring_one_sided : float
        Length of the mean direction, weighted by force: 0 all round, 1 at one spot. NaN where no
        land carries anything.
    turns : float
        Turns of the cage against the ring in the evaluated time.
    """

    cage: np.ndarray
    ring: np.ndarray
    cage_one_sided: float
    ring_one_sided: float
    turns: float


@dataclass(frozen=True)
class Facts:
    """One history, evaluated.

    Fields: name (of the case); file; rollers; roller_diameter, pitch_diameter, cage_inner,
    cage_outer m; planar; guide; wear (None without sums); whirl; fatigue; land (None where the
    rollers guide the cage); closure_use, bar_use: arrays (bars,), 1 over the least reserve of a
    place of the part at each bar, NaN where the part is not there.
    """

    name: str
    file: str
    rollers: int
    roller_diameter: float
    pitch_diameter: float
    cage_inner: float
    cage_outer: float
    planar: bool
    guide: str
    wear: WearResult | None
    whirl: WhirlResult
    fatigue: FatigueResult
    land: LandMap | None
    closure_use: np.ndarray
    bar_use: np.ndarray


def facts_of(path: str | Path) -> Facts:
    """Evaluate a history for the questions of an investigation.

    Parameters
    ----------
    path : str or Path
        History file.

    Returns
    -------
    Facts

    Raises
    ------
    RollsimError
        The history cannot be evaluated.
    """
    with open_history(path) as history:
        case, found = history.case, fatigue(history)
        motion = whirl(history)
        guided = case.cage.guidance != "roller"
        return Facts(
            name=motion.case_name,
            file=str(path),
            rollers=int(history.roller_count),
            roller_diameter=1e-3 * case.roller.diameter_mm,
            pitch_diameter=1e-3 * case.bearing.pitch_diameter_mm,
            cage_inner=1e-3 * case.cage.inner_diameter_mm,
            cage_outer=1e-3 * case.cage.outer_diameter_mm,
            planar=str(history.attributes.get("motion", "")) == "planar",
            guide=motion.guide,
            wear=wear(history) if has_sums(history) else None,
            whirl=motion,
            fatigue=found,
            land=_land_map(history) if guided else None,
            closure_use=_use(found, CLOSURE, int(history.roller_count)),
            bar_use=_use(found, BARS, int(history.roller_count)),
        )


def _use(found: FatigueResult, part: str, bars: int) -> np.ndarray:
    """Share of the reserve used up at each bar, the worst place of the part."""
    used = np.full(bars, np.nan)
    for spot in found.spots:
        if spot.part == part:
            with np.errstate(divide="ignore"):
                own = 1.0 / np.asarray(spot.reserve, dtype=float)
            used[spot.bars] = np.fmax(used[spot.bars], own)
    return used


def _land_map(history) -> LandMap | None:
    """Direction of the land force in both frames, weighted by force."""
    inside = settled_window(history).slice
    force = np.asarray(history.channel("land_force"), dtype=float)[inside, :, :2].sum(axis=1)
    pull = force[:, 0] + 1j * force[:, 1]
    if not np.any(pull):
        return None
    # A land outside pushes the cage inwards: the spot that touches lies against the force. A land
    # inside (inner ring) pushes outwards, and the spot lies along it.
    outside = history.case.cage.guidance == "outer_ring"
    spot = -pull if outside else pull
    cage = _turned(history, "cage", inside)
    ring = _turned(history, "outer" if outside else "inner", inside)
    maps = [_spread(spot * np.exp(-1j * angle)) for angle in (cage, ring)]
    turns = abs(float((cage - ring)[-1] - (cage - ring)[0])) / (2.0 * np.pi)
    return LandMap(maps[0][0], maps[1][0], maps[0][1], maps[1][1], turns)


def _turned(history, body: str, inside: slice) -> np.ndarray:
    """Turning angle of a body, rad."""
    if has_channel(history, f"{body}_angle"):
        return np.asarray(history.channel(f"{body}_angle"), dtype=float)[inside]
    time = np.asarray(history.time, dtype=float)
    speed = np.asarray(history.channel(f"{body}_speed"), dtype=float)
    return np.cumsum(speed * np.diff(time, prepend=time[0]))[inside]


def _spread(spot: np.ndarray) -> tuple[np.ndarray, float]:
    """Shares of the sectors, and the length of the mean direction."""
    weight = np.abs(spot)
    sector = np.floor(np.angle(spot) % (2.0 * np.pi) / (2.0 * np.pi) * SECTORS).astype(int)
    sums = np.bincount(np.minimum(sector, SECTORS - 1), weight, minlength=SECTORS)
    return sums / weight.sum(), float(abs(spot.sum()) / weight.sum())
