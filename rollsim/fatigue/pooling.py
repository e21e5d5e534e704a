"""One verdict from several runs: replicates of a state pooled, damage of several states summed.

Damage: the mean rate over the replicates of a state, times its share of the service time, summed
over the states. The replicates are pooled bar by bar, each with its own most damaged point: on the
safe side where these differ. The interval of the mean damage comes from the replicates
(`rollsim.fatigue.pooled_damage.mean_limits`), or, where a state has one run, from the blocks of
that run; sides of several states add as the root of the sum of their squares (our own choice, not
published).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from rollsim.case.differences import input_comparison
from rollsim.errors import RollsimError
from rollsim.fatigue.damage import life_hours
from rollsim.fatigue.judged import JudgedRun, judged_run
from rollsim.fatigue.mechanisms import NOT_EXTRAPOLATED, Mechanism, governing, static_mechanisms
from rollsim.fatigue.pooled_damage import (
    DutyState,
    damage_rates,
    damage_span,
    pooled_reserve,
    reserve_interval,
)
from rollsim.fatigue.result import PartVerdict
from rollsim.fatigue.verdict import judge
from rollsim.history.kept_results import opened_with_results
from rollsim.history.sets import group_runs

#: Fewer replicates say little about their scatter.
WANTED_REPLICATES = 3


@dataclass(frozen=True)
class PooledPart:
    """Fatigue of the closures, or of the bars, by their place with the least reserve.

    Fields: part; place, bar (the first is 0); damage_per_h 1/h of service; life_h, life_interval_h
    h; reserve, reserve_interval (factor on load at the target life); verdict, reason; by_state
    (share of the damage of each state); interval_from ("replicates", "blocks of one run", or both).
    """

    part: str
    place: str
    bar: int
    damage_per_h: float
    life_h: float
    life_interval_h: tuple[float, float] | None
    reserve: float
    reserve_interval: tuple[float, float] | None
    verdict: str
    reason: str
    by_state: tuple[float, ...]
    interval_from: str


@dataclass(frozen=True)
class PooledVerdict:
    """Verdict over all mechanisms.

    Fields: states; parts (fatigue of closures and bars); mechanisms; target_life_h h; warnings,
    notes: sentences.
    """

    states: tuple[DutyState, ...]
    parts: tuple[PooledPart, ...]
    mechanisms: tuple[Mechanism, ...]
    target_life_h: float
    warnings: tuple[str, ...]
    notes: tuple[str, ...]

    @property
    def governing(self) -> Mechanism:
        """The mechanism that decides."""
        return governing(self.mechanisms)

    @property
    def on_bars_alone(self) -> bool:
        """Nothing pushed the cover in any run: the verdict holds for forces on the bars alone."""
        return all(run.result.on_bars_alone for state in self.states for run in state.runs)

    @property
    def verdict(self) -> str:
        """Word of the governing mechanism."""
        return self.governing.word


def verdict_of_files(paths, method: str | None = None, shares=None) -> PooledVerdict:
    """Judge a cage by histories, finished or not: replicates pooled, duties summed.

    Parameters
    ----------
    paths : iterable of str or Path
        Histories, or lists of replicates (NAME_replicates.json).
    method : str or None
        As in `rollsim.fatigue.verdict.fatigue`.
    shares : sequence of float or None
        As in `pooled_verdict`; the order is that of the first file of each duty.

    Returns
    -------
    PooledVerdict

    Raises
    ------
    RollsimError
        As in `rollsim.history.sets.group_runs` and `pooled_verdict`.
    """
    sets = group_runs(paths)
    verdict = pooled_verdict(
        [[_judged(path, method) for path in one.paths] for one in sets], shares
    )
    told = tuple(dict.fromkeys(warning for one in sets for warning in one.warnings))
    return replace(verdict, warnings=(*verdict.warnings, *told))


def _judged(path, method: str | None) -> JudgedRun:
    """One history, evaluated."""
    with opened_with_results(path) as history:
        try:
            return judged_run(history, method)
        except RollsimError as problem:
            raise RollsimError(f"{path} cannot be judged: {problem}") from problem


def pooled_verdict(groups: Sequence[Sequence[JudgedRun]], shares=None) -> PooledVerdict:
    """Judge a cage by all its runs.

    Parameters
    ----------
    groups : sequence of sequences of JudgedRun
        Replicates of every state, one run or more each. Their order does not matter.
    shares : sequence of float or None
        Share of the service time of each state; None: fatigue.load_share of each case.

    Returns
    -------
    PooledVerdict

    Raises
    ------
    RollsimError
        The states have different cages or rules, or their shares pass 1.
    """
    states = _states(groups, shares)
    target = states[0].runs[0].case.fatigue.target_life_h
    names = [part.part for part in states[0].runs[0].result.parts]
    parts = tuple(_part(states, name, target) for name in names)
    static = static_mechanisms([(state.runs, target * state.share) for state in states])
    lines = tuple(_fatigue_line(part, states[0].runs[0]) for part in parts)
    return PooledVerdict(
        states, parts, (*lines, *static), target, _warnings(states), _notes(states)
    )


def _states(groups, shares) -> tuple[DutyState, ...]:
    """States, runs in the order of their seeds, checked."""
    firsts = [group[0] for group in groups]
    for other in firsts[1:]:
        differing = differing_keys(firsts[0].case, other.case)
        if differing:
            raise RollsimError(
                f"'{firsts[0].result.case_name}' and '{other.result.case_name}' are no duties of"
                f" one cage; they differ in {', '.join(differing)}. Judge them apart, or compare"
                " them."
            )
    if shares is None:
        shares = [run.case.fatigue.load_share for run in firsts]
    if len(shares) != len(groups):
        raise RollsimError(f"{len(shares)} shares of time for {len(groups)} duties: give one each.")
    if min(shares) <= 0.0 or sum(shares) > 1.0 + 1e-9:
        told = ", ".join(
            f"{run.result.case_name} {share:g}" for run, share in zip(firsts, shares, strict=True)
        )
        raise RollsimError(
            f"Shares of the service time must be above 0 and sum to 1 at most: {told}. Set"
            " fatigue.load_share in the cases, or give --load-shares in the order of the duties."
        )
    return tuple(
        DutyState(
            run.result.case_name, tuple(sorted(group, key=lambda one: one.seed)), float(share)
        )
        for group, run, share in zip(groups, firsts, shares, strict=True)
    )


def differing_keys(first, second) -> list[str]:
    """Keys of cage, bearing and rules of fatigue in which two cases differ.

    Parameters
    ----------
    first, second : Case
        Two cases; their duty, vibration, oil, solver and seeds may differ.

    Returns
    -------
    list of str
        With both values.
    """
    tables = ("bearing", "roller", "cage", "clearance", "fatigue", "material")
    return [
        f"{one.key} ({one.values[0]} and {one.values[1]})"
        for one in input_comparison((first, second)).differences
        if one.key.partition(".")[0] in tables and one.key != "fatigue.load_share"
    ]


def _part(states: tuple[DutyState, ...], name: str, target: float) -> PooledPart:
    """Fatigue of a part; a single run keeps its own verdict."""
    runs = [run for state in states for run in state.runs]
    own = runs[0].result
    if len(runs) == 1 and states[0].share == own.load_share:
        return _single_part(next(part for part in own.parts if part.part == name), runs[0])
    places = [
        (number, row)
        for number, spot in enumerate(own.spots)
        if spot.part == name
        for row in range(len(spot.bars))
    ]
    reserves = [pooled_reserve(states, place, 1.0 / target) for place in places]
    rates = [damage_rates(states, place, 1.0).sum() for place in places]
    # The least reserve; of equal ones (no limit, or none) the most damage.
    best = min(range(len(places)), key=lambda k: (reserves[k], -rates[k]))
    return _pooled_part(states, name, places[best], reserves[best], target)


def _single_part(part: PartVerdict, run: JudgedRun) -> PooledPart:
    """The verdict of one run, on fatigue alone."""
    result = run.result
    largest = max(result.largest_bar_force, result.largest_cover_force, result.largest_base_force)
    word, reason = judge(part.reserve_interval, 0.0, largest, result.duration_s)
    return PooledPart(
        part.part,
        part.spot.name,
        part.bar,
        float(part.spot.damage_per_h[part.spot.worst]),
        part.life_h,
        part.life_interval_h,
        part.reserve,
        part.reserve_interval,
        word,
        reason,
        (1.0,),
        "blocks of one run",
    )


def _pooled_part(states, name, place, reserve, target) -> PooledPart:
    """Life, reserve and their intervals at a place."""
    spot = states[0].runs[0].result.spots[place[0]]
    rates = damage_rates(states, place, 1.0)
    damage = float(rates.sum())
    span = damage_span(states, place, 1.0)
    life = None if span is None else (life_hours(damage * span[1]), life_hours(damage * span[0]))
    interval = reserve_interval(states, place, reserve, target)
    runs = [run.result for state in states for run in state.runs]
    largest = max(
        max(r.largest_bar_force, r.largest_cover_force, r.largest_base_force) for r in runs
    )
    origin = _interval_from(states)
    word, reason = judge(interval, 0.0, largest, sum(r.duration_s for r in runs))
    return PooledPart(
        name,
        spot.name,
        int(spot.bars[place[1]]),
        damage,
        life_hours(damage),
        life,
        reserve,
        interval,
        word,
        _pooled_reason(reason, interval, origin),
        tuple((rates / damage if damage > 0.0 else rates).tolist()),
        origin,
    )


def _pooled_reason(reason: str, interval, origin: str) -> str:
    """The reason of a single run, told of the interval of a pool."""
    if interval is None:
        return reason
    low, high = (f"{each:.2f}" for each in interval)
    where = f"The 90 % interval of the reserve factor, from {origin}, is {low} to {high}"
    if interval[0] < 1.0 <= interval[1]:
        return f"{where}, on both sides of 1."
    return (
        f"{where}." if "Run longer" not in reason else f"{where}; {reason[0].lower()}{reason[1:]}"
    )


def _interval_from(states) -> str:
    """Words for where the scatter of the damage comes from."""
    kinds = ["replicates" if len(state.runs) > 1 else "blocks of one run" for state in states]
    return " and ".join(dict.fromkeys(kinds))


def _fatigue_line(part: PooledPart, run: JudgedRun) -> Mechanism:
    """A line of the table from the fatigue of a part."""
    used = math.inf if part.reserve == 0.0 else 1.0 / part.reserve
    interval = None
    if part.reserve_interval is not None:
        high, low = (math.inf if each == 0.0 else 1.0 / each for each in part.reserve_interval)
        interval = (low, high)
    spot = next(spot for spot in run.result.spots if spot.name == part.place)
    return Mechanism(
        name=f"{'bar' if part.part == 'bars' else part.part} fatigue",
        part=part.part,
        place=f"{part.place}, bar {part.bar + 1}",
        utilisation=used,
        demand=used,
        capacity=1.0,
        unit="load at target life",
        basis=f"S-N line of {spot.material}: "
        + run.case.materials[spot.material].basis.get("fatigue_strength_MPa", "no source named"),
        note=f"{part.reason} Scatter from {part.interval_from}",
        interval=interval,
        word=part.verdict,
    )


def _warnings(states) -> tuple[str, ...]:
    """What a reader must know first."""
    found = []
    for state in states:
        found += [warning for warning in state.runs[0].result.warnings if "SHORT" not in warning]
        if len(state.runs) < WANTED_REPLICATES:
            count = len(state.runs)
            found.append(
                f"{state.name}: {count} run{'s' if count > 1 else ''}. A run is one draw of a"
                f" chaotic system; {WANTED_REPLICATES} or more with seeds of their own are wanted"
                " (`rollsim run CASE --replicates N`)."
            )
    return tuple(dict.fromkeys(found))


def _notes(states) -> tuple[str, ...]:
    """What was done."""
    notes = [NOT_EXTRAPOLATED]
    rest = 1.0 - sum(state.share for state in states)
    if rest > 1e-9:
        notes.append(f"The rest of the service time, {100.0 * rest:.3g} %, is free of damage.")
    if len(states) > 1:
        notes.append("The reserve factor scales the loads of all duties alike.")
    spots = [spot for state in states for run in state.runs for spot in run.result.spots]
    if any(spot.joint_ratio is not None for spot in spots):
        notes.append(
            "Heavier loads open the preloaded joint: pooled reserve from the cycles scaled as they"
            " are, times the least ratio that solving the joint again gave in any run."
        )
    return tuple(notes)
