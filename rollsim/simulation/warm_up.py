"""Compile every kernel of a run once, so that processes side by side find them on the disk.

python -m rollsim.simulation.warm_up
"""

from rollsim.case.read import parse_case
from rollsim.case.template import template_text
from rollsim.kernels.jit import cache_folder
from rollsim.model.build import build_model
from rollsim.simulation.marches import COMPILED
from rollsim.simulation.problem import problem_of
from rollsim.simulation.recording import Recording

_INTERVAL, _ROWS, _END = 1e-4, 2, 1e-3
#: File and function of the kernel that holds everything of a solver.
_ENTRIES = {"leapfrog": "leap_march.leap_march", "dormand_prince": "march.march"}


def is_warm(solver="leapfrog"):
    """Tell whether an earlier start left the compiled kernels of a solver.

    Parameters
    ----------
    solver : str
        Name of the solver; those of scipy are taken for the default one.

    Returns
    -------
    bool
        True when they are on the disk.
    """
    entry = _ENTRIES.get(solver, _ENTRIES["leapfrog"])
    return any(cache_folder().rglob(f"{entry}-*.nbc"))


def compile_note(solver="leapfrog"):
    """Sentence for the user when kernels have to be compiled first.

    Parameters
    ----------
    solver : str
        Name of the solver that is about to be used.

    Returns
    -------
    str or None
        None when they are on the disk already.
    """
    if is_warm(solver):
        return None
    return "Compiling the kernels, once for this version; this takes one to some minutes."


def compile_kernels(solver="leapfrog"):
    """March the template case a few steps; nothing happens when the kernels are there already.

    Parameters
    ----------
    solver : str
        Name of the solver; those of scipy need what the default one needs.

    Returns
    -------
    bool
        True when something had to be compiled.
    """
    if is_warm(solver):
        return False
    built = build_model(parse_case(template_text()), _END)
    problem = problem_of(built)
    recording = Recording(built.model.count, _INTERVAL, _ROWS, 1.0, problem.longest_step)
    make = COMPILED.get(solver, COMPILED["leapfrog"])
    make(problem, recording, _END).step()
    return True


if __name__ == "__main__":
    print(compile_note() or "The kernels are compiled already.", flush=True)
    compile_kernels()
