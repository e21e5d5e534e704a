"""Run a case: march block by block, write every block as a whole file, continue after a stop."""

import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from rollsim.case.read import load_case
from rollsim.errors import RunError
from rollsim.history import Block, SegmentWriter, resume_point
from rollsim.kernels.jit import is_warm
from rollsim.model.build import build_model, derived_attributes
from rollsim.simulation.balance import energy_book
from rollsim.simulation.channels import history_channels, impact_columns, peak_channels
from rollsim.simulation.marches import initial_energy, march_of
from rollsim.simulation.problem import problem_of
from rollsim.simulation.progress import Silence
from rollsim.simulation.recording import Recording

#: Attributes that must agree before a run goes on where another stopped.
_IDENTITY = ("case_text", "seed", "solver", "duration_s", "rollsim_version")


@dataclass(frozen=True)
class RunOptions:
    """What may differ from the case: duration (s), seed, solver; None keeps the case's value.

    preview: run the preview duration of the case; overwrite: replace an earlier output.
    """

    duration: float | None = None
    seed: int | None = None
    solver: str | None = None
    preview: bool = False
    overwrite: bool = False


def run(case, path, options=None, progress=None, say=None, **changes):
    """Run a case and write its history; an unfinished run of the same case is continued.

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
    **changes : any
        Fields of `RunOptions`, instead of `options`.

    Returns
    -------
    Path
        The finished history file.

    Raises
    ------
    RunError
        When the run cannot go on; all finished blocks are kept.
    """
    if isinstance(case, str | Path):
        case = load_case(case)
    options = options or RunOptions(**changes)
    say = say or (lambda text: None)
    if not is_warm():
        say("Compiling the kernels, once for this version; this takes about a minute.")
    return _Run(case, Path(path), options, progress or (lambda *_: Silence()), say).go()


def preview_duration(case):
    """Preview duration of a case.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    float
        s; the given one, else 1 s but no more than the duration.
    """
    given = case.duty.preview_s
    return min(case.duty.duration_s, 1.0) if given is None else given


class _Run:
    """One run from start or checkpoint to the merged file."""

    def __init__(self, case, path, options, progress, say):
        """Take over the case and the options; nothing is computed yet."""
        self.case = case
        self.path = path
        self.options = options
        self.say = say
        self.make_progress = progress
        self.solver = options.solver or case.solver.name
        self.seed = case.case.seed if options.seed is None else options.seed
        duration = preview_duration(case) if options.preview else options.duration
        self.duration = case.duty.duration_s if duration is None else duration

    def go(self):
        """March to the end; keep what is finished whatever happens."""
        if self.duration <= self.case.duty.settle_s:
            raise RunError(
                f"The run of {self.duration:g} s is not longer than duty.settle_s = "
                f"{self.case.duty.settle_s:g} s: nothing would be left for statistics."
            )
        writer, resume = self._open_writer()
        with writer:
            built = build_model(self._seeded_case(), self.duration, self.seed)
            problem = problem_of(built)
            recording = self._recording(built)
            march = march_of(self.solver, problem, recording, self.duration)
            if resume is None:
                writer.attributes.update(derived_attributes(built))
            else:
                march.restore(resume.checkpoint)
                self.say(f"Going on from {resume.end_time:.3f} s of simulated time.")
            return self._loop(writer, march, problem)

    def _seeded_case(self):
        """The case with the seed of this run, so that the vibration follows it too."""
        if self.seed == self.case.case.seed:
            return self.case
        from dataclasses import replace

        return replace(self.case, case=self.case.case.model_copy(update={"seed": self.seed}))

    def _attributes(self):
        """Root attributes that a run starts with."""
        return {
            "case_text": self.case.text,
            "case_name": self.case.case.name,
            "seed": self.seed,
            "solver": self.solver,
            "duration_s": self.duration,
            "settle_s": self.case.duty.settle_s,
            "sample_rate_Hz": self.case.output.rate_Hz,
            "roller_count": self.case.roller.count,
        }

    def _open_writer(self):
        """Start an output, or take up an unfinished one of the same case."""
        resume = None if self.options.overwrite else resume_point(self.path)
        if resume is None or self.path.exists():
            self.path.parent.mkdir(parents=True, exist_ok=True)
            return SegmentWriter(self.path, self._attributes(), self.options.overwrite), None
        import rollsim

        wanted = {**self._attributes(), "rollsim_version": rollsim.__version__}
        differing = [name for name in _IDENTITY if wanted[name] != resume.attributes.get(name)]
        if differing:
            raise RunError(
                f"{self.path}.parts holds an unfinished run with another "
                f"{' and '.join(differing)}. Run that one on, choose another output with -o, "
                "or replace it with --overwrite."
            )
        return SegmentWriter.continue_run(self.path), resume

    def _recording(self, built):
        """Buffers for one segment."""
        output = self.case.output
        rows = max(1, round(output.segment_s * output.rate_Hz))
        longest = 1e-6 * self.case.solver.max_step_us
        return Recording(
            built.model.count, 1.0 / output.rate_Hz, rows, output.episode_threshold_N, longest
        )

    def _loop(self, writer, march, problem):
        """Advance, convert, write; end with the merged file."""
        progress = self.make_progress(self.duration, march.time)
        start_sum = energy_book(problem.model, *initial_energy(problem))["sum"][0]
        last = round(self.duration * self.case.output.rate_Hz)
        largest = 0.0
        try:
            while march.next_sample <= last:
                block, failure = self._block(march, problem, start_sum)
                if block is not None:
                    writer.append(block)
                    largest = max(largest, float(block.peak["pocket_force"].max()))
                progress.update(march.time, largest)
                if failure:
                    raise RunError(self._stop(writer, failure))
        finally:
            progress.close()
        return writer.finish()

    def _stop(self, writer, failure):
        """Close a failed run: keep what was written, say what happened."""
        if not writer.segments:
            return f"The run stopped: {failure}. No sample was finished before."
        writer.finish(f"stopped: {failure}")
        return f"The run stopped: {failure}. What was computed before is in {self.path}."

    def _block(self, march, problem, start_sum):
        """One block of the run, or None when it has no sample, and the failure if any."""
        began = time.perf_counter()
        before = march.counters()
        march.recording.start_block(march.next_sample)
        failure = march.advance()
        samples = march.recording.take(march.next_sample)
        if not len(samples.times):
            return None, failure or "no progress was made"
        model = problem.model
        steps = np.subtract(march.counters(), before)
        book = energy_book(model, samples.states[-1:], samples.outputs[-1:])
        quality = {
            "end_time": samples.times[-1],
            "steps": steps[0],
            "rejected": steps[1],
            "evaluations": steps[2],
            "kinetic_energy": book["kinetic"][0],
            "elastic_energy": book["elastic"][0],
            "work_in": book["work"][0],
            "heat": book["heat"][0],
            "energy_residual": book["sum"][0] - start_sum,
            "wall_time": time.perf_counter() - began,
        }
        return (
            Block(
                history_channels(samples, model),
                peak_channels(samples, model.count),
                impact_columns(samples),
                quality,
                march.checkpoint(),
            ),
            failure,
        )
