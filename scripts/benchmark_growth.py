"""How cost grows: with rollers, with slices; and what a second core brings."""

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
from benchmark_parts import compiled_cost, evaluation_cost, problem_of_case, spatial_case

ROLLERS = (10, 20, 40, 80, 160)
SLICES = (1, 5, 11, 21, 31)
#: From so many rollers on the exponent is fitted: below, what does not depend on them counts.
FIT_FROM = 20


def with_rollers(case, count):
    """A bearing of the same rollers on another pitch circle, at the same surface speed and load."""
    from rollsim.case.change import changed_case

    share = count / case.roller.count
    pitch = share * case.bearing.pitch_diameter_mm
    grown = pitch - case.bearing.pitch_diameter_mm
    changes = {
        "roller.count": count,
        "cage.mass_kg": share * case.cage.mass_kg,
        "cage.closure.circle_diameter_mm": case.cage.closure.circle_diameter_mm + grown,
        "duty.speed_rpm": case.duty.speed_rpm / share,
        "duty.radial_load_kN": share * case.duty.radial_load_kN,
        "bearing.pitch_diameter_mm": pitch,
    }
    for section, names in (
        ("bearing", ("bore_mm", "outside_diameter_mm")),
        ("cage", ("outer_diameter_mm", "inner_diameter_mm")),
    ):
        for name in names:
            changes[f"{section}.{name}"] = getattr(getattr(case, section), name) + grown
    return changed_case(case, changes)


def roller_growth(case, duration):
    """Cost by number of rollers, and the exponent of a power law through it."""
    rows = {}
    for count in ROLLERS:
        grown = with_rollers(case, count)
        problem = problem_of_case(grown, duration, elastic=False)
        cost = compiled_cost(grown, problem, duration, repeats=2)
        cost["right_hand_side_ns"] = evaluation_cost(problem, 5, 500, cost.pop("states"))
        rows[count] = cost
    large = [count for count in ROLLERS if count >= FIT_FROM]
    exponents = {
        name: float(np.polyfit(np.log(large), np.log([rows[n][key] for n in large]), 1)[0])
        for name, key in (
            ("right_hand_side", "right_hand_side_ns"),
            ("step", "time_per_step_us"),
            ("simulated_second", "seconds_per_simulated_second"),
        )
    }
    return {"rows": rows, "exponents": exponents}


def slice_growth(case):
    """Cost of the spatial right-hand side by number of slices, and that of one more slice."""
    rows = {}
    for slices in SLICES:
        changed = spatial_case(case, "spatial", {"roller.slices": slices})
        problem = problem_of_case(changed, 0.05, elastic=False)
        states = compiled_cost(changed, problem, 0.02, repeats=1).pop("states")
        rows[slices] = evaluation_cost(problem, 5, 300, states)
    slope = np.polyfit(SLICES, [rows[n] for n in SLICES], 1)[0]
    # Every slice of a roller is looked at in four contacts: two raceways, two bars.
    return {
        "right_hand_side_ns": rows,
        "per_slice_of_a_contact_ns": float(slope / (4 * case.roller.count)),
    }


def core_gain(path, duration):
    """Elapsed time of four replicates on one processor, one at a time, and on two.

    A run alone uses a second processor for its writing, so that the first case is held to one where
    the system can do that. The share of processors that the runs got tells whether others used the
    machine meanwhile.
    """
    found = {}
    with tempfile.TemporaryDirectory() as folder:
        for jobs in (1, 2):
            command = [sys.executable, "-m", "rollsim", "run", str(path), "--overwrite", "--json"]
            command += ["--replicates", "4", "--jobs", str(jobs), "--duration", str(duration)]
            command += ["-o", str(Path(folder) / f"jobs{jobs}.h5")]
            began, before = time.perf_counter(), _children()
            kept = _confined(jobs)
            done = subprocess.run(command, capture_output=True, text=True)
            if kept:
                os.sched_setaffinity(0, kept)
            if done.returncode:
                raise SystemExit(f"replicates failed: {done.stderr}")
            elapsed = time.perf_counter() - began
            found[f"jobs_{jobs}"] = {
                "elapsed_s": elapsed,
                "processors_used": (_children() - before) / elapsed,
            }
    found["gain"] = found["jobs_1"]["elapsed_s"] / found["jobs_2"]["elapsed_s"]
    return found


def _confined(jobs):
    """Hold this process and its children to so many processors; those it had, or None."""
    if not hasattr(os, "sched_setaffinity"):
        return None
    had = os.sched_getaffinity(0)
    os.sched_setaffinity(0, sorted(had)[-jobs:])
    return had


def _children():
    """Processor time of all ended processes that this one started, s."""
    import resource

    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime
