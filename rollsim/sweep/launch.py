"""Start a run with the elasticity of its own cage."""

from pathlib import Path

from rollsim.case.read import load_case
from rollsim.simulation.output import RefusedRun
from rollsim.simulation.run import run as simulate
from rollsim.structure.elasticity import NoFrame, cage_elasticity


def run(case, path, options=None, progress=None, say=None, **changes):
    """Run a case and write its history; an unfinished run of the same case is continued.

    The stiffness behind the pocket faces that the case leaves open comes from the frame model of
    its cage. An output that holds this run already, finished, is left as it is.

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
        Fields of `RunOptions`: duration (s), seed, solver, preview, overwrite; they go before
        `options`.

    Returns
    -------
    Path
        The finished history file.

    Raises
    ------
    RefusedRun
        When the case, the options or the output do not allow it; nothing is changed then.
    RunError
        When the run cannot go on; all finished blocks are kept.
    """
    if isinstance(case, str | Path):
        case = load_case(case)
    return simulate(case, path, options, progress, say, elasticity_for_run(case), **changes)


def elasticity_for_run(case):
    """Elasticity of the cage of a case; a cage that cannot be made is a refused run.

    Parameters
    ----------
    case : Case
        A valid case.

    Returns
    -------
    CageElasticity

    Raises
    ------
    RefusedRun
        The cage cannot be made as a frame.
    """
    try:
        return cage_elasticity(case)
    except NoFrame as problem:
        raise RefusedRun(str(problem)) from problem
