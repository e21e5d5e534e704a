"""What surrounds the march in a run: start-up, writing, memory."""

import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
from benchmark_parts import problem_of_case

#: A run in a process of its own that tells its largest memory, MiB, and its processor time, s.
_CHILD = """
import resource, sys
from rollsim.cli import main
try:
    main()
finally:
    used = resource.getrusage(resource.RUSAGE_SELF)
    print("used", used.ru_maxrss / 1024, used.ru_utime + used.ru_stime)
"""


def start_up(path):
    """Seconds of `rollsim --help` and of what a second run does before and after its march."""
    from rollsim.history import open_history

    began = time.perf_counter()
    subprocess.run([sys.executable, "-m", "rollsim", "--help"], check=True, capture_output=True)
    found = {"help_s": time.perf_counter() - began}
    with tempfile.TemporaryDirectory() as folder:
        output = Path(folder) / "start.h5"
        run = [sys.executable, "-c", _CHILD, "run", str(path), "--duration", "0.21"]
        run += ["--overwrite", "-o", str(output)]
        for _ in range(2):
            began = time.perf_counter()
            done = subprocess.run(run, check=True, capture_output=True, text=True)
            elapsed = time.perf_counter() - began
        memory, processor = map(float, done.stdout.split()[-2:])
        with open_history(output) as history:
            march = float(history.quality()["wall_time"].sum())
    found["second_run_without_march_s"] = elapsed - march
    found["second_run_processor_s"] = processor
    found["memory_MiB"] = memory
    return found


class _Watch:
    """Stands in for the display of progress: keeps when the march began."""

    def __init__(self, *_):
        self.elapsed, self.processor = time.perf_counter(), time.process_time()

    def update(self, *_):
        """Nothing to show."""

    def close(self):
        """Nothing to close."""


def writing(case, duration, repeats=3):
    """What a run adds to the bare march of its blocks, elapsed and processor time.

    A run converts states to channels, packs, writes and merges, partly in a thread beside the
    march; building the model is not counted on either side.
    """
    from rollsim.simulation.run import run
    from rollsim.structure.elasticity import cage_elasticity

    elasticity = cage_elasticity(case)
    problem = problem_of_case(case, duration)
    bare, whole = [], []
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "run.h5"
        for _ in range(repeats):
            bare.append(_bare_march(case, problem, duration, elasticity.modes))
            watches = []

            def watch(*_, watches=watches):
                watches.append(_Watch())
                return watches[-1]

            run(case, path, None, watch, elasticity=elasticity, duration=duration, overwrite=True)
            mark = watches[-1]
            whole.append((time.perf_counter() - mark.elapsed, time.process_time() - mark.processor))
        size = path.stat().st_size
    bare, whole = np.min(bare, axis=0), np.min(whole, axis=0)
    return {
        "bare_elapsed_s": float(bare[0]),
        "bare_processor_s": float(bare[1]),
        "run_elapsed_s": float(whole[0]),
        "run_processor_s": float(whole[1]),
        "elapsed_ratio": float(whole[0] / bare[0]),
        "processor_ratio": float(whole[1] / bare[1]),
        "simulated_s": duration,
        "file_MB": size / 1e6,
    }


def _bare_march(case, problem, duration, modes):
    """Elapsed and processor time of the march in the blocks of a run, with nothing kept."""
    from rollsim.simulation.marches import march_of
    from rollsim.simulation.recording import Recording

    rate = case.output.rate_Hz
    rows = max(1, round(case.output.segment_s * rate))
    recording = Recording(problem.model.count, 1.0 / rate, rows, 1.0, problem.longest_step, modes)
    march = march_of(case.solver.name, problem, recording, duration)
    march.prepare()
    began, before = time.perf_counter(), time.process_time()
    while march.next_sample <= round(duration * rate):
        recording.start_block(march.next_sample)
        failure = march.advance()
        if failure:
            raise SystemExit(failure)
    return time.perf_counter() - began, time.process_time() - before


def write_rate(samples=5000, rollers=18):
    """Megabytes a second that a writer packs, writes and merges, and how far they shrink."""
    from rollsim.history import Block, SegmentWriter
    from rollsim.history.layout import empty_group

    rng = np.random.default_rng(1)
    groups = {name: empty_group(name, samples, rollers) for name in ("history", "peak")}
    for values in (values for group in groups.values() for values in group.values()):
        values[...] = 1.0 + 1e-3 * np.cumsum(rng.normal(size=values.shape), axis=0)
    count, interval = 5, 2e-4
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "rate.h5"
        with SegmentWriter(path, {"roller_count": rollers}) as writer:
            spent = 0.0
            for number in range(count + 1):
                times = interval * (number * samples + np.arange(samples))
                both = [{**group, "time": times} for group in groups.values()]
                block = Block(*both, quality={"end_time": times[-1]})
                began = time.process_time()
                writer.append(block)
                # The first one loads what packs.
                spent += time.process_time() - began if number else 0.0
            began = time.process_time()
            writer.finish()
            spent += time.process_time() - began
        stored = path.stat().st_size / (count + 1)
    from rollsim.history.layout import row_bytes

    plain = samples * row_bytes(rollers)
    return {"MB_per_s": 1e-6 * count * plain / spent, "shrinks_by": plain / stored}
