"""Replicates of a run: the same case with other seeds, side by side, continued after a stop."""

import math
import time
from dataclasses import replace
from pathlib import Path

import rollsim
from rollsim.case.change import without_source_seeds
from rollsim.case.read import load_case
from rollsim.errors import HistoryError
from rollsim.history.files import plain_reason
from rollsim.history.replicate_set import list_path, read_list, replicate_path, write_list
from rollsim.history.sets import repeated_vibration
from rollsim.simulation.output import RefusedRun
from rollsim.simulation.progress import Silence
from rollsim.simulation.run import RunOptions, state_of_run
from rollsim.simulation.warm_up import compile_kernels, compile_note
from rollsim.sweep.cores import cores_available
from rollsim.sweep.crew import run_side_by_side
from rollsim.sweep.display import SetDisplay
from rollsim.sweep.launch import elasticity_for_run
from rollsim.sweep.narrowing import LEAST, half_width, median_interval, next_count
from rollsim.sweep.quantities import QUANTITIES, measure, quantity_named
from rollsim.sweep.replicate_types import (
    BEGUN,
    FAILED,
    FINISHED,
    NOT_BEGUN,
    Replicate,
    ReplicateSet,
    SetPlan,
)
from rollsim.sweep.seeds import child_seeds
from rollsim.sweep.worker import Task

_PEAK = QUANTITIES["peak_force"]


def replicates(case, path, count, options=None, plan=None, progress=None, say=None, **changes):
    """Run a case several times with seeds derived from its own, side by side on several cores.

    Replicate k of NAME.h5 goes to NAME_rkk.h5 and is the run of the case with the seed that
    `child_seeds` gives it; NAME_replicates.json lists them. The same call again leaves finished
    runs as they are and continues the others. A run that fails leaves the others alone; it would
    fail again, so it is computed again with `overwrite` alone. Worker processes import the main
    module of the program: a script has to call this under `if __name__ == "__main__":`.

    Parameters
    ----------
    case : Case, str or Path
        The case or its file.
    path : str or Path
        History file that a single run would write: it gives the names.
    count : int
        Number of replicates; with `plan.within` the number to begin with.
    options : RunOptions or None
        Deviations from the case; the seed is that from which the others are derived.
    plan : SetPlan or None
        How to run them.
    progress : callable or None
        Makes a progress display from (total s, start s); silent when None.
    say : callable or None
        Takes one line of text for the user.
    **changes : any
        Fields of `RunOptions`; they go before `options`.

    Returns
    -------
    ReplicateSet
        Some of its runs may have failed.

    Raises
    ------
    RefusedRun
        When the case, the options or one of the outputs do not allow it; nothing is changed then.
    """
    if isinstance(case, str | Path):
        case = load_case(case)
    options = replace(options or RunOptions(), **changes)
    own = _Set(case, Path(path), options, plan or SetPlan(), say or (lambda text: None))
    return own.go(count, progress or (lambda *_: Silence()))


class _Set:
    """A set of replicates at work; is the listener of the workers."""

    def __init__(self, case, path, options, plan, say):
        """Take over what is asked for; nothing is computed yet."""
        self.quantity = quantity_named(plan.quantity)
        self.measured = tuple({q.name: q for q in (_PEAK, self.quantity)}.values())
        self.case = case if plan.keep_source_seeds else without_source_seeds(case)
        self.notes = _notes(case, self.case)
        self.path = path
        self.options = options
        self.plan = plan
        self.say = say
        self.seed = case.case.seed if options.seed is None else options.seed
        self.elasticity = elasticity_for_run(case)
        self.rows = {}
        self.duration = 0.0
        self.display = None
        self.stop_at = math.inf

    def go(self, count, progress):
        """Run rounds of replicates until there are enough."""
        count = self._first_count(count)
        self._look(count)
        jobs = self._jobs()
        self._prepare()
        if self.plan.hours is not None:
            self.stop_at = time.monotonic() + 3600.0 * self.plan.hours
        with SetDisplay(progress, self.duration) as self.display:
            while True:
                self._round(jobs)
                wanted = self._wanted()
                if wanted == len(self.rows):
                    break
                self._look(wanted)
        return self._result()

    def _first_count(self, count):
        """Number of replicates in the first round."""
        if count < 1 or (self.plan.jobs is not None and self.plan.jobs < 1):
            raise RefusedRun("At least one replicate and one job are needed.")
        if self.plan.within is None:
            return count
        if not self.plan.within > 0.0:
            raise RefusedRun("The width asked for must be greater than 0.")
        if self.plan.most < max(count, LEAST):
            raise RefusedRun(
                f"At most {self.plan.most} replicates are allowed, fewer than the "
                f"{max(count, LEAST)} to begin with."
            )
        return max(count, LEAST)

    def _jobs(self):
        """Number of runs side by side; says where it comes from."""
        cores, counted = cores_available()
        jobs = self.plan.jobs or cores
        self.say(
            f"{len(self.rows)} replicates of {self.case.case.name}, {jobs} at a time "
            f"({cores} {counted} available), seeds from seed {self.seed}."
        )
        for note in self.notes:
            self.say(note)
        return jobs

    def _look(self, count):
        """Find out what is there of the first `count` replicates; refuse what is in the way."""
        listed = {} if self.options.overwrite else self._listed()
        problems = []
        for number, seed in enumerate(child_seeds(self.seed, count), 1):
            if number in self.rows:
                continue
            path = replicate_path(self.path, number)
            options = replace(self.options, seed=seed)
            try:
                state, reached, self.duration = state_of_run(
                    self.case, path, options, self.elasticity
                )
            except RefusedRun as problem:
                problems.append(str(problem))
                continue
            reason = state.partition(": ")[2]
            state = FAILED if reason else state
            values = listed.get((number, seed), {}) if state == FINISHED else {}
            self.rows[number] = Replicate(number, seed, path, state, reason, reached, values)
        if problems:
            raise RefusedRun("\n".join(problems))

    def _listed(self):
        """Values that an earlier command of this version put into the list: by number and seed."""
        try:
            found = read_list(list_path(self.path))
        except HistoryError:
            return {}
        if found.get("rollsim_version") != rollsim.__version__:
            return {}
        return {(row["number"], row["seed"]): row["values"] for row in found["replicates"]}

    def _prepare(self):
        """Make the folder, and the kernels before several processes want them at once."""
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
        except OSError as problem:
            raise RefusedRun(
                f"Cannot make the folder {self.path.parent}: {plain_reason(problem)}."
            ) from problem
        note = compile_note()
        if note and self._tasks():
            self.say(note)
            compile_kernels()

    def _tasks(self):
        """What is left to do, in order."""
        names = {quantity.name for quantity in self.measured}
        return [
            Task(
                row.number,
                self.case,
                row.path,
                replace(self.options, seed=row.seed),
                self.elasticity,
                measure(*self.measured),
                row.state == FINISHED,
            )
            for row in self.rows.values()
            if row.state != FAILED and not (row.state == FINISHED and names <= set(row.values))
        ]

    def _round(self, jobs):
        """Bring all replicates of this round to their end; the list is true whatever happens."""
        self.display.plan({row.number: row.reached for row in self.rows.values()})
        self._write()
        try:
            run_side_by_side(self._tasks(), jobs, self, self._time_is_up)
        finally:
            self._write()

    def _time_is_up(self):
        """True when the time budget is spent."""
        return time.monotonic() >= self.stop_at

    def reached(self, number, at, largest):
        """A worker has come to a time."""
        row = self.rows[number]
        if row.state != FINISHED:
            self.rows[number] = replace(row, state=BEGUN, reached=at)
        self.display.reached(number, at, largest)

    def said(self, number, text):
        """A worker has something to say."""
        self.display.said(number, text)

    def ended(self, number, outcome):
        """A worker is done, one way or the other."""
        row = self.rows[number]
        if outcome.reason:
            row = replace(row, state=FAILED, reason=outcome.reason)
        else:
            row = replace(row, state=FINISHED, reached=self.duration, values=outcome.values)
        self.rows[number] = row
        self.display.ended(number, outcome.reason)
        self._write()

    def _values(self):
        """The quantity of the finished replicates, in order."""
        name = self.quantity.name
        return [r.values[name] for r in self.rows.values() if name in r.values]

    def _wanted(self):
        """Number of replicates wanted after a round: the same number when work ends."""
        count = len(self.rows)
        if self.plan.within is None or self._time_is_up():
            return count
        interval = median_interval(self._values())
        if interval is None:
            return count
        return next_count(half_width(interval), count, self.plan.within, self.plan.most)

    def _result(self):
        """What there is at the end."""
        interval = median_interval(self._values())
        within = self.plan.within
        narrow = None if within is None else interval is not None and half_width(interval) <= within
        failed = [row for row in self.rows.values() if row.state == FAILED]
        notes = list(self.notes)
        if failed:
            notes.append(
                f"{len(failed)} of {len(self.rows)} replicates failed and are missing: runs that "
                "fail are seldom the mild ones, so results from the others are too favourable."
            )
        return ReplicateSet(
            case_name=self.case.case.name,
            seed=int(self.seed),
            duration_s=self.duration,
            list_path=list_path(self.path),
            replicates=tuple(self.rows.values()),
            quantity=self.quantity,
            interval=interval,
            within=within,
            narrow_enough=narrow,
            ended=self._why(narrow, interval),
            notes=(*notes, *self._left_aside()),
        )

    def _left_aside(self):
        """A sentence where a larger set was computed before."""
        beyond = replicate_path(self.path, len(self.rows) + 1)
        if beyond.exists():
            yield f"{beyond} of an earlier, larger set is there too; it is left as it is."

    def _why(self, narrow, interval):
        """Why work ended, in a sentence."""
        open_rows = [row for row in self.rows.values() if row.state in (BEGUN, NOT_BEGUN)]
        if narrow:
            return "The interval is as narrow as asked."
        if open_rows or (narrow is False and self._time_is_up()):
            return f"The {self.plan.hours:g} h that were allowed are over."
        if narrow is False and interval is None:
            return (
                "No interval can be told: values are missing, zero or without limit. More "
                "replicates were not run."
            )
        if narrow is False:
            return f"The {self.plan.most} replicates that were allowed are there."
        return "All replicates that were asked for have come to their end."

    def _write(self):
        """Write the list of the set; it holds what is known now."""
        rows = [
            {
                "number": row.number,
                "seed": row.seed,
                "file": row.path.name,
                "state": row.state,
                "reason": row.reason,
                "values": row.values,
            }
            for row in self.rows.values()
        ]
        found = {
            "rollsim_version": rollsim.__version__,
            "case_name": self.case.case.name,
            "seed": int(self.seed),
            "duration_s": self.duration,
            "source_seeds": "kept" if self.plan.keep_source_seeds else "redrawn",
            "replicates": rows,
        }
        try:
            write_list(list_path(self.path), found)
        except OSError as problem:
            self.say(f"{list_path(self.path)} could not be written: {plain_reason(problem)}.")


def _notes(case, used):
    """Sentences on what replicates of a case have in common, and on what was changed."""
    notes = repeated_vibration([used.text] * 2)
    own = [
        str(number)
        for number, source in enumerate(case.vibration, 1)
        if used is not case and getattr(source, "seed", None) is not None
    ]
    if own:
        notes.append(
            f"[[vibration]] number {', '.join(own)} has a seed of its own. A replicate is another "
            "draw of everything random, so here it follows the seed of the replicate; "
            "--source-seeds keep holds it."
        )
    return notes
