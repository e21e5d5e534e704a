"""What a fatigue evaluation gives."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from rollsim.fatigue.counting import Cycles
from rollsim.fatigue.evaluate import SpotCycles
from rollsim.fatigue.side_line import SideLine
from rollsim.fatigue.sn_curve import SNCurve
from rollsim.fatigue.vibrations import MethodDifference

SURVIVES, FAILS, UNKNOWN = "survives", "does not survive", "cannot tell"
#: Order in which words of the verdict decide.
WORST_FIRST = (FAILS, UNKNOWN, SURVIVES)


@dataclass(frozen=True)
class SpotResult:
    """One sort of hot spot, over all closures or bars that have it.

    Fields: name; part (`rollsim.structure.hot_spots.CLOSURE` or `BARS`); bars (numbers, the first
    is 0); point (point of the section that is damaged most); damage_per_h 1/h of service; life_h h;
    reserve (factor on the load at the target life); highest_stress Pa (largest local stress,
    preload included); yield_share (largest nominal equivalent stress over yield strength);
    block_life_h (blocks, bars) h: life from each block of the history alone; cycles (of the worst
    bar, local stress without preload); worst (place in `bars` of the worst one); preload_stress Pa
    (local, at the worst point of the worst bar); notch_factors (tension, bending about r, about t);
    curve; material, note: texts; yield_strength Pa; static (bars,) Pa: preload stress at the worst
    point of every bar; found (cycles of that point of every bar, whole and by blocks; None for a
    result made by hand); maxima (samples,) Pa: largest equivalent stress of each interval;
    joint_ratio (bars,): reserve over that from counted cycles scaled as they are (None: the same).
    """

    name: str
    part: str
    bars: np.ndarray
    point: np.ndarray
    damage_per_h: np.ndarray
    life_h: np.ndarray
    reserve: np.ndarray
    highest_stress: np.ndarray
    yield_share: np.ndarray
    block_life_h: np.ndarray
    cycles: Cycles
    worst: int
    preload_stress: float
    notch_factors: tuple[float, float, float]
    curve: SNCurve
    material: str
    note: str
    yield_strength: float = float("nan")
    static: np.ndarray = field(default_factory=lambda: np.zeros(0))
    found: SpotCycles | None = None
    maxima: np.ndarray = field(default_factory=lambda: np.zeros(0))
    joint_ratio: np.ndarray | None = None


@dataclass(frozen=True)
class PartVerdict:
    """Verdict on the closures, or on the bars, by their place with the least reserve.

    Fields: part (closure or bars); spot (the place with the least reserve); verdict (`SURVIVES`,
    `FAILS` or `UNKNOWN`); reason (one or two sentences); life_interval_h, reserve_interval (least
    and largest over the blocks of the history and the whole; None where it is too short for
    blocks); block_reserve (reserve of that place from each block alone); yield_share (largest share
    of yield in this part); side_line (spectral methods beside rainflow counting for the most
    damaged bar; None where the stress stands still or the history is too short).
    """

    part: str
    spot: SpotResult
    verdict: str
    reason: str
    life_interval_h: tuple[float, float] | None
    reserve_interval: tuple[float, float] | None
    block_reserve: np.ndarray
    yield_share: float
    side_line: SideLine | None = None

    @property
    def bar(self) -> int:
        """Bar of the place; the first is 0."""
        return int(self.spot.bars[self.spot.worst])

    @property
    def life_h(self) -> float:
        """Life of the place in h."""
        return float(self.spot.life_h[self.spot.worst])

    @property
    def reserve(self) -> float:
        """Factor on the load at the target life."""
        return float(self.spot.reserve[self.spot.worst])


@dataclass(frozen=True)
class FatigueResult:
    """Verdict on the closures and bars of a cage.

    The overall verdict is that of the governing part: the one with the worse word, of equal words
    the one with less reserve.

    Fields: case_name; closure (kind); closures, bars: verdicts on the parts, None for the closures
    of a cage in one piece; spots: all places; target_life_h h; survival_probability; load_share;
    start_s, end_s, duration_s: evaluated part of the history; largest_cover_force,
    largest_bar_force, largest_base_force, largest_land_force N; method (how loads became section
    forces); open_share, searched_share (of all states: a part of the interface open; exact search
    needed); difference, what vibrations of the cage change (None for a verdict as at rest);
    block_hours (length of every block, h);
    warnings (to be said first), limits (of validity), notes: sentences; own_assumptions (of the
    method), touching_assumptions (values of the case that touch the verdict, in short),
    assumptions (all, with their effects): lines; reserve_note, how the reserve was found, with
    reserve_passes through the history and opening_factor, the factor on the loads at which the
    preload is first overcome (None without preload).
    """

    case_name: str
    closure: str
    closures: PartVerdict | None
    bars: PartVerdict
    spots: tuple[SpotResult, ...]
    target_life_h: float
    survival_probability: float
    load_share: float
    start_s: float
    end_s: float
    duration_s: float
    largest_cover_force: float
    largest_bar_force: float
    largest_base_force: float
    largest_land_force: float
    method: str
    open_share: float
    searched_share: float
    warnings: tuple[str, ...]
    limits: tuple[str, ...]
    own_assumptions: tuple[str, ...]
    touching_assumptions: tuple[str, ...]
    assumptions: tuple[str, ...]
    notes: tuple[str, ...]
    difference: MethodDifference | None = None
    block_hours: tuple[float, ...] = ()
    reserve_note: str = ""
    reserve_passes: float = 0.0
    opening_factor: float | None = None

    @property
    def parts(self) -> tuple[PartVerdict, ...]:
        """Verdicts on the parts that there are, the closures first."""
        return (self.bars,) if self.closures is None else (self.closures, self.bars)

    @property
    def governing(self) -> PartVerdict:
        """The part that gives the overall verdict."""
        return min(self.parts, key=lambda part: (WORST_FIRST.index(part.verdict), part.reserve))

    @property
    def verdict(self) -> str:
        """Overall verdict."""
        return self.governing.verdict

    @property
    def life_h(self) -> float:
        """Life of the governing place in h."""
        return self.governing.life_h

    @property
    def reserve(self) -> float:
        """Reserve factor of the governing place."""
        return self.governing.reserve

    @property
    def yield_share(self) -> float:
        """Largest share of yield over all places and bars."""
        return max(part.yield_share for part in self.parts)

    @property
    def on_bars_alone(self) -> bool:
        """Nothing pushed the cover: the verdicts hold for forces on the bars alone."""
        return self.largest_cover_force <= 0.0
