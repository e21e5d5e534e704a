"""What a fatigue evaluation gives."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rollsim.fatigue.counting import Cycles
from rollsim.fatigue.sn_curve import SNCurve


@dataclass(frozen=True)
class SpotResult:
    """One sort of hot spot, over all closures or bars that have it.

    Fields: name; bars (numbers, the first is 0); point (point of the section that is damaged most);
    damage_per_h 1/h of service; life_h h; reserve (factor on the load at the target life);
    highest_stress Pa (largest local stress, preload included); yield_share (largest nominal
    equivalent stress over yield strength); block_life_h (blocks, bars) h: life from each block of
    the history alone; cycles (of the worst bar, local stress without preload); worst (place in
    `bars` of the worst one); preload_stress Pa (local); notch_factors (tension, bending about r,
    about t); curve; material, note: texts.
    """

    name: str
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


@dataclass(frozen=True)
class FatigueResult:
    """Verdict on the closures of a cage.

    Fields: case_name; closure (kind); verdict ("survives", "does not survive", "cannot tell");
    reason (one sentence); spots; governing (number of the governing spot); bar (its bar, the first
    is 0); life_h h, reserve (of the governing place) with life_interval_h and reserve_interval
    (least and largest over the blocks of the history and the whole; None where it is too short for
    blocks); block_reserve; target_life_h h; survival_probability; load_share; start_s, end_s,
    duration_s: evaluated part of the history; largest_cover_force, largest_bar_force N; warnings
    (to be said first), limits (of validity), notes: sentences; own_assumptions (of the method),
    touching_assumptions (values of the case that touch the verdict, in short), assumptions (all,
    with their effects): lines.
    """

    case_name: str
    closure: str
    verdict: str
    reason: str
    spots: tuple[SpotResult, ...]
    governing: int
    bar: int
    life_h: float
    life_interval_h: tuple[float, float] | None
    reserve: float
    reserve_interval: tuple[float, float] | None
    block_reserve: np.ndarray
    target_life_h: float
    survival_probability: float
    load_share: float
    start_s: float
    end_s: float
    duration_s: float
    largest_cover_force: float
    largest_bar_force: float
    warnings: tuple[str, ...]
    limits: tuple[str, ...]
    own_assumptions: tuple[str, ...]
    touching_assumptions: tuple[str, ...]
    assumptions: tuple[str, ...]
    notes: tuple[str, ...]

    @property
    def governing_spot(self) -> SpotResult:
        """The hot spot with the least reserve."""
        return self.spots[self.governing]

    @property
    def yield_share(self) -> float:
        """Largest share of yield over all spots and bars."""
        return max(float(np.max(spot.yield_share)) for spot in self.spots)
