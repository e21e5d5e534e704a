"""Speed of the solver, as ratios within one run; absolute times depend on the machine.

python scripts/benchmark.py [--case FILE] [--json FILE] [--figure FILE] [--markdown FILE] [--quick]
"""

import argparse
import json
import os
import platform
import time
from datetime import date
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
os.environ.setdefault("OMP_NUM_THREADS", "1")
os.environ.setdefault("MKL_NUM_THREADS", "1")

from benchmark_engine import engine_cost
from benchmark_figure import draw
from benchmark_growth import core_gain, roller_growth, slice_growth
from benchmark_parts import (
    VARIANTS,
    compiled_cost,
    contact_cost,
    counting_cost,
    evaluation_cost,
    problem_of_case,
    variant_costs,
)
from benchmark_precision import spatial_precision, work_precision
from benchmark_run import start_up, write_rate, writing
from benchmark_text import markdown_of, text_of

ROOT = Path(__file__).resolve().parent.parent
REFERENCE = ROOT / "cases" / "bench_random_5g.toml"
#: Parts that can be asked for alone; a quick run leaves out those behind the bar.
PARTS = ("march", "precision", "spatial", "writing", "variants", "rainflow", "growth", "slices")
#: Which of the variants is compared with scipy's RK45.
HARDEST = "spatial, 11 slices, lubricated traction"
SLOW_PARTS = ("start_up", "cores", "engine")


def load_of_machine():
    """Runnable processes over processors in the last minute, or None where it is not told."""
    if not hasattr(os, "getloadavg"):
        return None
    return os.getloadavg()[0] / (os.cpu_count() or 1)


def march_part(case, problem, duration):
    """The compiled solver of the case, its right-hand side and its contacts."""
    cost = compiled_cost(case, problem, duration)
    return {
        "right_hand_side_at_start_ns": evaluation_cost(problem),
        **contact_cost(problem, cost),
        **cost,
    }


def measure(path, quick, parts):
    """All figures of one case."""
    from rollsim.case.read import load_case

    case = load_case(path)
    duration = 0.3 if quick else 1.0
    problem = problem_of_case(case, duration)
    works = {
        "march": lambda: march_part(case, problem, duration),
        "precision": lambda: work_precision(case, problem, quick),
        "spatial": lambda: spatial_precision(case, *VARIANTS[HARDEST]),
        "writing": lambda: {
            **writing(case, duration if quick else 3.0),
            "rate": write_rate(),
        },
        "variants": lambda: variant_costs(case, 0.05 if quick else 0.3),
        "rainflow": lambda: counting_cost(1_000_000 if quick else 10_000_000),
        "growth": lambda: roller_growth(case, 0.05),
        "slices": lambda: slice_growth(case),
        "start_up": lambda: start_up(path),
        "cores": lambda: core_gain(path, 2.0),
        "engine": lambda: engine_cost(case, problem),
    }
    figures = {
        "case": case.case.name,
        "date": date.today().isoformat(),
        "machine": f"{platform.machine()}, {os.cpu_count()} processors, "
        f"Python {platform.python_version()}",
        "load_before": load_of_machine(),
        "solver": case.solver.name,
        "tolerance": case.solver.tolerance,
        "rollers": case.roller.count,
    }
    for name in parts:
        began = time.perf_counter()
        figures[name] = works[name]()
        print(f"measured: {name} ({time.perf_counter() - began:.0f} s)", flush=True)
    figures["load_after"] = load_of_machine()
    return figures


def main():
    """Measure, print, and write what is asked for."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--case", type=Path, default=REFERENCE)
    parser.add_argument("--json", type=Path, help="file for all figures")
    parser.add_argument("--figure", type=Path, help="file for the picture")
    parser.add_argument("--markdown", type=Path, help="file for the tables of the README")
    parser.add_argument(
        "--quick", action="store_true", help=f"short spans; without {', '.join(SLOW_PARTS)}"
    )
    parser.add_argument(
        "--part", action="append", choices=(*PARTS, *SLOW_PARTS), help="only this; may be repeated"
    )
    options = parser.parse_args()
    parts = options.part or (PARTS if options.quick else (*PARTS, *SLOW_PARTS))
    figures = measure(options.case, options.quick, parts)
    print(text_of(figures))
    if options.json:
        options.json.write_text(json.dumps(figures, indent=2), encoding="utf-8")
    if options.markdown:
        options.markdown.write_text(markdown_of(figures), encoding="utf-8")
    if options.figure and {"precision", "growth", "slices"} <= set(parts):
        draw(figures, options.figure)
        print(f"wrote {options.figure}")


if __name__ == "__main__":
    main()
