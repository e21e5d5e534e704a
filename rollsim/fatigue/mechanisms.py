"""Ways in which a cage fails, each on its own: demand, capacity, utilisation, interval, word."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from rollsim.analysis.extrapolation import FARTHEST_LEVEL, extrapolate, spread_reasons
from rollsim.analysis.extremes import ReturnLevel, fit_tail
from rollsim.analysis.pooling import pool_tail, pooled_level
from rollsim.fatigue.contact_limits import (
    land_limit,
    land_pressure,
    pocket_limit,
    pocket_pressure,
)
from rollsim.fatigue.judged import (
    LAND,
    LAND_IMPULSE,
    LAND_PV,
    LAND_WORK,
    POCKET,
    POCKET_IMPULSE,
    POCKET_WORK,
    JudgedRun,
)
from rollsim.fatigue.result import FAILS, SURVIVES, UNKNOWN, WORST_FIRST
from rollsim.units import MPA

#: What the interval of a load that could not be extrapolated is.
NOT_EXTRAPOLATED = (
    f"Where a load is not extrapolated, its interval is the largest observed to"
    f" {FARTHEST_LEVEL:g} times that (our own choice, not published)."
)
#: Word of a line without a limit.
TOLD = "told only"


@dataclass(frozen=True)
class Mechanism:
    """One way in which a cage fails.

    Fields: name; part; place; utilisation (demand over capacity, 1 at the limit; for fatigue one
    over the reserve factor on load at the target life; nan without a limit); demand, capacity in
    `unit` (capacity nan without a limit); basis (of the limit: its source, assumed or given); note
    (of the demand); interval (of the utilisation, None where it cannot be told); word (`SURVIVES`,
    `FAILS`, `UNKNOWN`, or `TOLD` without a limit).
    """

    name: str
    part: str
    place: str
    utilisation: float
    demand: float
    capacity: float
    unit: str
    basis: str
    note: str
    interval: tuple[float, float] | None = None
    word: str = TOLD

    @property
    def is_judged(self) -> bool:
        """Whether there is a limit."""
        return self.word != TOLD


@dataclass(frozen=True)
class ServiceLevel:
    """Largest load of the service life.

    Fields: value, low, high (the estimate and its limits); told (False where the largest observed
    one had to stand in); note.
    """

    value: float
    low: float
    high: float
    told: bool
    note: str


def interval_word(interval: tuple[float, float] | None) -> str:
    """Word for an interval of a utilisation.

    Parameters
    ----------
    interval : tuple of float or None
        Limits; None where it cannot be told.

    Returns
    -------
    str

    Examples
    --------
    >>> interval_word((0.2, 0.9)), interval_word((0.8, 1.2)), interval_word((1.0, 3.0))
    ('survives', 'cannot tell', 'does not survive')
    """
    if interval is None:
        return UNKNOWN
    low, high = interval
    return FAILS if low >= 1.0 else SURVIVES if high < 1.0 else UNKNOWN


def governing(mechanisms: Sequence[Mechanism]) -> Mechanism:
    """The mechanism that decides: the worst word, of equal words the largest utilisation.

    Parameters
    ----------
    mechanisms : sequence of Mechanism
        One with a limit at least.

    Returns
    -------
    Mechanism
    """
    judged = [one for one in mechanisms if one.is_judged]
    return min(judged, key=lambda one: (WORST_FIRST.index(one.word), -one.utilisation))


def service_level(runs: Sequence[JudgedRun], load: str, horizon_h: float) -> ServiceLevel:
    """Largest load in the service life, from the tail of the pooled peaks.

    Where the runs cannot tell it (`rollsim.analysis.extrapolation`), the largest observed load
    stands in, with an upper limit of 3 times it: the farthest level that is told at all (our own
    choice, not published).

    Parameters
    ----------
    runs : sequence of JudgedRun
        Replicates of one state, one or more.
    load : str
        A key of `JudgedRun.peaks`.
    horizon_h : float, h
        Service time in this state.

    Returns
    -------
    ServiceLevel
        In the unit of the load.
    """
    seen = max(run.greatest[load] for run in runs)
    level, reasons = _level(runs, load, horizon_h, seen)
    if level is None:
        note = f"largest observed value, not extrapolated ({'; '.join(reasons)})"
        return ServiceLevel(seen, seen, FARTHEST_LEVEL * seen, False, note)
    # What was seen has happened: the largest of the whole life is no smaller.
    value, low, high = (max(each, seen) for each in (level.level, level.low, level.high))
    note = f"extrapolated to {horizon_h:g} h, largest observed {100.0 * seen / value:.0f} % of it"
    return ServiceLevel(value, low, high, True, note)


def _level(runs, load, horizon_h, seen) -> tuple[ReturnLevel | None, tuple[str, ...]]:
    """Return level, or why there is none."""
    peaks = [run.peaks[load] for run in runs]
    count = sum(len(one.peak) for one in peaks)
    if len(runs) == 1:
        tail = fit_tail(peaks[0].peak, peaks[0].observed_h)
        found = extrapolate(tail, count, seen, horizon_h)
        return found.level, found.reasons
    pool = pool_tail(peaks)
    found = extrapolate(None if pool is None else pool.tail, count, seen, horizon_h)
    if pool is None or found.level is None:
        return None, found.reasons
    level = pooled_level(pool, horizon_h).level
    reasons = tuple(spread_reasons(level, seen))
    return (None, reasons) if reasons else (level, ())


def static_mechanisms(states: Sequence[tuple[Sequence[JudgedRun], float]]) -> tuple[Mechanism, ...]:
    """Yield of closures and bars, hammering of pocket sides, lands, and measures of wear.

    Parameters
    ----------
    states : sequence of (runs, hours)
        Replicates of every state and its part of the service life, in h.

    Returns
    -------
    tuple of Mechanism
    """
    first = states[0][0][0]
    lines = [_yield_line(states, part.part) for part in first.result.parts]
    lines.append(_hammering(states))
    if first.case.cage.guidance != "roller":
        lines.append(_land_line(states))
    return (*lines, *_wear_lines(states))


def _worst(states, load) -> tuple[ServiceLevel, JudgedRun]:
    """The state with the largest load, and its run that saw the largest."""
    found = []
    for runs, hours in states:
        level = service_level(runs, load, hours)
        found.append((level, max(runs, key=lambda run: run.greatest[load])))
    level, run = max(found, key=lambda pair: pair[0].value)
    high = max(other.high for other, _ in found)
    return ServiceLevel(level.value, level.low, high, level.told, level.note), run


def _yield_line(states, part: str) -> Mechanism:
    """Nominal equivalent stress of a part against yield."""
    level, run = _worst(states, part)
    spots = [spot for spot in run.result.spots if spot.part == part]
    spot = max(spots, key=lambda one: float(one.yield_share.max()))
    bar = int(spot.bars[int(spot.yield_share.argmax())]) + 1
    limit = spot.yield_strength / MPA
    return Mechanism(
        name=f"{_single(part)} yield",
        part=part,
        place=f"{spot.name}, bar {bar}",
        utilisation=level.value,
        demand=level.value * limit,
        capacity=limit,
        unit="MPa",
        basis=f"yield strength of {spot.material}: {_yield_basis(run, spot.material)}",
        note=f"nominal von Mises stress, {level.note}",
        interval=(level.low, level.high),
        word=interval_word((level.low, level.high)),
    )


def _yield_basis(run: JudgedRun, material: str) -> str:
    """Where the yield strength of a material comes from."""
    return run.case.materials[material].basis.get("yield_MPa", "no source named")


def _single(part: str) -> str:
    """A part as it stands before the name of a mechanism."""
    return "bar" if part == "bars" else part


def _pressure_line(states, load: str, name: str, pressure: Callable, found: tuple) -> Mechanism:
    """Contact pressure against its limit; `found` = (limit in Pa, basis)."""
    level, run = _worst(states, load)
    limit, basis = found
    demand, low, high = (pressure(run.case, each) for each in (level.value, level.low, level.high))
    interval = (low / limit, high / limit)
    return Mechanism(
        name=name,
        part=load,
        place=run.places[load],
        utilisation=demand / limit,
        demand=demand / MPA,
        capacity=limit / MPA,
        unit="MPa",
        basis=basis,
        note=f"Hertzian line pressure of {level.value:.0f} N, {level.note}",
        interval=interval,
        word=interval_word(interval),
    )


def _hammering(states) -> Mechanism:
    """Roller against the side of its pocket."""
    case = states[0][0][0].case
    line = _pressure_line(states, POCKET, "pocket hammering", pocket_pressure, pocket_limit(case))
    return _noted(line, "spread evenly along the roller; skew and the edge of the bar raise it")


def _land_line(states) -> Mechanism:
    """Cage against its guiding ring."""
    case = states[0][0][0].case
    line = _pressure_line(states, LAND, "land load", land_pressure, land_limit(case))
    return _noted(line, "one land, oil film left out")


def _noted(line: Mechanism, words: str) -> Mechanism:
    """The line with one more remark."""
    return Mechanism(**{**vars(line), "note": f"{line.note}; {words}"})


def _wear_lines(states) -> tuple[Mechanism, ...]:
    """Impulse, friction work and PV; judged only where the case gives a limit."""
    fatigue = states[0][0][0].case.fatigue
    wanted = (
        (POCKET_IMPULSE, "N", 1.0, fatigue.pocket_impulse_N, "pocket_impulse_N"),
        (POCKET_WORK, "J/h", 1.0, fatigue.pocket_work_J_per_h, "pocket_work_J_per_h"),
        (LAND_PV, "MPa m/s", MPA, fatigue.land_pv_MPa_m_per_s, "land_pv_MPa_m_per_s"),
        (LAND_IMPULSE, "N", 1.0, None, None),
        (LAND_WORK, "J/h", 1.0, None, None),
    )
    lines = (_wear_line(states, *row) for row in wanted)
    return tuple(line for line in lines if line is not None)


def _wear_line(states, measure, unit, size, limit, key) -> Mechanism | None:
    """One measure: mean over the runs of a state, the worst state."""
    means = [
        (math.fsum(run.wear[measure] for run in runs) / len(runs) / size, runs)
        for runs, _ in states
        if all(measure in run.wear for run in runs)
    ]
    if not means:
        return None
    demand, runs = max(means, key=lambda pair: pair[0])
    values = [run.wear[measure] / size for run in runs]
    worst = max(runs, key=lambda run: run.wear[measure])
    where = (measure.split(" ")[0], worst.wear_places[measure])
    note = "mean over the evaluated time" + (", mean of the replicates" if len(runs) > 1 else "")
    if limit is None:
        basis = "none known" + (f", fatigue.{key} sets one" if key else "")
        return Mechanism(measure, *where, math.nan, demand, math.nan, unit, basis, note)
    interval = (min(values) / limit, max(values) / limit)
    basis = f"given (fatigue.{key})"
    return Mechanism(
        measure, *where, demand / limit, demand, limit, unit, basis, note, interval,
        interval_word(interval),
    )  # fmt: skip
