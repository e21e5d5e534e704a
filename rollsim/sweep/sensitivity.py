"""One-at-a-time variation of a case: which of its values the verdict rests on."""

from __future__ import annotations

import json
import math
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import rollsim
from rollsim.case.change import without_source_seeds
from rollsim.case.read import load_case
from rollsim.errors import RollsimError
from rollsim.history.files import plain_reason
from rollsim.history.replicate_set import replicate_path, write_list
from rollsim.history.sets import case_identity
from rollsim.model.build import build_model
from rollsim.simulation.output import RefusedRun
from rollsim.simulation.problem import problem_of
from rollsim.simulation.progress import Silence
from rollsim.simulation.run import RunOptions, state_of_run
from rollsim.simulation.trial import cost_per_simulated_second
from rollsim.simulation.warm_up import compile_kernels, compile_note
from rollsim.sweep.cores import cores_available
from rollsim.sweep.crew import Outcome, run_side_by_side
from rollsim.sweep.display import SetDisplay
from rollsim.sweep.launch import elasticity_for_run
from rollsim.sweep.seeds import child_seeds
from rollsim.sweep.sensitivity_inputs import choose_inputs, make_variants
from rollsim.sweep.sensitivity_measure import measure_as
from rollsim.sweep.sensitivity_types import BASE, Sensitivity, SensitivityPlan
from rollsim.sweep.tornado import PEAK, RESERVE, Comparison
from rollsim.sweep.worker import Task

LIST_NAME = "sensitivity_runs.json"
FEWEST = 2
#: Rough seconds of one core: starting a process, and one judgement of a history. They are
#: for the expected time that is told alone.
_START_S, _JUDGE_S = 4.0, 2.0
_FINISHED = "finished"


def sensitivity(case, folder, options=None, plan=None, progress=None, say=None, **changes):
    """Vary the uncertain values of a case one at a time and see what its verdict rests on.

    Every variant has the same seeds, so that case and variant feel the same vibration. Histories go
    into the folder; the same call again leaves finished ones as they are. Worker processes import
    the main module of the program: a script has to call this under
    `if __name__ == "__main__":`.

    Parameters
    ----------
    case : Case, str or Path
        The case or its file.
    folder : str or Path
        For the histories, made when missing.
    options : RunOptions or None
        Deviations from the case; the seed is that from which those of the replicates are derived.
    plan : SensitivityPlan or None
        What is varied and how.
    progress : callable or None
        Makes a progress display from (total s, start s); silent when None.
    say : callable or None
        Takes one line of text for the user.
    **changes : any
        Fields of `RunOptions`; they go before `options`.

    Returns
    -------
    Sensitivity

    Raises
    ------
    RefusedRun
        Nothing to vary, or the case, the options or an output do not allow it.
    RollsimError
        The case itself could not be judged.
    """
    if isinstance(case, str | Path):
        case = load_case(case)
    options = replace(options or RunOptions(preview=True), **changes)
    own = _Variation(case, Path(folder), options, plan or SensitivityPlan(), say)
    return own.go(progress or (lambda *_: Silence()))


class _Variation:
    """A variation at work; is the listener of the workers."""

    def __init__(
        self,
        case: Any,
        folder: Path,
        options: RunOptions,
        plan: SensitivityPlan,
        say: Callable[[str], None] | None,
    ):
        """Take over what is asked for, and make the varied cases; nothing is run yet."""
        if plan.replicates < FEWEST or (plan.jobs is not None and plan.jobs < 1):
            raise RefusedRun(f"At least {FEWEST} replicates and one job are needed.")
        self.case = without_source_seeds(case)
        self.folder, self.options, self.plan = folder, options, plan
        self.say = say or (lambda text: None)
        elasticity = elasticity_for_run(self.case)
        self.inputs, self.left_out = choose_inputs(self.case, plan, elasticity)
        self.variants, self.refused = make_variants(self.case, self.inputs, elasticity)
        seed = self.case.case.seed if options.seed is None else options.seed
        self.seeds = child_seeds(seed, plan.replicates)
        self.numbers: dict[str, dict[int, dict[str, Any]]] = {v.name: {} for v in self.variants}
        #: Rows of the list that this call does not ask for: kept for another one.
        self.others: dict[str, dict[str, Any]] = {}
        self.failed: dict[str, str] = {}
        self.tasks: dict[int, tuple[Any, int]] = {}
        self.reached_s: dict[int, float] = {}
        self.duration = 0.0
        self.display: Any = None
        self.stop_at = math.inf

    @property
    def list_path(self) -> Path:
        """List of what is known."""
        return self.folder / LIST_NAME

    def go(self, progress: Callable) -> Sensitivity:
        """Run what is missing and compare."""
        work = self._look()
        jobs = self.plan.jobs or cores_available()[0]
        if work:
            self._prepare()
        self._announce(work, jobs)
        if self.plan.hours is not None:
            self.stop_at = time.monotonic() + 3600.0 * self.plan.hours
        with SetDisplay(progress, self.duration, "run") as self.display:
            self.display.plan(self.reached_s)
            try:
                run_side_by_side(work, jobs, self, self._time_is_up)
            finally:
                if self.folder.is_dir():
                    self._write()
        return self._result()

    def _look(self) -> list[Task]:
        """What is left to do, in order; outputs that are in the way are refused."""
        self._take_listed()
        problems, work, number = [], [], 0
        for variant in self.variants:
            if not variant.needs_run:
                continue
            for k, seed in enumerate(self.seeds):
                number += 1
                options = replace(self.options, seed=seed)
                path = replicate_path(self.folder / f"{_file_stem(variant.name)}.h5", k + 1)
                try:
                    state, reached, self.duration = state_of_run(
                        variant.case, path, options, variant.elasticity
                    )
                except RefusedRun as problem:
                    problems.append(str(problem))
                    continue
                self.tasks[number], self.reached_s[number] = (variant, k), reached
                if state.startswith("stopped"):
                    self.failed[variant.name] = state
                    continue
                wanted = self._judged(variant, k)
                if wanted:
                    self.reached_s[number] = reached
                    work.append(
                        Task(
                            number,
                            variant.case,
                            path,
                            options,
                            variant.elasticity,
                            measure_as(wanted),
                            state == _FINISHED,
                        )
                    )
        if problems:
            raise RefusedRun("\n".join(problems))
        return work

    def _judged(self, variant: Any, k: int) -> dict[str, Any]:
        """Cases by which one history still has to be judged."""
        own = {variant.name: None}
        if variant.name == BASE:
            own |= {v.name: v.case for v in self.variants if not v.needs_run}
        return {name: case for name, case in own.items() if k not in self.numbers[name]}

    def _announce(self, work: list[Task], jobs: int) -> None:
        """Say what will be done and how long it will take."""
        with_runs = [v for v in self.variants if v.needs_run]
        self.say(
            f"{len(self.inputs)} inputs of {self.case.case.name}, {len(self.variants) - 1} values: "
            f"{len(self.variants) - len(with_runs)} need no run of their own, "
            f"{len(with_runs) - 1} do; {len(self.seeds)} replicates of {self.duration:g} s each, "
            f"{len(work)} runs or judgements to do, {jobs} at a time."
        )
        for name, reason in self.refused:
            self.say(f"{name} is skipped: {reason}")
        seconds = self._seconds(work)
        if seconds is not None and work:
            self.say(f"Expected time: about {_waiting(seconds / jobs)} where the cores are free.")

    def _seconds(self, work: list[Task]) -> float | None:
        """Time of one core for the work; None where the trial steps fail."""
        missing = sum(self.duration - self.reached_s[task.number] for task in work)
        judged = sum(len(self._judged(*self.tasks[task.number])) for task in work)
        seconds = _START_S * len(work) + _JUDGE_S * judged
        if missing <= 0.0:
            return seconds
        base = self.variants[0]
        try:
            built = build_model(base.case, self.duration, self.seeds[0], base.elasticity)
            return seconds + missing * cost_per_simulated_second(problem_of(built))[0]
        except RollsimError:
            return None

    def _prepare(self) -> None:
        """Make the folder, and the kernels before several processes want them at once."""
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
        except OSError as problem:
            raise RefusedRun(
                f"Cannot make the folder {self.folder}: {plain_reason(problem)}."
            ) from problem
        note = compile_note()
        if note:
            self.say(note)
            compile_kernels()

    def _time_is_up(self) -> bool:
        """True when the time budget is spent."""
        return time.monotonic() >= self.stop_at

    def reached(self, number: int, at: float, largest: float | None) -> None:
        """A worker has come to a time."""
        self.display.reached(number, at, largest)

    def said(self, number: int, text: str) -> None:
        """A worker has something to say."""
        self.display.said(number, text)

    def ended(self, number: int, outcome: Outcome) -> None:
        """A worker is done, one way or the other."""
        variant, k = self.tasks[number]
        if outcome.reason:
            self.failed[variant.name] = outcome.reason
        for name, numbers in outcome.values.items():
            self.numbers[name][k] = numbers
        self.display.ended(number, outcome.reason)
        self._write()

    def _take_listed(self) -> None:
        """Numbers that an earlier call of this version put into the list of the same case."""
        if self.options.overwrite:
            return
        try:
            found = json.loads(self.list_path.read_text("utf-8"))
        except (OSError, ValueError):
            return
        if found.get("state") != self._state():
            return
        self.others = found["numbers"]
        for name, rows in self.others.items():
            for seed, row in rows.items():
                if name in self.numbers and int(seed) in self.seeds:
                    self.numbers[name][self.seeds.index(int(seed))] = row

    def _state(self) -> dict[str, Any]:
        """What numbers in the list must agree in."""
        return {
            "rollsim_version": rollsim.__version__,
            "case": case_identity(self.case.text),
            "duration_s": self.options.duration,
            "preview": self.options.preview,
            "solver": self.options.solver,
        }

    def _write(self) -> None:
        """Write the list; it holds what is known now."""
        rows = {
            name: {
                **self.others.get(name, {}),
                **{str(self.seeds[k]): row for k, row in self.numbers.get(name, {}).items()},
            }
            for name in self.others | self.numbers
        }
        try:
            write_list(
                self.list_path,
                {"format": "rollsim sensitivity", "state": self._state(), "numbers": rows},
            )
        except OSError as problem:
            self.say(f"{self.list_path} could not be written: {plain_reason(problem)}.")

    def _result(self) -> Sensitivity:
        """Compare what there is."""
        compared = Comparison(self.variants, self.numbers)
        reserve, interval = compared.level(BASE, RESERVE)
        if not self.numbers[BASE]:
            reason = self.failed.get(BASE, "the allowed time was over before it was finished")
            raise RollsimError(f"The case itself could not be judged: {reason}.")
        unfinished = [v.name for v in self.variants if len(self.numbers[v.name]) < len(self.seeds)]
        return Sensitivity(
            case_name=self.case.case.name,
            seeds=self.seeds,
            duration_s=self.duration,
            settle_s=float(self.case.duty.settle_s),
            base_reserve=reserve,
            base_peak=compared.level(BASE, PEAK)[0],
            base_word=compared.word(BASE),
            base_reserve_interval=interval,
            base_yield_share=compared.yield_share(BASE),
            effects=compared.effects(self.inputs),
            pairing=compared.pairing(),
            smallest_seen=compared.smallest_seen(len(self.seeds)),
            refused=tuple(self.refused),
            left_out=tuple(self.left_out),
            unfinished=tuple(unfinished),
            list_path=self.list_path,
            notes=tuple(self._notes()),
        )

    def _notes(self):
        """What has to be said beside the numbers."""
        for name, reason in self.failed.items():
            what = name or "the case itself"
            yield f"{what}: a run failed and is missing ({reason})."
        if self._time_is_up():
            yield f"The {self.plan.hours:g} h that were allowed are over; the same command goes on."


def _file_stem(name: str) -> str:
    """Start of the name of a history file."""
    return "case_itself" if name == BASE else name.replace("/", "_")


def _waiting(seconds: float) -> str:
    """A time to wait in words."""
    if seconds < 90.0:
        return f"{seconds:.0f} s"
    return f"{seconds / 60.0:.0f} min" if seconds < 5400.0 else f"{seconds / 3600.0:.1f} h"
