"""What two cages are compared in: one number a run for every quantity, measured in one process."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from rollsim.analysis.contacts import select_episodes
from rollsim.analysis.peaks import PeaksResult, peaks
from rollsim.analysis.slip import SlipResult, slip
from rollsim.analysis.wear import WearResult, has_sums, wear
from rollsim.analysis.whirl import WhirlResult, whirl
from rollsim.fatigue.closure_loads import ClosureLoads, closure_loads
from rollsim.fatigue.contact_limits import (
    land_limit,
    land_pressure,
    pocket_limit,
    pocket_pressure,
)
from rollsim.fatigue.judged import LAND, POCKET, JudgedRun, judged_run
from rollsim.fatigue.kept_pieces import KeptPieces
from rollsim.fatigue.result import FatigueResult
from rollsim.history.kept_results import opened_with_results
from rollsim.structure.hot_spots import CLOSURE
from rollsim.sweep.ranking import GREATER, NEITHER, SMALLER
from rollsim.units import HOUR, MPA

#: The quantity on which a ranking of cages rests, stated before anything is looked at.
GOVERNING = "governing_utilisation"
UTILISATION = "utilisation"


class Seen(NamedTuple):
    """What one run gives to all quantities."""

    peaks: PeaksResult
    bars: np.ndarray
    rings: np.ndarray
    lands: np.ndarray
    whirl: WhirlResult
    slip: SlipResult
    wear: WearResult | None
    fatigue: FatigueResult
    closures: ClosureLoads | None
    judged: JudgedRun


@dataclass(frozen=True)
class ComparedQuantity:
    """One number of a run.

    Fields: name; words (what it is); unit (empty for none); group (heading of the table); better
    (`SMALLER`, `GREATER` or `NEITHER`); of (takes what was seen of a run; NaN where the run has
    none); statistic (over replicates: "median" or "mean"); signed (may be zero or change sign).
    """

    name: str
    words: str
    unit: str
    group: str
    better: str
    of: Callable | None = None
    statistic: str = "median"
    signed: bool = False


@dataclass(frozen=True)
class RunMeasures:
    """What is kept of a run.

    Fields: values (quantity -> number); mechanisms (name -> utilisation, at its worst place);
    places (mechanism -> words for that place); verdict (word); method; independent N (peaks, in
    order of time); observed_h h; closures (ClosureLoads or None); whirl_class; target_life_h h;
    warnings; judged (what a pooled verdict needs).
    """

    values: dict[str, float]
    mechanisms: dict[str, float]
    places: dict[str, str]
    verdict: str
    method: str
    independent: np.ndarray
    observed_h: float
    closures: ClosureLoads | None
    whirl_class: str
    target_life_h: float
    warnings: tuple[str, ...]
    judged: JudgedRun | None = None


def measure_run(path) -> RunMeasures:
    """Evaluate one finished history for a comparison.

    Parameters
    ----------
    path : str or Path
        History file.

    Returns
    -------
    RunMeasures

    Raises
    ------
    RollsimError
        The history cannot be evaluated.
    """
    with opened_with_results(path) as history:
        return measures_of(see(history), history)


def measures_of(seen: Seen, history) -> RunMeasures:
    """Numbers of a run that was evaluated.

    Parameters
    ----------
    seen : Seen
        From `see`.
    history : History
        Its open history.

    Returns
    -------
    RunMeasures
    """
    stress = _nominal(seen.fatigue, history.case)
    used, places = _utilisations(seen.judged)
    values = {own.name: float(own.of(seen)) for own in QUANTITIES if own.of is not None}
    values |= stress | {GOVERNING: max(used.values())}
    return RunMeasures(
        values=values,
        mechanisms=used,
        places=places,
        verdict=seen.fatigue.verdict,
        method=seen.fatigue.method,
        independent=seen.peaks.independent,
        observed_h=seen.peaks.duration / HOUR,
        closures=seen.closures,
        whirl_class=seen.whirl.verdict.name,
        target_life_h=seen.fatigue.target_life_h,
        warnings=seen.fatigue.warnings,
        judged=seen.judged,
    )


def see(history) -> Seen:
    """Make all evaluations of a run.

    Parameters
    ----------
    history : History
        Open history.

    Returns
    -------
    Seen
    """
    found = peaks(history)
    pockets, lands, _ = select_episodes(
        history.impacts(), found.start, found.end, history.roller_count
    )
    at_bar = pockets.contact % 4 < 2
    kept = KeptPieces()
    judged = judged_run(history, kept=kept)
    return Seen(
        found,
        pockets.peak[at_bar],
        pockets.peak[~at_bar],
        lands.peak,
        whirl(history),
        slip(history),
        kept.once("wear", lambda: wear(history)) if has_sums(history) else None,
        judged.result,
        closure_loads(history, judged.result.method, kept),
        judged,
    )


def _utilisations(judged: JudgedRun) -> tuple[dict[str, float], dict[str, str]]:
    """Utilisation of every mechanism at its worst place, and which place that is.

    Of fatigue: 1 over the reserve factor on the load at the target life. Of yield: largest nominal
    equivalent stress over yield strength. Of pockets and lands: pressure over its limit. The last
    three are the largest values of the run, in every run alike; what the service life adds is left
    to the pooled verdict.
    """
    used, places = _contacts(judged)
    for spot in judged.result.spots:
        part = "closure" if spot.part == CLOSURE else "bar"
        reserve = float(spot.reserve[spot.worst])
        fatigued = math.inf if reserve == 0.0 else 1.0 / reserve
        worst = int(np.argmax(spot.yield_share))
        for name, value, row in (
            (f"{part} fatigue", fatigued, spot.worst),
            (f"{part} yield", float(spot.yield_share[worst]), worst),
        ):
            if name not in used or value > used[name]:
                used[name] = value
                places[name] = f"{spot.name}, bar {spot.bars[row] + 1}"
    return used, places


def _contacts(judged: JudgedRun) -> tuple[dict[str, float], dict[str, str]]:
    """Utilisation of pocket sides and lands by their largest force."""
    case, rows = judged.case, [("pocket hammering", POCKET, pocket_pressure, pocket_limit)]
    if case.cage.guidance != "roller":
        rows.append(("land load", LAND, land_pressure, land_limit))
    used = {
        name: pressure(case, judged.greatest[load]) / limit(case)[0]
        for name, load, pressure, limit in rows
    }
    return used, {name: judged.places[load] for name, load, *_ in rows}


def _nominal(result: FatigueResult, case) -> dict[str, float]:
    """Largest nominal equivalent stress of closures and bars in MPa."""
    found = {"closure_nominal_stress": math.nan, "bar_nominal_stress": math.nan}
    for spot in result.spots:
        name = "closure_nominal_stress" if spot.part == CLOSURE else "bar_nominal_stress"
        limit = case.materials[spot.material].yield_strength
        found[name] = np.fmax(found[name], float(spot.yield_share.max()) * limit / MPA)
    return {name: float(value) for name, value in found.items()}


def _percentile(values: np.ndarray, level: float) -> float:
    """Percentile, NaN where nothing was touched."""
    return float(np.percentile(values, level)) if len(values) else math.nan


def _closures(seen: Seen, name: str) -> float:
    """Largest of all closures; NaN for a cage in one piece."""
    return math.nan if seen.closures is None else float(getattr(seen.closures, name).max())


def _wear(seen: Seen, name: str) -> float:
    """Sum over all contacts; NaN where the history has none."""
    return math.nan if seen.wear is None else float(getattr(seen.wear, name).mean.sum())


def _smearing(seen: Seen, ring: int) -> float:
    """99th percentile of the worst roller in W/mm2."""
    found = seen.slip.smearing
    return math.nan if found is None else 1e-6 * float(found.percentile_99[:, ring].max())


def _peaks_quantities() -> tuple[ComparedQuantity, ...]:
    """Forces on the pockets."""
    rows = (
        (
            "pocket_p50",
            "all pockets, median of the peaks",
            lambda s: np.append(s.bars, s.rings),
            50,
        ),
        ("pocket_p90", "all pockets, 90th percentile", lambda s: np.append(s.bars, s.rings), 90),
        ("pocket_p99", "all pockets, 99th percentile", lambda s: np.append(s.bars, s.rings), 99),
        ("bar_p99", "bars, 99th percentile", lambda s: s.bars, 99),
        ("ring_p99", "base and cover, 99th percentile", lambda s: s.rings, 99),
    )
    group = "pocket force peaks"
    found = [
        ComparedQuantity(name, words, "N", group, SMALLER, _taken(of, level))
        for name, words, of, level in rows
    ]
    largest = ComparedQuantity(
        "pocket_largest", "largest of the run", "N", group, SMALLER,
        lambda s: np.nan if s.peaks.largest is None else s.peaks.largest.force,
    )  # fmt: skip
    level = ComparedQuantity(
        "pocket_level", "passed once in ten evaluated times", "N", group, SMALLER
    )
    return (*found, largest, level)


def _taken(of: Callable, level: float) -> Callable:
    """Percentile of what `of` gives."""
    return lambda seen: _percentile(of(seen), level)


def _simple(group: str, *rows) -> tuple[ComparedQuantity, ...]:
    """Quantities of a group: name, words, unit, better, of, and what else."""
    return tuple(
        ComparedQuantity(name, words, unit, group, better, of, **more)
        for name, words, unit, better, of, more in rows
    )


_MEAN, _SIGNED = {"statistic": "mean"}, {"signed": True}

#: All quantities but the utilisations of single mechanisms, which depend on the cages.
QUANTITIES = (
    ComparedQuantity(GOVERNING, "governing utilisation", "", "verdict", SMALLER),
    *_simple(
        "verdict",
        ("reserve", "reserve factor on the load", "", GREATER, lambda s: s.fatigue.reserve, {}),
        ("damage_rate", "damage, governing place", "1/h", SMALLER,
         lambda s: 0.0 if math.isinf(s.fatigue.life_h) else 1.0 / s.fatigue.life_h
         if s.fatigue.life_h > 0.0 else math.inf, _MEAN),
        ("life", "life, median run", "h", GREATER, lambda s: s.fatigue.life_h, {}),
    ),
    *_peaks_quantities(),
    *_simple(
        "impulse and friction work",
        ("pocket_impulse", "impulse of the pockets per s", "N", SMALLER,
         lambda s: _wear(s, "pocket_impulse"), _MEAN),
        ("pocket_work", "friction work of the pockets", "J/h", SMALLER,
         lambda s: _wear(s, "pocket_work"), _MEAN),
        ("land_work", "friction work of the lands", "J/h", SMALLER,
         lambda s: _wear(s, "land_work"), _MEAN),
    ),
    *_simple(
        "lands",
        ("land_p99", "land force peaks, 99th percentile", "N", SMALLER,
         lambda s: _percentile(s.lands, 99.0), {}),
        ("land_largest", "largest land force", "N", SMALLER,
         lambda s: s.fatigue.largest_land_force, {}),
        ("land_share", "time with a land loaded", "", NEITHER,
         lambda s: s.whirl.land_contact_share, _SIGNED),
    ),
    *_simple(
        "whirl and slip",
        ("whirl_ratio", "whirl speed over cage speed", "", NEITHER,
         lambda s: s.whirl.whirl_ratio, _SIGNED),
        ("eccentricity", "mean eccentricity over clearance", "", NEITHER,
         lambda s: s.whirl.eccentricity.mean, {}),
        ("cage_slip", "slip of the cage", "", NEITHER, lambda s: s.slip.cage.mean, _SIGNED),
        ("spin_slip", "slip of roller spin", "", NEITHER, lambda s: s.slip.spin.mean, _SIGNED),
        ("smearing", "smearing, inner ring, 99th percentile", "W/mm2", SMALLER,
         lambda s: _smearing(s, 1), {}),
    ),
    *_simple(
        "closures and bars",
        ("closure_pull", "largest axial closure force", "N", NEITHER,
         lambda s: _closures(s, "pull"), {}),
        ("closure_swing", "swing of the axial closure force", "N", NEITHER,
         lambda s: _closures(s, "swing"), {}),
        ("closure_bending", "largest closure bending moment", "N m", NEITHER,
         lambda s: _closures(s, "bending"), {}),
    ),
    ComparedQuantity("closure_nominal_stress", "nominal stress of the closures", "MPa",
                     "closures and bars", NEITHER),
    ComparedQuantity("bar_nominal_stress", "nominal stress of the bars", "MPa",
                     "closures and bars", NEITHER),
)  # fmt: skip
