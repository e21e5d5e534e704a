"""The command that runs a case, once or as a set of replicates."""

from dataclasses import replace
from pathlib import Path

import click

from rollsim.cli.parts import CASE, JSON, say, show
from rollsim.errors import RollsimError

SOLVERS = ("leapfrog", "dormand_prince", "RK45", "DOP853", "LSODA", "Radau")
#: Options that mean nothing for a single run.
_OF_SETS = ("jobs", "quantity", "within", "most")


@click.command("run")
@CASE
@click.option(
    "-o",
    "--output",
    type=click.Path(path_type=Path, dir_okay=False),
    help="History file, .h5 is added to a name without an ending; when not given, the name of "
    "CASE with .h5, in the current folder.",
)
@click.option(
    "--duration",
    type=click.FloatRange(min=0, min_open=True),
    metavar="S",
    help="Simulated time in s in place of the case's.",
)
@click.option("--preview", is_flag=True, help="Run the preview duration of the case.")
@click.option(
    "--seed",
    type=click.IntRange(0, 2**32 - 1),
    metavar="N",
    help="Seed in place of the case's; with --replicates their seeds are derived from it.",
)
@click.option(
    "--source-seeds",
    type=click.Choice(["keep", "redraw"]),
    help="Sources of vibration with a seed of their own: keep it, or draw from the seed of the "
    "run. A single run keeps it, replicates redraw, when not given.",
)
@click.option("--solver", type=click.Choice(SOLVERS), help="Solver in place of the case's.")
@click.option("--overwrite", is_flag=True, help="Replace an earlier history, finished or not.")
@click.option(
    "--replicates",
    type=click.IntRange(min=1),
    metavar="N",
    help="Run the case N times with seeds derived from its own: NAME_r01.h5, NAME_r02.h5, ... and "
    "the list NAME_replicates.json.",
)
@click.option(
    "--jobs",
    type=click.IntRange(min=1),
    metavar="K",
    help="Replicates side by side; as many as there are physical cores when not given.",
)
@click.option(
    "--within",
    type=click.FloatRange(min=0, min_open=True),
    metavar="PERCENT",
    help="Run more replicates until the 90 % interval of --quantity is within this share of its "
    "median on either side; begins with N, at least 5.",
)
@click.option(
    "--quantity",
    type=click.Choice(["peak_force", "reserve", "utilisation", "closure_damage"]),
    help="What the interval is for: the 99th percentile of the pocket force peaks (when not "
    "given), the reserve factor of the governing place, the utilisation of the governing "
    "mechanism, or the damage of the worst closure an hour.",
)
@click.option(
    "--most",
    type=click.IntRange(min=1),
    metavar="N",
    help="Largest number of replicates with --within; 50 when not given.",
)
@click.option(
    "--hours",
    type=click.FloatRange(min=0, min_open=True),
    metavar="H",
    help="End after this elapsed time, at the end of a block; the same command goes on.",
)
@click.option(
    "--live",
    is_flag=True,
    help="Keep the latest five blocks, thinned out, in NAME_live.h5 (HDF5) until the run is "
    "finished; other programs may open it any time. rollsim status --watch needs no such file.",
)
@click.option(
    "--evaluate",
    is_flag=True,
    help="When the run is finished, work out all that a report shows, verdict included: report, "
    "compare and fatigue then find it done. On a long run it takes as long as the run.",
)
@JSON
def run_command(case, output, preview, replicates, source_seeds, evaluate, as_json, **given):
    """Run a case and write its history; the same command continues a killed run.

    Ctrl-C, a request of the system to end (SIGTERM) and --hours end a run between two blocks, with
    exit code 1: everything up to there is kept, and the same command goes on to the same numbers,
    bit for bit, that an unbroken run has.

    After a finished run the same command computes nothing and ends with exit code 0. An output
    that holds anything else is refused with exit code 2; --overwrite replaces a history.

    One run is one draw of a chaotic motion: --replicates tells how much its results scatter.
    Finished replicates are left as they are; one that fails leaves the others alone and the
    command ends with exit code 1.

    \b
    Example: rollsim run screen.toml --preview -o screen.h5
             rollsim run screen.toml --replicates 8 -o screen.h5
             rollsim run screen.toml --replicates 8 --within 10 --most 30 -o screen.h5
    """
    if preview and given["duration"] is not None:
        raise click.UsageError("--preview and --duration exclude each other: give one of them.")
    _check_set_options(replicates, given)
    from rollsim.case.read import load_case

    loaded = load_case(case)
    from rollsim.simulation.run import RunOptions

    path = _history_name(output or Path(case.stem))
    own = {name: given[name] for name in ("duration", "seed", "solver", "overwrite", "live")}
    options = RunOptions(preview=preview, **own)
    if replicates is None:
        finished = _run_once(loaded, path, options, given["hours"], source_seeds, as_json)
    else:
        asked = {name: given[name] for name in _OF_SETS if given[name] is not None}
        asked["keep_source_seeds"] = source_seeds == "keep"
        if given["hours"] is not None:
            asked["hours"] = given["hours"]
        finished = _run_set(loaded, path, replicates, options, asked, as_json)
    if evaluate and finished:
        _evaluate(finished, given["jobs"])


def _check_set_options(replicates, given):
    """Refuse options that have nothing to act on."""
    if replicates is not None and given["live"]:
        raise click.UsageError("--live is for a single run: leave --replicates out.")
    needed = [f"--{name}" for name in _OF_SETS if given[name] is not None]
    if replicates is None and needed:
        raise click.UsageError(f"{', '.join(needed)} is for sets of runs: give --replicates too.")
    if given["most"] is not None and given["within"] is None:
        raise click.UsageError("--most bounds --within: give --within too.")


def _run_once(case, path, options, hours, source_seeds, as_json):
    """One run and its summary; gives its file."""
    from rollsim.case.change import without_source_seeds
    from rollsim.history import status_summary
    from rollsim.report.status_text import status_text
    from rollsim.simulation.progress import Progress
    from rollsim.simulation.stopping import PoliteStop
    from rollsim.sweep.launch import run

    if source_seeds == "redraw":
        case = without_source_seeds(case)
    try:
        with PoliteStop() as stop:
            run(case, path, replace(options, stop=stop, hours=hours), Progress, say)
    except KeyboardInterrupt:
        raise RollsimError(_stopped(path)) from None
    found = status_summary(path)
    show(found, f"{path}\n{status_text(found)}\nnext: rollsim peaks {path}", as_json)
    return [path]


def _run_set(case, path, count, options, asked, as_json):
    """Replicates and their summary; gives their files."""
    from rollsim.history.replicate_set import list_path
    from rollsim.report.replicates_text import failure_text, replicates_dict, replicates_text
    from rollsim.simulation.progress import Progress
    from rollsim.simulation.stopping import ending_like_interrupt
    from rollsim.sweep.replicate_types import SetPlan
    from rollsim.sweep.replicates import replicates

    if "within" in asked:
        asked["within"] /= 100.0
    try:
        with ending_like_interrupt():
            found = replicates(case, path, count, options, SetPlan(**asked), Progress, say)
    except KeyboardInterrupt:
        raise RollsimError(
            f"Stopped by the user; no run goes on. {list_path(path)} says what is finished; the "
            "same command goes on with the others."
        ) from None
    show(replicates_dict(found), replicates_text(found), as_json)
    if found.failed:
        raise RollsimError(failure_text(found))
    return [run.path for run in found.finished]


def _evaluate(paths, jobs):
    """Work out what a report of finished runs shows, the first one drawn."""
    from rollsim.report.document.work import tasks_of, worked_out
    from rollsim.sweep.cores import cores_available

    worked_out(tasks_of([paths]), say, jobs or cores_available()[0])


def _history_name(path):
    """Name of a history, with the usual ending where it has none."""
    return path if path.suffix else path.with_name(f"{path.name}.h5")


def _stopped(path):
    """What is left of a run that the user stopped."""
    if not path.with_name(f"{path.name}.parts").exists():
        return "Stopped by the user before the first block was finished; nothing was written."
    return (
        f"Stopped by the user. Finished blocks are in {path}.parts; "
        "the same command goes on from there."
    )
