"""The command that runs a stored run again."""

from pathlib import Path

import click

from rollsim.cli.parts import HISTORY, JSON, say, show
from rollsim.errors import RollsimError


@click.command("reproduce")
@HISTORY
@click.option(
    "-o",
    "--output",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Keep the new history here; a temporary file when not given.",
)
@click.option(
    "--inputs",
    type=click.Path(path_type=Path, file_okay=False),
    metavar="FOLDER",
    help="Folder in which the recordings of the case lie; where they lay at the first run, else "
    "beside HIST.h5, when not given.",
)
@click.option("--anyway", is_flag=True, help="Run even where a recording has changed.")
@click.option("--overwrite", is_flag=True, help="Replace an earlier output.")
@JSON
def reproduce_command(history, as_json, **given):
    """Run a stored run again and say whether every number is the same to the bit.

    Case, seed, duration, solver and elasticity of the cage come from the history itself. Where a
    number differs, the first one is named, and what differs of version, libraries, machine and
    inputs. Exit code 0 where all is the same, 1 where something differs, 2 where the run cannot
    be repeated.

    \b
    Example: rollsim reproduce screen.h5
             rollsim reproduce screen.h5 --inputs recordings -o again.h5
    """
    from rollsim.report.reproduce_text import reproduce_dict, reproduce_text
    from rollsim.simulation.progress import Progress
    from rollsim.sweep.reproduce import ReproduceOptions, reproduce

    try:
        found = reproduce(history, ReproduceOptions(**given), Progress, say)
    except KeyboardInterrupt:
        raise RollsimError("Stopped by the user before the run was repeated.") from None
    show(reproduce_dict(found), reproduce_text(found), as_json)
    if not found.same:
        raise RollsimError("The run did not come out the same.")
