"""Compile every kernel of a run once, so that processes side by side find them on the disk.

python -m rollsim.simulation.warm_up
"""

from rollsim.case.read import parse_case
from rollsim.case.template import template_text
from rollsim.kernels.jit import cache_folder, is_warm
from rollsim.model.build import build_model
from rollsim.simulation.dormand_prince import recorded_march
from rollsim.simulation.problem import problem_of
from rollsim.simulation.recording import Recording
from rollsim.simulation.trial import cost_per_simulated_second

_INTERVAL, _ROWS, _END = 1e-4, 2, 1e-3


def compile_note(entry="march"):
    """Sentence for the user when kernels have to be compiled first.

    Parameters
    ----------
    entry : str
        Kernel that is about to be called: "march" by a run, "march_trail" by trial steps.

    Returns
    -------
    str or None
        None when they are on the disk already.
    """
    if any(cache_folder().rglob(f"march.{entry}-*.nbc")):
        return None
    return "Compiling the kernels, once for this version; this takes about a minute."


def compile_kernels():
    """March the template case a few steps; nothing happens when the kernels are there already.

    Returns
    -------
    bool
        True when something had to be compiled.
    """
    if is_warm():
        return False
    built = build_model(parse_case(template_text()), _END)
    problem = problem_of(built)
    recording = Recording(built.model.count, _INTERVAL, _ROWS, 1.0, problem.longest_step)
    recorded_march(problem, recording, _END).step()
    cost_per_simulated_second(problem)
    return True


if __name__ == "__main__":
    print(compile_note() or "The kernels are compiled already.", flush=True)
    compile_kernels()
