"""Run a case: march block by block, write every block as a whole file, continue after a stop."""

import json
import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from rollsim.case.places import named_elsewhere
from rollsim.case.read import load_case
from rollsim.errors import RunError
from rollsim.history.live import LiveView
from rollsim.model.build import build_model, derived_attributes, preview_duration
from rollsim.model.elasticity import CageModesData, backing_data, mode_count
from rollsim.model.recording.replay import fingerprints
from rollsim.model.recording.told import recording_lines
from rollsim.model.smearing import pressure_factors
from rollsim.simulation.black_box import leave_black_box
from rollsim.simulation.blocks import BlockKeeper, BlockMaker
from rollsim.simulation.machine import computes_here, machine_difference
from rollsim.simulation.marches import SOLVERS, march_of
from rollsim.simulation.output import (
    RefusedRun,
    is_complete,
    open_output,
    output_state,
    tidy_finished,
)
from rollsim.simulation.problem import problem_of
from rollsim.simulation.progress import Silence
from rollsim.simulation.provenance import provenance_attributes
from rollsim.simulation.recording import Recording
from rollsim.simulation.stopping import RunStopped, TimeLimit
from rollsim.simulation.warm_up import compile_note
from rollsim.simulation.writing import WriteBehind

LONGEST_RUN = 1e5
LARGEST_SEED = 2**32 - 1


@dataclass(frozen=True)
class RunOptions:
    """What may differ from the case: duration (s), seed, solver; None keeps the case's value.

    preview: run the preview duration of the case; overwrite: replace an earlier output; hours: of
    elapsed time, after which the run ends between two blocks, to be continued; stop: asked after
    every block, a text in reply ends the run there (`rollsim.simulation.stopping.PoliteStop`);
    live: keep a small file with the latest blocks (`rollsim.history.live`) until the run is
    finished.
    """

    duration: float | None = None
    seed: int | None = None
    solver: str | None = None
    preview: bool = False
    overwrite: bool = False
    hours: float | None = None
    stop: Callable | None = None
    live: bool = False


def run(case, path, options=None, progress=None, say=None, elasticity=None, **changes):
    """Run a case and write its history; an unfinished run of the same case is continued.

    An output that holds this run already, finished, is left as it is. `rollsim.run` is
    `rollsim.sweep.launch.run`, which computes the elasticity.

    Parameters
    ----------
    case : Case, str or Path
        The case or its file.
    path : str or Path
        History file to write.
    options : RunOptions or None
        Deviations from the case.
    progress : callable or None
        Makes a progress display from (total s, start s); silent when None.
    say : callable or None
        Takes one line of text for the user.
    elasticity : CageElasticity or None
        Of the cage; None for the beam formula of `backing_in_force`, without modes.
    **changes : any
        Fields of `RunOptions`; they go before `options`.

    Returns
    -------
    Path
        The finished history file.

    Raises
    ------
    RefusedRun
        When the options or the output do not allow it; nothing is changed then.
    RunStopped
        When it was asked to stop, or `hours` are over; the same call goes on.
    RunError
        When the run cannot go on; all finished blocks are kept.
    """
    if isinstance(case, str | Path):
        case = load_case(case)
    options = replace(options or RunOptions(), **changes)
    say = say or (lambda text: None)
    return _Run(case, Path(path), options, progress or (lambda *_: Silence()), say, elasticity).go()


def state_of_run(case, path, options=None, elasticity=None):
    """How far an output holds a run; nothing is changed.

    Parameters
    ----------
    case : Case
        The case.
    path : str or Path
        History file of the run.
    options : RunOptions or None
        Deviations from the case.
    elasticity : CageElasticity or None
        As for `run`.

    Returns
    -------
    state : str
        "finished", "stopped: <reason>", "begun" or "not begun".
    reached, duration : float, s
        Simulated time that is there and that is asked for.

    Raises
    ------
    RefusedRun
        When `run` would refuse.
    """
    own = _Run(case, Path(path), options or RunOptions(), None, None, elasticity)
    return (*own.state(), own.duration)


_REPEAT = "To compute it again, pass --overwrite, or choose another output with -o."


class _Run:
    """One run from start or checkpoint to the merged file."""

    def __init__(self, case, path, options, progress, say, elasticity=None):
        """Take over the case and the options; nothing is computed yet."""
        self.case = case
        self.path = path
        self.options = options
        self.say = say
        self.make_progress = progress
        self.elasticity = elasticity
        self.limit = TimeLimit(options.hours)
        self.pressure_factors = pressure_factors(case)
        self.solver = options.solver or case.solver.name
        self.recordings = None
        self.seed = case.case.seed if options.seed is None else options.seed
        duration = preview_duration(case) if options.preview else options.duration
        self.duration = case.duty.duration_s if duration is None else duration

    def go(self):
        """March to the end; keep what is finished whatever happens."""
        self._check()
        self.recordings = fingerprints(self.case)
        if is_complete(self.path, self._attributes(), self.options.overwrite):
            tidy_finished(self.path)
            self.say(f"{self.path} holds this run, finished: nothing to compute. {_REPEAT}")
            return self.path
        note = compile_note()
        if note:
            self.say(note)
        built = build_model(self._seeded_case(), self.duration, self.seed, self.elasticity)
        for text in named_elsewhere(self.case):
            self.say(f"Warning: {text}.")
        for line in recording_lines(built.vibration.recordings, self.case):
            self.say(line)
        attributes = {**self._attributes(), **derived_attributes(built)}
        attributes |= provenance_attributes(self.case, self.seed, self.recordings)
        modes = self._modes()
        kept = None if modes is None else modes._asdict()
        with open_output(self.path, attributes, self.options.overwrite, kept) as writer:
            self._tell_beside(writer)
            problem = problem_of(built)
            if writer.resume is not None and writer.resume.modes:
                # Shapes of equal frequency are not unique: those that the run began with stay.
                modes = CageModesData(**writer.resume.modes)
            march = march_of(self.solver, problem, self._recording(built, modes), self._end())
            march.prepare()
            if writer.resume is not None:
                march.restore(writer.resume.checkpoint)
                self.say(f"Going on from {writer.end_time:.3f} s of simulated time.")
                if march.next_sample <= self._last_sample():
                    self._compare_machines(writer)
            return self._loop(writer, march, problem)

    def _tell_beside(self, writer):
        """Let what is said from here on stand beside the blocks too."""
        say = self.say

        def both(text):
            writer.message = text
            say(text)

        self.say = both

    def _compare_machines(self, writer):
        """Say and keep that a run goes on where the last digits may come out differently."""
        differing = machine_difference(writer.attributes.get("provenance"), computes_here())
        if not differing:
            return
        self.say(
            f"The run was begun with another {differing}: it goes on correctly, but its last "
            "digits, and with them single impacts, are no longer those of an unbroken run."
        )
        changes = json.loads(writer.attributes.get("machine_changes", "[]"))
        changes.append({"from_s": writer.end_time, "differing": differing})
        writer.attributes["machine_changes"] = json.dumps(changes)

    def _modes(self):
        """Modes of the cage that the run drives, or None."""
        return None if self.elasticity is None else self.elasticity.modes

    def state(self):
        """How far the output holds this run: in words, and the simulated time reached, s."""
        self._check()
        self.recordings = fingerprints(self.case)
        return output_state(self.path, self._attributes(), self.options.overwrite)

    def _check(self):
        """Refuse options that no run can follow."""
        if self.case.cage.elastic_modes and self._modes() is None:
            raise RefusedRun(
                "The case asks for cage.elastic_modes, and the modes of the cage were not handed "
                "over: start the run by rollsim.run, or with the elasticity of "
                "rollsim.structure.elasticity.cage_elasticity(case)."
            )
        if self.solver not in SOLVERS:
            raise RefusedRun(f"Unknown solver '{self.solver}'; known: {', '.join(SOLVERS)}.")
        if not isinstance(self.seed, int | np.integer) or not 0 <= self.seed <= LARGEST_SEED:
            raise RefusedRun(f"The seed {self.seed} is not a whole number of 0 to {LARGEST_SEED}.")
        if not (math.isfinite(self.duration) and 0.0 < self.duration <= LONGEST_RUN):
            raise RefusedRun(
                f"The duration {self.duration:g} s is not between 0 and {LONGEST_RUN:g} s."
            )
        settle = self.case.duty.settle_s
        if self.duration <= settle or self._last_sample() < 1:
            raise RefusedRun(
                f"The run of {self.duration:g} s is not longer than duty.settle_s = {settle:g} s "
                "and one output interval: nothing would be left for statistics. Run longer, or "
                "give a smaller settle_s in the case."
            )

    def _last_sample(self):
        """Number of the last sample that lies within the duration."""
        return math.floor(self.duration * self.case.output.rate_Hz + 1e-6)

    def _end(self):
        """Time of the last sample, by the very product with which the march places samples."""
        return self._last_sample() * (1.0 / self.case.output.rate_Hz)

    def _seeded_case(self):
        """The case with the seed of this run, so that the vibration follows it too."""
        if self.seed == self.case.case.seed:
            return self.case
        return replace(self.case, case=self.case.case.model_copy(update={"seed": self.seed}))

    def _attributes(self):
        """Root attributes that a run starts with."""
        return {
            "case_text": self.case.text,
            "case_name": self.case.case.name,
            "seed": int(self.seed),
            "solver": self.solver,
            "duration_s": float(self.duration),
            "settle_s": self.case.duty.settle_s,
            "sample_rate_Hz": self.case.output.rate_Hz,
            "roller_count": self.case.roller.count,
            "mode_count": mode_count(self.elasticity),
            "recordings_sha256": self.recordings,
            "cage_backing_N_per_m": json.dumps(backing_data(self.case, self.elasticity)),
        }

    def _recording(self, built, modes):
        """Buffers for one segment."""
        output = self.case.output
        rows = max(1, round(output.segment_s * output.rate_Hz))
        longest = 1e-6 * self.case.solver.max_step_us
        return Recording(
            built.model.count,
            1.0 / output.rate_Hz,
            rows,
            output.episode_threshold_N,
            longest,
            modes,
        )

    def _loop(self, writer, march, problem):
        """Advance, write; end with the merged file, or between two blocks when asked to."""
        progress = self.make_progress(self.duration, march.time)
        blocks = BlockMaker(march)
        settle = self.case.duty.settle_s
        live = LiveView(self.path, writer.attributes) if self.options.live else None
        keeper = BlockKeeper(writer, problem, self.pressure_factors, settle, live and live.add)
        failed = stopped = None
        self.limit.begin()
        try:
            with WriteBehind(keeper) as writing:
                while march.next_sample <= self._last_sample() and not (failed or stopped):
                    stretch = blocks.next()
                    writing.append(stretch)
                    failed = stretch.fault or keeper.fault
                    if march.next_sample > self._last_sample():
                        writing.wait()  # the last line tells of the last block too
                    progress.update(march.time, keeper.largest if march.time >= settle else None)
                    stopped = self._asked_to_stop(march)
                writing.wait()
        finally:
            progress.close()
        if keeper.fault:
            raise RunError(self._fail(writer, march, keeper))
        if stopped:
            raise RunStopped(self._stop(writer, stopped))
        written = writer.finish()
        if live:
            live.remove()
        return written

    def _asked_to_stop(self, march):
        """Why the run is to stop before its end, in words, or None."""
        if march.next_sample > self._last_sample():
            return None
        return (self.options.stop and self.options.stop()) or self.limit()

    def _stop(self, writer, why):
        """Leave a run that is to go on later."""
        writer.leave(why)
        return (
            f"Stopped {why}, at {writer.end_time:.4g} of {self.duration:g} s of simulated time. "
            f"Everything up to there is safe in {writer.folder}; the same command goes on from "
            "there."
        )

    def _fail(self, writer, march, keeper):
        """Close a failed run: keep what was written, leave a black box, say what happened."""
        fault = keeper.fault
        kept = "No sample was finished before."
        if writer.segments:
            writer.finish(f"stopped: {fault.words}")
            kept = f"What was computed before is in {self.path}."
        box = leave_black_box(self.path, march, keeper.begin, fault, writer.attributes)
        return f"The run stopped: {fault.words}. {kept} {box}".strip()
