"""What runs say about a cage, as plain numbers: to be compared, kept, or sent between processes."""

from __future__ import annotations

from dataclasses import dataclass

from rollsim.fatigue.judged import POCKET, JudgedRun, judged_run
from rollsim.fatigue.pooling import PooledVerdict, pooled_verdict
from rollsim.structure.hot_spots import CLOSURE


@dataclass(frozen=True)
class RunEvidence:
    """Numbers of one run, or of the pooled replicates of one case.

    Fields: case_name; runs (their number); duration_s s (evaluated, all runs); utilisation
    (mechanism -> demand over capacity, nan without a limit); interval (mechanism -> limits of it,
    or None); word (mechanism -> word); demand (mechanism -> in the unit of `unit`); unit; governing
    (name of the mechanism that decides); closure_damage_per_h, closure_life_h, closure_reserve (nan
    for a cage in one piece); bar_damage_per_h, bar_life_h, bar_reserve; largest_pocket_force N.
    """

    case_name: str
    runs: int
    duration_s: float
    utilisation: dict[str, float]
    interval: dict[str, tuple[float, float] | None]
    word: dict[str, str]
    demand: dict[str, float]
    unit: dict[str, str]
    governing: str
    closure_damage_per_h: float
    closure_life_h: float
    closure_reserve: float
    bar_damage_per_h: float
    bar_life_h: float
    bar_reserve: float
    largest_pocket_force: float

    @property
    def governing_utilisation(self) -> float:
        """Utilisation of the mechanism that decides."""
        return self.utilisation[self.governing]


def evidence(history) -> RunEvidence:
    """Evaluate one opened history, or a list of them that are replicates of one case.

    Parameters
    ----------
    history : History or sequence of History
        Opened histories.

    Returns
    -------
    RunEvidence

    Raises
    ------
    RollsimError
        As in `rollsim.fatigue.verdict.fatigue`.
    """
    histories = history if isinstance(history, list | tuple) else [history]
    runs = [judged_run(one) for one in histories]
    return evidence_of(pooled_verdict([runs]), runs)


def evidence_of(verdict: PooledVerdict, runs: list[JudgedRun]) -> RunEvidence:
    """Numbers of a verdict.

    Parameters
    ----------
    verdict : PooledVerdict
        From these runs.
    runs : list of JudgedRun
        The runs.

    Returns
    -------
    RunEvidence
    """
    lines = verdict.mechanisms
    parts = {part.part: part for part in verdict.parts}
    closure, bars = parts.get(CLOSURE), verdict.parts[-1]
    nothing = float("nan")
    return RunEvidence(
        case_name=runs[0].result.case_name,
        runs=len(runs),
        duration_s=sum(run.result.duration_s for run in runs),
        utilisation={line.name: line.utilisation for line in lines},
        interval={line.name: line.interval for line in lines},
        word={line.name: line.word for line in lines},
        demand={line.name: line.demand for line in lines},
        unit={line.name: line.unit for line in lines},
        governing=verdict.governing.name,
        closure_damage_per_h=closure.damage_per_h if closure else nothing,
        closure_life_h=closure.life_h if closure else nothing,
        closure_reserve=closure.reserve if closure else nothing,
        bar_damage_per_h=bars.damage_per_h,
        bar_life_h=bars.life_h,
        bar_reserve=bars.reserve,
        largest_pocket_force=max(run.greatest[POCKET] for run in runs),
    )
